"""Ages: nineteen weeks, three years old, 17wk, a year old, eighteen months, aged two.

A length of time is an age where "old" is said, where the word age stands before it, or where it
follows the bird's sex, breed or mark. Otherwise it is a delay and left for the actions.
"""

from __future__ import annotations

from collections.abc import Mapping

from dictate.extraction.quantities import Found, with_value
from dictate.extraction.units import Unit, unit_at
from dictate.model import Measurement
from dictate.vocabulary.entries import Delay, Measure

__all__ = ["AgeReader"]

RISING = ("coming up", "going on", "rising", "coming on", "getting on for", "turned", "is now", "now aged")
WOULD_BE = ("'ll be", "'d be", "must be", "will be", "would be")
THIS_YEAR = frozenset("now in this come next , years".split())
YEARS = frozenset(n / 2 for n in range(2, 31))  # an age that is told as a mere number
WEEKS_A_YEAR = 52.0  # the record counts a year of age as 52 weeks
BEFORE_DELAY = frozenset(
    "in for every x again another within after next over back last past since by took per until till".split()
)
AFTER_DELAY = frozenset(
    "ago, on, later, apart, since, from now, from today, earlier, time, running, after, before, course, "
    "back, straight, in".split(", ")
)
CLAUSE_ENDS = frozenset(", | so | and | now | or | but | ) | I think".split(" | "))


