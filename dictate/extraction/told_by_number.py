"""Bare numbers as bands where birds are told by their numbers: "seventeen hen comb fine", a note's "17 2.1kg ok".

In speech a bird must have been told by a number alone before, with as many digits; in written notes a number
that begins a line is enough, if a bird's report follows and the number counts nothing.
"""

from __future__ import annotations

from dictate.extraction.bands import BandReader
from dictate.extraction.english import SHE_OR_HE
from dictate.extraction.names import NameReader
from dictate.extraction.units import Unit, unit_at

__all__ = ["begins_line", "in_row"]

MARKS = frozenset(": - – ; , / ( | = .".split())
SEX_LETTERS = frozenset("f m h c p".split())
AFTER_NUMBER = frozenset("ok okay not nil fine is was has now next had weighs got looks".split())
BEFORE = frozenset("and then now next so okay right , : - ( & lastly finally on it's is this got that's".split())
COUNTS = frozenset("of points point % x × to or weeks degrees".split())


def _reports(names: NameReader, units: list[Unit], k: int, value: float) -> bool:
    """Does the report of a bird begin at k, and nothing that the number before it counts?"""
    after = unit_at(units, k)
    if after is None:
        return False
    if after.low in SHE_OR_HE or after.low in AFTER_NUMBER:
        return True
    plural = after.low.endswith("s") and bool(after.region or after.birds or after.signs)
    if (plural and value < 30 and not after.low.endswith("ss")) or after.low in COUNTS or after.delay:
        return False
    if after.number is not None:
        unit = unit_at(units, k + 1)
        return "." in after.number.digits or len(after.number.digits) == 4 or bool(unit is not None and unit.unit)
    if after.unit and after.low not in SEX_LETTERS and not after.side:
        return False
    return (
        names.begins_report(after)
        or bool(after.signs or after.action)
        or after.is_cue("absent")
        or bool(names.role(after, "sex"))
    )


def begins_line(names: NameReader, bands: BandReader, units: list[Unit], i: int) -> bool:
    """A written number at the start of a line, with a report behind it: "17 2.1kg ok", "101 F 1.9", "12 / hen"."""
    unit = units[i]
    if unit.number is None or not unit.low.isdigit() or not (i == 0 or units[i - 1].kind == "newline"):
        return False
    k = i + 1
    if k < len(units) and units[k].low in MARKS and not (units[k].low in "/.,-" and _tight_number(units, k)):
        k += 1
    if k < len(units) and units[k].low in SEX_LETTERS and units[k].kind == "word" and len(units[k].low) == 1:
        follow = unit_at(units, k + 1)
        return follow is None or follow.number is not None or _reports(names, units, k + 1, 99)
    free = bands.is_digits(units, i, False) or k > i + 1
    return free and _reports(names, units, k, unit.number.value)


def _tight_number(units: list[Unit], k: int) -> bool:
    follow = unit_at(units, k + 1)
    return follow is not None and follow.number is not None


def in_row(names: NameReader, bands: BandReader, units: list[Unit], i: int, lengths: set[int]) -> bool:
    """A spoken or written number with as many digits as the bare bands before it, where a bird is begun."""
    unit, before, after = units[i], unit_at(units, i - 1), unit_at(units, i + 1)
    number = unit.number
    if number is None or number.bare_one or after is None or before is None:
        return False
    told = (bool(names.role(after, "sex")) and not after.low.endswith("s")) or names.is_a(units, i)
    if len(number.digits) not in lengths and not told:
        return False
    if not bands.is_digits(units, i, False) or before.measures or before.number:
        return False
    amount = units[i - 2].number if i > 1 and before.unit else None
    if before.unit and not before.used and not (amount is not None and "." in amount.digits):
        return False  # "two kilos seventeen" is one weight
    closed = (
        before.hard
        or before.gap
        or unit.gap
        or before.used in ("measure", "action", "bird")
        or before.low in BEFORE
        or bool(before.signs or before.action or before.unit or names.intro(before) or names.role(before, "kin"))
        or before.is_cue("other-bird")
    )
    if not closed:
        return False
    k = i + 1 + (after.low in MARKS)
    k += k < len(units) and units[k].low in ("now", "next")
    return _reports(names, units, k, number.value)
