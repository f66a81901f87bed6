"""Units: the pieces of talk that the rules look at, each with what it may mean.

A unit is a phrase of the lexicon, a number, a punctuation mark or a single word. They are made in
unit_maker.py; what cannot be meant where a unit stands is taken away in senses.py.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from dictate.extraction.numbers import Number
from dictate.model import Span
from dictate.vocabulary import Meaning

__all__ = ["CueSense", "Unit", "unit_at"]

HARD = frozenset(".!?;")


class CueSense(NamedTuple):
    """A cue that a unit may be: the rule of the lexicon, its category, and where the words it governs stand."""

    rule: str
    category: str
    direction: str


@dataclass(slots=True)
class Unit:
    """One piece of talk: tokens start..end, its words, and what they may mean."""

    start: int
    end: int
    low: str
    span: Span
    kind: str = "word"  # word, punct, newline, number, plus, date
    gap: bool = False
    number: Number | None = None
    region: str = ""
    plural: bool = False
    weak: bool = False
    signs: tuple[Meaning, ...] = ()
    grade: int = 0
    grade_before: bool = False
    side: str = ""
    cues: tuple[CueSense, ...] = ()
    unit: tuple[str, ...] = ()
    measures: tuple[str, ...] = ()
    action: tuple[Meaning, ...] = ()
    delay: str = ""
    birds: tuple[Meaning, ...] = ()
    observation: str = ""
    slip: str = ""
    adverb: bool = False  # a region whose word is an adverb too: "put her back"
    used: str = ""
    muted: str = ""
    mute_rule: str = ""
    notes: list[str] = field(default_factory=list)
    hard: bool = field(init=False, default=False)  # ends a sentence: a full stop, a line's end

    def __post_init__(self) -> None:
        if self.kind != "word":
            self.hard = self.kind == "newline" or (self.kind == "punct" and self.low in HARD)

    def is_cue(self, category: str) -> bool:
        """True if the unit is a cue of that category."""
        for cue in self.cues:  # noqa: SIM110 - a loop is quicker than any(), and most units are asked many times
            if cue.category == category:
                return True
        return False

    def role(self, role: str, roles: Mapping[str, str]) -> str:
        """The id of the bird word of that role, or nothing."""
        for meaning in self.birds:
            if roles[meaning.id] == role:
                return meaning.id
        return ""


def unit_at(units: Sequence[Unit], i: int) -> Unit | None:
    """The unit at i, or None before the first and behind the last."""
    return units[i] if 0 <= i < len(units) else None
