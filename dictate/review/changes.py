"""Which attributes a person may change, the usual values, and reading what was typed for them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

from dictate.errors import UsageError
from dictate.model import Bird, Finding, Measurement
from dictate.record import Said

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

__all__ = ["NOT_SAID", "choices_for", "fields_of", "read_changes", "read_date"]

NOT_SAID = "not said"
"""What a person picks or types for an attribute that has no value."""

_FINDING = ("region", "side", "sign", "presence", "grade", "certainty", "when", "detail")
_MEASUREMENT = ("kind", "value", "unit", "of")
_ACTION = ("kind", "in_days", "detail")
_BIRD = ("band", "name", "sex", "breed", "pen")
_FIXED: dict[str, tuple[str, ...]] = {
    "side": ("left", "right", "both", NOT_SAID),
    "presence": ("present", "absent"),
    "grade": ("1", "2", "3", NOT_SAID),
    "certainty": ("sure", "possible"),
    "when": ("now", "past"),
}
_FREE = {"detail", "band", "name", "sex", "breed", "pen", "of", "in_days"}


def fields_of(value: Said | Bird) -> tuple[str, ...]:
    """The attributes of a thing that a person may change."""
    if isinstance(value, Finding):
        return _FINDING
    if isinstance(value, Measurement):
        return _MEASUREMENT
    return _BIRD if isinstance(value, Bird) else _ACTION


def choices_for(value: Said | Bird, field: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The values allowed for an attribute; empty where any text or number may be typed."""
    if isinstance(value, Finding):
        if field == "region":
            return vocabulary.head_to_tail
        if field == "sign":
            return tuple(vocabulary.signs)
        if field == "side" and not _paired(value.region, vocabulary):
            return (NOT_SAID,)
        return _FIXED.get(field, ())
    if field == "kind":
        return tuple(vocabulary.measures if isinstance(value, Measurement) else vocabulary.actions)
    if field == "unit" and isinstance(value, Measurement):
        return tuple(dict.fromkeys(measure.unit for measure in vocabulary.measures.values()))
    return ()


def _paired(region: str, vocabulary: Vocabulary) -> bool:
    entry = vocabulary.regions.get(region)
    return entry is None or entry.paired


def read_changes(value: Said | Bird, typed: Mapping[str, Any], vocabulary: Vocabulary) -> dict[str, Any]:
    """The changes with values of the right type, and what follows from them.

    A region that is not paired loses its side. Raises UsageError naming what is allowed.
    """
    changes: dict[str, Any] = {}
    for field, given in typed.items():
        if field not in fields_of(value):
            allowed = f"Choose of: {', '.join(fields_of(value))}."
            raise UsageError("changing", field, "there is no such attribute here", allowed)
        changes[field] = _read(value, field, given, vocabulary)
    region = changes.get("region", getattr(value, "region", None))
    if isinstance(value, Finding) and region is not None and not _paired(region, vocabulary):
        if changes.get("side") is not None:
            raise UsageError("changing", "side", f"{region} has no sides")
        if value.side is not None:
            changes["side"] = None
    if changes.get("presence") == "absent" and getattr(value, "grade", None) is not None:
        changes.setdefault("grade", None)
    return changes


def _read(value: Said | Bird, field: str, given: Any, vocabulary: Vocabulary) -> Any:
    text = "" if given is None else str(given).strip()
    if text in ("", NOT_SAID):
        if field in _FREE or field in ("side", "grade"):
            return None
        raise UsageError("changing", field, "it needs a value")
    allowed = _FIXED[field] if field == "side" else choices_for(value, field, vocabulary)
    if allowed and text not in allowed:
        shown = ", ".join(allowed) if len(allowed) < 12 else "the words of the lexicon (dictate words show)"
        raise UsageError("changing", field, f'"{text}" is not allowed', f"Choose of: {shown}.")
    if field in ("grade", "in_days", "value"):
        return _number(field, text)
    return text


def _number(field: str, text: str) -> int | float:
    try:
        number = float(text.replace(",", ".")) if field == "value" else int(text)
    except ValueError:
        number = -1.0
    if not 0 <= number < 1e9:
        raise UsageError("changing", field, f'"{text}" is not a number that it can have')
    return number


def read_date(text: str) -> date:
    """A day typed as 2026-03-12. Raises UsageError."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise UsageError(
            "reading the day", f'"{text}"', "it is not a day of the calendar", "Write it as 2026-03-12."
        ) from None
