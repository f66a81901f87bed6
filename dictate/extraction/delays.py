"""Delays and lengths of time in days: in two weeks, q7d, 2/52, every other day, five days, no, seven."""

from __future__ import annotations

from collections.abc import Mapping

from dictate.extraction.units import Unit, unit_at
from dictate.vocabulary.entries import Delay

__all__ = ["MAY_SAY_AGAIN", "DelayReader", "says_again"]

SHORTHAND = {"52": 7.0, "7": 1.0, "12": 30.0}  # 2/52 is two weeks, 5/7 five days, 1/12 a month
ONE = frozenset("a, one, another, next, 1, each, every, per, in a, for a, about a, every other".split(", "))
REACH = 8
AGAIN = frozenset(
    "do that, doing that, doing it, doing so, do so, do the same, doing the same, done again, keep that up, "
    "once more, then again, and then again, another one, next one, second dose, another dose, next dose, "
    "again, repeat, rpt, repeated, repeating, and repeat, rept, same again, once more, and again, "
    "do it again, reapply, redo, change it, change them, another, second".split(", ")
)
MAY_SAY_AGAIN = AGAIN | frozenset("do, doing, done, keep, change, changed, next, same, the same, once".split(", "))
ONCE = frozenset("then and now today tonight".split())  # done once: what is said again after them is another time
ROUND = frozenset("go dose doses round treatment one lot helping time shot".split())
WHOLE = frozenset("more full clear whole good - solid straight".split())  # "two clear weeks"
WILL_BE = frozenset("i'll she'll he'll she he we'll there's it's".split())
RESULTS = frozenset("purple blue clean dry down out off up in oil back open shut smooth short".split())
SUBJECTS = frozenset("i i'll we we'll she he she'll".split())
BEFORE_DELAY = frozenset("in for another after every x".split())


def says_again(units: list[Unit], i: int) -> bool:
    """Words that do the last action once more: again, repeat, another go, change it."""
    low = units[i].low
    follow = units[i + 1].low if i + 1 < len(units) else ""
    if low in ("another", "second", "next"):
        return follow in ROUND or (low == "another" and follow in ("in", "after"))
    if low in ("same", "the same"):
        return follow in ("in", "again", "after", "every")
    if low == "once":
        return follow == "more"
    if low in ("do", "doing", "done", "keep") and follow in ("that", "it", "so", "the same", "them"):
        return True
    if low in ("do", "doing") and follow == "the" and units[i + 2 : i + 3] and units[i + 2].low == "same":
        return True
    return low in AGAIN or (low in ("change", "changed") and follow in ("it", "them"))


