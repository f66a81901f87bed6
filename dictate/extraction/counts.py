"""Things counted: parasites, broken feathers, points of the comb, birds seen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from dictate.extraction.hits import NORMAL, PLUMAGE
from dictate.extraction.units import Unit, unit_at
from dictate.model import Measurement
from dictate.vocabulary.entries import Measure, Sign

__all__ = ["CountReader"]

Found = tuple[int, int, Measurement]

BETWEEN = frozenset(
    "northern little small live of the or so tiny more fat big good long red grey crawling dead separate "
    "clear x × are were is white roundish adult brown black odd single lone possible visible".split()
)
OF_THEM = frozenset(
    "of them, only, that i can see, i can see, in all, i counted, i can count, so far, at least, in total, "
    "altogether, all told, i make it, ones, long ones, big ones, little ones, small ones, live ones, fat ones".split(
        ", "
    )
)
SEEING = frozenset(
    "x, ×, i can see, i see, i count, counted, only, i counted, i make it, count, about, maybe, see, found, "
    "i found, got, saw, spotted, :, =, around, roughly".split(", ")
)
EXCEPT = frozenset("except, apart from, bar, except for, but, save, only, just, other than, barring".split(", "))
SIDES = frozenset("on under in round at behind around".split())


class CountReader:
    """Reads counts with the lexicon's parasites, feathers and words for points."""

    def __init__(self, signs: Mapping[str, Sign], count: Measure, number_words: frozenset[str]) -> None:
        self.signs = signs
        self.point_words = frozenset(word.lower() for word in count.after)
        self.pointed, self.feathers = count.points_of, count.feathers
        self.feathered, self.feather_signs = frozenset(count.feathered), frozenset(count.feather_signs)
        self.many = frozenset(sign for sign in signs if not sign.endswith("s"))  # named by a plural without s
        self.number_words = number_words

    def countable(self, sign: str) -> bool:
        """True for things that are counted one by one."""
        return self.signs[sign].parasite or self.signs[sign].counted

    def counted(self, unit: Unit) -> str:
        """The countable sign of a unit, or nothing."""
        return next((m.id for m in unit.signs if self.countable(m.id)), "")

    def in_phrase(self, units: list[Unit], i: int) -> Found | None:
        """"one tick", where the lexicon has the number in the phrase itself."""
        unit = units[i]
        first, _, rest = unit.low.partition(" ")
        if not rest or not unit.signs or first not in ("one", "two", "three") or not self.counted(unit):
            return None
        value = {"one": 1.0, "two": 2.0, "three": 3.0}[first]
        return i, i, Measurement("count", value, "1", of=self.counted(unit))

    def read(self, units: list[Unit], start: int, i: int, end: int, base: Measurement) -> Found | None:
        """The count whose number stands at i (words of "about" from `start`, a range up to `end`)."""
        number = units[i].number
        assert number is not None
        aloud = len(number.digits)
        if number.spelled and aloud > 1 and number.digits == "123456789"[:aloud]:  # one, two, three ticks
            base = replace(base, value=float(aloud))
        if (
            not base.value
            or (base.value != int(base.value) and base.low is None)
            or (number.several and base.value < 2)
        ):
            return None
        ahead = self._ahead(units, start, i, end, base)
        return ahead or self._behind(units, start, i, end, base)

    def _ahead(self, units: list[Unit], start: int, i: int, end: int, base: Measurement) -> Found | None:
        number = units[i].number
        j = end
        while j < len(units) and j < end + 3 and (units[j].low in BETWEEN or units[j].grade):
            j += 1
        if (
            j + 1 < len(units)
            and units[j].region in self.feathered
            and units[j].low.endswith("s")
            and self.counted(units[j + 1]) == self.feathers
        ):
            j += 1
        after = unit_at(units, j)
        if after is None or after.used or number is None:
            return None
        counted = self.counted(after)
        if number.bare_one and i and units[i - 1].side:
            return None  # "the right one"
        if counted and not (number.bare_one and after.low.endswith("s") and counted not in self.many):
            return start, end, count_of(base, counted)
        if after.low in self.point_words and not self._lost(units, start):
            if number.bare_one and any(u.low in ("of them", "of") for u in units[end : j + 2]):
                return None
            return start, j + 1, count_of(base, self.pointed)
        if after.region in self.feathered and (after.low.endswith("s") or after.region == PLUMAGE):
            for u in units[j + 1 : j + 7]:
                if u.hard or (u.region and u.region not in self.feathered):
                    break
                if any(m.id in self.feather_signs for m in u.signs):
                    return start, end, count_of(base, self.feathers)
        if any(m.id in ("hen", "bird") for m in after.birds) and any(
            u.low in ("seen", "examined", "handled", "checked", "looked at") for u in units[j + 1 : j + 4]
        ):
            return start, j + 1, count_of(base, "birds")
        return None

    @staticmethod
    def _lost(units: list[Unit], start: int) -> bool:
        return any(u.low in ("lose", "lost", "losing") for u in units[max(0, start - 3) : start])

    def _behind(self, units: list[Unit], start: int, i: int, end: int, base: Measurement) -> Found | None:
        """"lice, about ten", "ticks … four of them", "no broken feathers except 2 on the left"."""
        number = units[i].number
        before = unit_at(units, start - 1)
        after = unit_at(units, end)
        while after is not None and after.low in BETWEEN and after.low not in ("of", "the"):
            end += 1
            after = unit_at(units, end)
        words = [u.low for u in units[end : end + 2]]
        them = words in (["of", "them"], ["of", "'em"], ["of", "those"]) or (after is not None and after.low in OF_THEM)
        seen = before is not None and before.low in SEEING
        beyond = before is not None and before.low in EXCEPT and bool(words) and words[0] in SIDES
        if number is None or (number.bare_one and not ((seen and after is None) or beyond)):
            return None
        if not (them or seen or beyond or base.approximate):
            return None
        if after is not None and (
            after.delay
            or after.unit
            or (after.region and not beyond and not (before is not None and before.low in ("x", "×")))
        ):
            return None
        for n, u in enumerate(reversed(units[max(0, start - 12) : start])):
            hit = self.counted(u)
            if hit:
                return start, end, count_of(base, hit)
            if u.low in self.point_words:
                return start, end, count_of(base, self.pointed)
            if (
                (u.hard and u.low not in (".", ";"))
                or (u.signs and u.signs[0].id != NORMAL)
                or (u.used == "measure" and n < 2)
            ):
                break
        return None


def count_of(base: Measurement, of: str) -> Measurement:
    """The count with the range and "about" of its number."""
    return Measurement("count", base.value, "1", of, base.low, base.high, base.approximate, base.former)
