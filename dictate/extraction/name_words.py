"""Which words may be names of birds at all: unknown to the lexicon, or known to it as names."""

from __future__ import annotations

from collections.abc import Mapping

from dictate.extraction.units import Unit

__all__ = ["NameWords"]

OPENING = frozenset(
    'okay | right | now | and | so | , | " | well | then | oh | but | hello | come on | : | & | next | '
    "plus | ( | / | - | ok | righto".split(" | ")
)
NO_NAME = frozenset("sex band bird next start again no-band pen name kin title group".split())  # roles


class NameWords:
    """What a word may be, with the lexicon's introductions, sexes and words that are no names."""

    def __init__(self, roles: Mapping[str, str], not_names: set[str]) -> None:
        self.roles = dict(roles)
        self.not_names = not_names

    def role(self, unit: Unit, role: str) -> str:
        """The id of the bird word of that role, or nothing."""
        return unit.role(role, self.roles) if unit.birds else ""

    def intro(self, unit: Unit) -> str:
        """The entry (called, presented, perhaps) if the unit introduces a name."""
        return self.role(unit, "name")

    def plain(self, unit: Unit) -> bool:
        """A word the lexicon knows nothing of, or knows for a name."""
        return self.wordless(unit) and not (any(self.roles[m.id] != "given" for m in unit.birds))

    def possible(self, units: list[Unit], i: int, text: str, cased: bool, called: bool = False) -> bool:
        """May the word at i be a name if its surroundings say so? After "called" ordinary words may be one too."""
        if not 0 <= i < len(units):
            return False
        unit = units[i]
        low = unit.low
        if low in self.not_names and not (called and any(m.id == "ordinary" for m in unit.birds)):
            return False
        if unit.kind != "word" or len(low) < 3 or unit.used or not low.isalpha():
            return False
        if cased and not text[unit.span.start].isupper():
            return False
        if unit.number or unit.delay or unit.cues or unit.unit or unit.side or unit.grade:
            return False
        return not unit.birds or not any(self.roles[m.id] in NO_NAME for m in unit.birds)

    def fresh(self, units: list[Unit], i: int, text: str, cased: bool) -> bool:
        """possible, and either unknown to the lexicon or written with a capital inside a sentence."""
        if not self.possible(units, i, text, cased):
            return False
        if self.plain(units[i]):
            return True
        return cased and i > 0 and not units[i - 1].hard and units[i - 1].low not in (":", "-", "(")

    def sexed(self, units: list[Unit], start: int, reach: int = 4) -> bool:
        """A sex word within the next units of the same clause."""
        for unit in units[start : start + reach]:
            if unit.hard or unit.low in (",", ";", "and"):
                return False
            if (
                self.role(unit, "sex") or (self.role(unit, "breed") and unit.low.endswith(("hen", "cock")))
            ) and not unit.low.endswith("s"):
                return True
        return False

    def opens(self, units: list[Unit], i: int) -> bool:
        """Does a sentence or breath begin at i?"""
        if i <= 0 or units[i].gap:
            return True
        before = units[i - 1]
        return (
            before.hard
            or before.low in OPENING
            or before.used == "bird"
            or bool(
                self.role(before, "next")
                or self.role(before, "start")
                or self.role(before, "again")
                or (self.intro(before) and before.low not in ("it's", "that's"))
            )
        )

    def wordless(self, unit: Unit) -> bool:
        """Unknown to the lexicon but as a word for birds: a colour, a breed or a name."""
        return not (
            unit.region
            or unit.signs
            or unit.measures
            or unit.unit
            or unit.delay
            or unit.side
            or unit.grade
            or unit.cues
            or unit.action
            or unit.number
            or unit.observation
        )

    def given(self, unit: Unit) -> bool:
        """A name that the lexicon lists."""
        return bool(unit.birds) and bool(self.role(unit, "given"))