class AgeReader:
    """Reads ages with the lexicon's lengths of time."""

    def __init__(self, delays: Mapping[str, Delay], age: Measure, roles: Mapping[str, str]) -> None:
        self.delays = delays
        self.old = frozenset(
            word.lower()
            for word in (*age.say, *age.short)
            if "old" in word or "age" in word or word in ("yo", "wo", "y/o", "w/o", "y.o.")
        )
        self.roles = dict(roles)

    def read(self, units: list[Unit], start: int, end: int, base: Measurement, kind: str, first: int) -> Found | None:
        """The age whose number stands before `end`; `kind` is what was named before, at `first`."""
        after = unit_at(units, end)
        bare = self._years(units, start, end, base)
        if bare:
            return bare
        if kind == "age" and (after is None or not (after.delay or "age" in after.measures)):
            return (
                (first, end, with_value(base, "age", base.value, "week"))
                if base.value >= 10
                else (first, end, with_value(base, "age", base.value * WEEKS_A_YEAR, "week"))
            )
        if after is None or after.used or not (after.delay or "age" in after.measures) or after.low == "old":
            return None
        weeks = _weeks(after.low)
        if weeks is None:
            return None
        stop = end + 1
        part = 0.0
        if [u.low for u in units[stop : stop + 2]] in (["and", "a half"], ["and", "half"]):
            part, stop = 0.5, stop + 2
        is_old = after.low.replace(" ", "") in {word.replace(" ", "") for word in self.old} and not after.delay
        if stop < len(units) and units[stop].low in ("old", "of age"):
            is_old, stop = True, stop + 1
        elif [u.low for u in units[stop : stop + 2]] == ["of", "age"]:
            is_old, stop = True, stop + 2
        if not is_old and kind != "age" and not self._of_a_bird(units, start, stop, weeks):
            return None
        low = base.low * weeks if base.low else None
        high = base.high * weeks if base.high else None
        return (
            (first if kind == "age" else start),
            stop,
            with_value(base, "age", round((base.value + part) * weeks, 2), "week", low, high),
        )

    def _years(self, units: list[Unit], start: int, end: int, base: Measurement) -> Found | None:
        """"she's a silkie and she's two": years are meant where nothing is said of what is counted."""
        before, after = unit_at(units, start - 1), unit_at(units, end)
        number = units[end - 1].number
        if number is None or number.several or number.bare_one or base.value not in YEARS or before is None:
            return None
        lead = " ".join(u.low for u in units[max(0, start - 3) : start])
        she = before.low in ("she's", "he's", "she is", "he is") or lead.endswith(
            (" she 's", " he 's", "she 's", "he 's")
        )
        rising = lead.endswith(RISING)
        would = lead.endswith(WOULD_BE) and after is not None and after.low.partition(" ")[0] in THIS_YEAR
        sex = start > 1 and before.low == "," and bool(units[start - 2].birds) and self._kind_of_bird(units[start - 2])
        bracket = sex and after is not None and after.low == ")"
        if not (she or rising or would or bracket):
            return None
        ends = (
            after is None or after.hard or after.gap or after.low in CLAUSE_ENDS or (after.region and not after.plural)
        )
        if not (ends or would or (rising and after is not None and not (after.signs or after.unit or after.delay))):
            return None
        return start, end, with_value(base, "age", base.value * WEEKS_A_YEAR, "week")

    def in_words(self, units: list[Unit], i: int) -> Found | None:
        """"a year old", "about a year old", "a month old"."""
        if units[i].low not in ("a", "an", "one", "about a", "just a") or i + 1 >= len(units):
            return None
        after = units[i + 1]
        weeks = _weeks(after.low) if after.delay or "age" in after.measures else None
        if weeks is None or after.used:
            return None
        old = after.low.endswith("old") or (i + 2 < len(units) and units[i + 2].low in ("old", "of age"))
        if [u.low for u in units[i + 2 : i + 4]] in (["and", "a half"], ["and", "half"]) and not after.low.endswith(
            "old"
        ):
            stop = i + 4 + (i + 4 < len(units) and units[i + 4].low == "old")
            before = unit_at(units, i - 1)
            told = stop > i + 4 or (before is not None and (before.used == "bird" or self._kind_of_bird(before)))
            return (i, stop, Measurement("age", 1.5 * weeks, "week")) if told else None
        if not old:
            return None
        part = -0.5 if i and units[i - 1].low == "half" else 0.0
        return i, i + 2 + (not after.low.endswith("old")), Measurement("age", (1.0 + part) * weeks, "week")

    def _kind_of_bird(self, unit: Unit) -> bool:
        return bool(unit.birds) and any(self.roles[m.id] in ("sex", "no-band", "breed", "given") for m in unit.birds)

    def _of_a_bird(self, units: list[Unit], start: int, stop: int, weeks: float) -> bool:
        """Does the length of time stand where an age stands?"""
        before = unit_at(units, start - 1)
        near = units[max(0, start - 9) : start]
        if before is None or (before.hard and not any(u.used == "bird" or self._kind_of_bird(u) for u in near)):
            return any(u.birds and any(self.roles[m.id] == "sex" for m in u.birds) for u in units[stop : stop + 2])
        if before.low in BEFORE_DELAY or before.is_cue("past") or before.action or weeks < 1.0:
            return False
        after = unit_at(units, stop)
        if after is not None and after.low in AFTER_DELAY:
            return False
        if any(
            u.used != "bird" and (u.action or u.low in BEFORE_DELAY or u.region or u.signs or u.used == "action")
            for u in near[-3:]
        ):
            return False
        for u in near:
            if u.used == "bird" or (
                u.birds and any(self.roles[m.id] in ("sex", "no-band", "breed", "given") for m in u.birds)
            ):
                return before.low != "/"
        ahead = units[stop : stop + 2]
        return before.low in ("she's", "he's", "'s", "also") or any(
            u.birds and any(self.roles[m.id] == "sex" for m in u.birds) for u in ahead
        )


def _weeks(words: str) -> float | None:
    """Weeks of one unit of the length of time: "year old" → 52, "d" → 1/7."""
    head = words.split()[0].rstrip(".")
    if head.startswith("y"):
        return WEEKS_A_YEAR
    if head.startswith("m"):
        return WEEKS_A_YEAR / 12
    if head.startswith("w"):
        return 1.0
    if head.startswith("d"):
        return 1.0 / 7
    return 2.0 if head.startswith("fortnight") else None
