"""One mention of a bird in a text: is it meant, and of what sex is the bird said to be?"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from dictate.extraction.english import COPULAS
from dictate.extraction.units import Unit
from dictate.model import Span

__all__ = ["Mention", "denied", "imagined", "is_cased", "sex_of", "written"]

NOWHERE = Span(0, 0)


@dataclass(slots=True)
class Mention:
    """One mention of a bird in units at..end.

    `new`: said to be another one ("next bird"; without a mark it opens a bird not yet named).
    `start`: the first of several. `denied`: "this isn't …". `again`: "back to …".
    `own`: the band of the bird in hand ("the band she wears is …"). `weak`: less sure to be a bird.
    `once`: only known from elsewhere in the text. `titled`: known only by "poor old …".
    `corrects`: words of correction stand before it. `listed`: joined to the mention before ("4, 5 and 6")."""

    at: int
    end: int
    band: str = ""
    name: str = ""
    new: bool = False
    start: bool = False
    denied: bool = False
    again: bool = False
    own: bool = False
    weak: bool = False
    once: bool = False
    titled: bool = False
    corrects: bool = False
    listed: bool = False
    span: Span = NOWHERE
    exam: int = -1


def sex_of(units: list[Unit], roles: Mapping[str, str], start: int, end: int) -> str:
    """The first sex word said of the bird in units start..end."""
    for i in range(start, end):
        unit = units[i]
        if unit.muted or not unit.birds or unit.low.endswith("s"):
            continue
        sex = unit.role("sex", dict(roles))
        if not sex:
            continue
        before = [u.low for u in units[max(0, i - 3) : i]]
        if before and (
            before[-1] in ("other", "another", "every", "by", "any")
            or "from" in before
            or "n't" in before
            or (before[-1] == "the" and len(before) > 1 and before[-2] in ("from", "by", "with", "of", "to"))
        ):
            continue
        near = i - start <= 14 or any(w in COPULAS or w in ("a", "an", "she's", "he's") for w in before)
        if near:
            return sex
    return ""


SENTENCE_START = re.compile(r"(?:^\s*|[.!?\n]\s*|[-*•]\s+)([^\W\d_]{2,})")


def is_cased(text: str) -> bool:
    """Is the text written with capitals? Most of its sentences and lines begin with one; "L", "NAD" show nothing."""
    starts = [word for word in SENTENCE_START.findall(text) if not (word.isupper() and len(word) < 5)]
    if not starts:
        return any(c.isupper() for c in text)
    return bool(2 * sum(word[0].isupper() for word in starts) >= len(starts))


def written(unit: Unit, text: str) -> str:
    """The words of the unit as they stand in the text."""
    return text[unit.span.start : unit.span.end]


def denied(units: list[Unit], i: int) -> bool:
    """True where "isn't" or "not" stands before the bird at i in its clause."""
    back: list[Unit] = []
    for unit in reversed(units[max(0, i - 3) : i]):
        if unit.hard or unit.used == "bird" or unit.low == ",":
            break
        back.append(unit)
    return any(u.low in ("n't", "not", "isn't") for u in back)


def imagined(units: list[Unit], at: int) -> bool:
    """Is the bird only imagined ("imagine a hen called …", "if this were …")?"""
    reach = 14 if any(u.kind == "punct" for u in units[max(0, at - 14) : at]) else 6
    for unit in reversed(units[max(0, at - reach) : at]):
        if unit.hard or unit.used:
            return False
        if unit.is_cue("hypothetical") and unit.low not in ("says", "said") and not unit.low.endswith(("says", "said")):
            return True
    return False
