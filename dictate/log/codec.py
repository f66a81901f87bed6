"""Model objects as rows of the log and back, without loss."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from datetime import date, datetime, time
from typing import Any

from dictate.errors import UsageError
from dictate.log.database import Row
from dictate.model import (
    Action,
    Bird,
    Cue,
    Finding,
    HeardWord,
    LeftOut,
    Measurement,
    Penalty,
    Span,
    Utterance,
    Word,
)
from dictate.record import Item, ItemKind, Said

__all__ = ["ITEM_KINDS", "bird_from", "bird_json", "item_from", "item_row", "kind_of", "value_from"]

ITEM_KINDS: tuple[ItemKind, ...] = ("finding", "measurement", "action")
# What a person may change of each kind; the columns have the same names.
OPEN: dict[ItemKind, tuple[str, ...]] = {
    "finding": ("region", "sign", "side", "presence", "grade", "certainty", "when", "detail"),
    "measurement": ("kind", "value", "unit", "of", "low", "high", "approximate", "former", "scheme"),
    "action": ("kind", "in_days", "detail"),
}
_FLAGS = ("approximate", "former")


def dumps(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def kind_of(value: Said) -> ItemKind:
    if isinstance(value, Finding):
        return "finding"
    return "measurement" if isinstance(value, Measurement) else "action"


def open_values(value: Said, kind: ItemKind | None = None) -> Row:
    """The columns of what a person may change."""
    return {name: _flat(name, getattr(value, name)) for name in OPEN[kind or kind_of(value)]}


def _flat(name: str, value: Any) -> Any:
    return int(value) if name in _FLAGS else value


def item_row(value: Said) -> Row:
    """All columns of the value itself (no ids, no state)."""
    row = open_values(value)
    if isinstance(value, Finding):
        row["cues_json"] = dumps([[c.rule, c.category, c.span.start, c.span.end] for c in value.cues])
    row |= {
        "span_from": value.span.start, "span_to": value.span.end,
        "quote": value.quote, "rule": value.rule,
        "penalties_json": penalties_json(value.penalties), "verdict": value.verdict,
        "start_s": value.start, "end_s": value.end, "confidence": value.confidence,
        "listeners_json": dumps(list(value.listeners)),
    }
    return row


def value_from(kind: ItemKind, row: Mapping[str, Any]) -> Said:
    values: dict[str, Any] = {name: row[name] for name in OPEN[kind]}
    values |= {
        "span": Span(row["span_from"], row["span_to"]), "quote": row["quote"], "rule": row["rule"],
        "penalties": penalties_from(row["penalties_json"]), "verdict": row["verdict"],
        "start": row["start_s"], "end": row["end_s"], "confidence": row["confidence"],
        "listeners": tuple(_listed(row["listeners_json"])),
    }
    if kind == "finding":
        cues = _listed(row["cues_json"])
        return Finding(**values, cues=tuple(Cue(rule, cat, Span(a, b)) for rule, cat, a, b in cues))
    if kind == "measurement":
        return Measurement(**values | {name: bool(values[name]) for name in _FLAGS})
    return Action(**values)


def item_from(kind: ItemKind, row: Row) -> Item:
    value = value_from(kind, row)
    parsed = value_from(kind, json.loads(row["parsed_json"])) if row["parsed_json"] else value
    return Item(
        id=row["uid"], kind=kind, status=row["status"], value=value, parsed=parsed,
        choice=row["choice"], added=bool(row["added"]),
    )


def checked_changes(kind: str, allowed: Iterable[str], changes: Mapping[str, Any]) -> dict[str, Any]:
    """The changes, or UsageError where one is of something that may not be changed."""
    allowed = tuple(allowed)
    wrong = [name for name in changes if name not in allowed]
    if wrong:
        raise UsageError(
            "changing", f"a {kind}", f"there is no {', '.join(map(repr, wrong))}",
            f"It may be one of: {', '.join(allowed)}.",
        )
    return {name: _flat(name, value) for name, value in changes.items()}


def penalties_json(penalties: Iterable[Penalty]) -> str:
    return dumps([[p.name, p.amount] for p in penalties])


def penalties_from(text: str) -> tuple[Penalty, ...]:
    return tuple(Penalty(name, amount) for name, amount in _listed(text))


def _listed(text: str) -> list[Any]:
    """A JSON list; most are empty, which need no reading."""
    return [] if text == "[]" else json.loads(text)


def bird_json(bird: Bird) -> str:
    return dumps({k: v for k, v in asdict(bird).items() if v not in (None, (), [])})


def bird_from(text: str) -> Bird:
    values = json.loads(text)
    if "span" in values:
        values["span"] = Span(**values["span"])
    if "penalties" in values:
        values["penalties"] = tuple(Penalty(**p) for p in values["penalties"])
    return Bird(**values)


def words_json(words: Iterable[HeardWord]) -> str:
    return dumps([
        [h.span.start, h.span.end, h.word.text, h.word.start, h.word.end, h.word.confidence, h.listener]
        for h in words
    ])


def words_from(text: str) -> tuple[HeardWord, ...]:
    return tuple(
        HeardWord(Span(a, b), Word(word, start, end, confidence), listener)
        for a, b, word, start, end, confidence, listener in json.loads(text)
    )


def left_out_json(left_out: Iterable[LeftOut]) -> str:
    return dumps([[x.span.start, x.span.end, x.quote, x.why, x.rule] for x in left_out])


def left_out_from(text: str) -> tuple[LeftOut, ...]:
    return tuple(LeftOut(Span(a, b), quote, why, rule) for a, b, quote, why, rule in json.loads(text))


def utterance_row(utterance: Utterance) -> Row:
    return {
        "listener": utterance.listener, "start_s": utterance.start, "end_s": utterance.end,
        "words_json": dumps([[w.text, w.start, w.end, w.confidence] for w in utterance.words]),
    }


def utterance_from(row: Row) -> Utterance:
    words = tuple(Word(*word) for word in json.loads(row["words_json"]))
    return Utterance(words, row["listener"], row["start_s"], row["end_s"])


def day_text(day: date | None) -> str | None:
    return day.isoformat() if day else None


def day_from(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def time_text(at: time | None) -> str | None:
    return at.isoformat(timespec="seconds") if at else None


def time_from(text: str | None) -> time | None:
    return time.fromisoformat(text) if text else None


def moment_from(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def key_of(words: str) -> str:
    """A mark or name as it is looked up: capitals and spaces do not count."""
    return " ".join(words.casefold().split())