class DelayReader:
    """Reads lengths of time with the lexicon's delay words."""

    def __init__(self, delays: Mapping[str, Delay]) -> None:
        self.delays = delays
        self.whole: dict[str, Delay] = {}
        for entry in delays.values():
            if entry.whole:
                for say in (*entry.say, *entry.short):
                    self.whole.setdefault(say.lower(), entry)

    def length(self, units: list[Unit], k: int) -> tuple[int | None, int] | None:
        """A length of time at unit k: (days or None if it is not counted, end)."""
        found = self._length(units, k)
        if found is None or found[0] is None:
            return found
        j = found[1] + (found[1] < len(units) and units[found[1]].low in ("from", "on", "come", "and"))
        after = self.delays[units[j].delay] if j < len(units) and units[j].delay and not units[j].gap else None
        if after is None or not after.whole:
            return found
        if after.unknown and units[j - 1].low != "and":
            return None if units[k].delay == "daily" else (None, j + 1)  # a week on Tuesday
        if after.id == "tomorrow" and found[0] % 7 == 0:
            return found[0] + 1, j + 1  # a week tomorrow
        return found

    def _length(self, units: list[Unit], k: int) -> tuple[int | None, int] | None:
        unit = units[k]
        if unit.delay:
            return self._word(units, k)
        if unit.low in ("q", "every") and k + 1 < len(units) and units[k + 1].number:
            return self.length(units, k + 1)
        number = unit.number
        if number is None:
            return None
        value, stop = number.value, k + 1
        if len(number.cuts) == 1 and 10 < value < 10000:
            first, second = float(number.digits[: number.cuts[0][1]]), float(number.digits[number.cuts[0][1] :])
            if 0 < first < second <= first * 2 and second <= 31:
                value = (first + second) / 2  # "eight ten days"
        if stop + 1 < len(units) and units[stop].low in ("to", "or", "-"):
            other = units[stop + 1].number
            if other:
                value, stop = (value + other.value) / 2, stop + 2
        if stop < len(units) and units[stop].low in WHOLE:
            stop += 1
        if stop + 1 < len(units) and units[stop].low == "/" and units[stop + 1].low in SHORTHAND:
            return round(value * SHORTHAND[units[stop + 1].low]), stop + 2
        if stop < len(units) and units[stop].delay and not self.delays[units[stop].delay].whole:
            after = units[stop + 1].low if stop + 1 < len(units) else ""
            if after in ("old", "ago", "of age", "on"):
                return None
            days = value * self.delays[units[stop].delay].days
            return (round(days) if days >= 0.5 else None), stop + 1
        return None

    def _word(self, units: list[Unit], k: int) -> tuple[int | None, int] | None:
        delay = self.delays[units[k].delay]
        if delay.whole:
            return (None if delay.unknown else int(delay.days)), k + 1
        before = units[k - 1].low if k else ""
        if before in ONE and delay.days:
            if before in ("per", "each") or (
                before == "a"
                and k > 1
                and (units[k - 2].low in ("twice", "times", "once") or units[k - 2].number is not None)
            ):
                return None
            return int(delay.days), k + 1
        return (14, k + 1) if delay.id == "fortnight" else None

    def inside(self, phrase: str) -> tuple[bool, int | None]:
        """Does a phrase end in a whole delay ("vet tomorrow")? Its days, None for a day of the week."""
        at = phrase.find(" ")
        while at >= 0:  # the longest ending first
            entry = self.whole.get(phrase[at + 1 :])
            if entry is not None:
                return True, None if entry.unknown else int(entry.days)
            at = phrase.find(" ", at + 1)
        return False, None

    def after(self, units: list[Unit], at: int, end: int, birds: int) -> tuple[int | None, int] | None:
        """The delay of an action whose words end at `end`: looked for up to a new clause; `birds`: how many
        mentions of birds belong to the action and may be passed."""
        k, size, commas = at, len(units), 0
        while k < size and k < max(end, at) + REACH:
            unit = units[k]
            if unit.hard and not _soft(units, k):
                return None
            if (unit.used == "bird" and k >= end and not birds) or unit.used in ("measure", "observation"):
                return None
            if (unit.action and k >= end and not unit.delay) or (unit.region and k >= end + 3):
                return None
            if unit.low in (",", "-"):
                commas += 1
                if commas > 1:
                    return None
            if k >= end and says_again(units, k) and (unit.low != "again" or (k > at and units[k - 1].low in ONCE)):
                return None
            if k > end and unit.low == "again" and k > at:
                return None
            if k >= end and unit.low in WILL_BE and k > at:
                return None
            if (
                k >= end
                and unit.low in ("and", "&", "then", "but")
                and k > at
                and (units[k - 1].is_cue("now") or not self._goes_on(units, k + 1))
            ):
                return None
            found = self.length(units, k)
            if found is not None and (found[0] is not None or unit.delay):
                if found[0] is None and [u.low for u in units[found[1] : found[1] + 2]] == ["and", "for"]:
                    longer = self.length(units, found[1] + 2)  # tonight and for three nights
                    found = longer or found
                follow = unit_at(units, found[1])
                often = bool(unit.delay) and found[0] is not None and found[0] <= 2
                if often and follow is not None and follow.low in ("for", "for a") and found[1] + 1 < size:
                    j = found[1] + 1 + (units[found[1] + 1].low in ("a", "an", "another"))
                    found = (self.length(units, j) if j < size else None) or found  # daily for a week
                return self._put_right(units, *found)
            if k >= end and unit.signs and not unit.used and not _result(units, k, end):
                return None
            k += 1
        return None

    def _goes_on(self, units: list[Unit], k: int) -> bool:
        """After "and": the length goes on ("and for a week"), and no new clause begins ("and in a week I …")."""
        j = k + (k < len(units) and units[k].low in ("for", "every", "x", "q"))
        if j == k and not (k < len(units) and (units[k].number or units[k].delay)):
            return False
        found = self.length(units, j) if j < len(units) else None
        after = unit_at(units, found[1]) if found is not None else None
        return found is not None and not (j == k and after is not None and after.low in WILL_BE | SUBJECTS)

    def once_more(self, units: list[Unit], at: int) -> tuple[int, int] | None:
        """"… tonight and in 7 days", "now & q7d": the days and end of a second time, said right at `at`."""
        k = at + (at < len(units) and units[at].is_cue("now"))
        if k + 1 >= len(units) or units[k].low not in ("and", "&", "+", "then", "and then"):
            return None
        j = k + 1
        while j < len(units) and units[j].low in ("in", "after", "again", "then"):
            j += 1
        if j >= len(units) or (j == k + 1 and units[j].low not in ("q", "every") and not units[j].delay):
            return None
        found = self.length(units, j) if j < len(units) else None
        if found is None or found[0] is None:
            return None
        after = unit_at(units, found[1])
        if after is not None and after.low in SUBJECTS:
            return None
        return found[0], found[1]

    def _put_right(self, units: list[Unit], days: int | None, stop: int) -> tuple[int | None, int]:
        """"in five days, no, seven": the last one counts; its unit may be left out."""
        k, corrected = stop, False
        while k < len(units) and k < stop + 4 and not (units[k].number or units[k].delay):
            if units[k].hard and units[k].low != ";" and not corrected:
                return days, stop
            corrected = corrected or units[k].is_cue("correction") or units[k].low == "no"
            k += 1
        if not corrected or k >= len(units):
            return days, stop
        found = self.length(units, k)
        if found is not None:
            return found
        number, unit = units[k].number, units[stop - 1]
        after = unit_at(units, k + 1)
        if (
            number is None
            or not unit.delay
            or self.delays[unit.delay].whole
            or (after is not None and (after.unit or after.signs))
        ):
            return days, stop
        return round(number.value * self.delays[unit.delay].days), k + 1

    def before(self, units: list[Unit], i: int) -> int | None:
        """A delay said before the action: "in two weeks check her again", "tomorrow I'll …"."""
        for back in range(i - 1, max(-1, i - 6), -1):
            unit = units[back]
            if unit.hard or unit.used in ("bird", "measure", "action") or unit.region or unit.signs:
                return None
            if unit.low in BEFORE_DELAY and back + 1 < i:
                found = self.length(units, back + 1)
                if found is not None and found[0] is not None:
                    return found[0]
            if unit.delay and self.delays[unit.delay].whole and not self.delays[unit.delay].unknown:
                return int(self.delays[unit.delay].days)
            if unit.number and back + 1 < i and units[back + 1].delay:
                found = self.length(units, back)
                if found is not None and found[0] is not None:
                    return found[0]
        return None


def _result(units: list[Unit], k: int, end: int) -> bool:
    """"sprayed it purple", "flushed it out": a word that says how the thing done came out, and finds nothing."""
    return k <= end + 1 and not any(u.region for u in units[k : k + 2]) and units[k].low in RESULTS


def _soft(units: list[Unit], k: int) -> bool:
    """A dot inside an abbreviation: "a.m.", "fec. sample"."""
    if units[k].low != "." or not k:
        return False
    tight = k + 1 < len(units) and units[k + 1].span.start == units[k].span.end
    before = units[k - 1]
    return tight or (
        before.span.end - before.span.start <= 3
        and before.kind == "word"
        and k + 1 < len(units)
        and (units[k + 1].kind == "word" and not before.delay)
    )
