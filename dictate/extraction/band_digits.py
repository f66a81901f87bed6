"""The digits of a band: may a number be one, and where does it end?

A number with a unit, an age or a count is no band; a number too long for one is cut, for a band and a weight are
often said in one breath.
"""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.english import COPULAS
from dictate.extraction.numbers import Number
from dictate.extraction.units import Unit, unit_at
from dictate.model import Span
from dictate.vocabulary import Vocabulary

__all__ = ["LONGEST", "DigitReader", "digits_of"]

LONGEST = 4  # digits of a band; more are a band and something else said in one breath
QUANTITIES = frozenset("in, c, f, l, #, a minute".split(", "))
AFTER_MARK = frozenset("she he has and first next".split())


class DigitReader:
    """Reads the digits of bands with the lexicon's units and bird words."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.roles = {entry.id: entry.role for entry in vocabulary.birds.values()}
        self.table = vocabulary.units
        self.heaviest = vocabulary.measures["weight"].high

    def role(self, unit: Unit, role: str) -> str:
        """The id of the bird word of that role, or nothing."""
        return unit.role(role, self.roles) if unit.birds else ""

    def is_digits(self, units: list[Unit], j: int, worded: bool) -> bool:
        """May the number at j be a band's? Not with a unit, an age, a count or a point."""
        number = units[j].number
        if number is None or number.several or not number.digits or "." in number.digits:
            return False
        after = unit_at(units, j + 1)
        if after is None:
            return True
        tight = after.span.start - units[j].span.end <= 1
        if after.unit and tight and after.low not in QUANTITIES:
            return False
        follow = unit_at(units, j + 2)
        if len(after.low) == 1 and follow is not None and follow.number and follow.span.start == after.span.end:
            return True  # W1-W5
        if (after.delay and tight and not after.gap) or (after.measures and "age" in after.measures):
            return False
        if after.low in ("points", "%", "point", "of them", "of") or (
            after.low == "/" and j + 2 < len(units) and units[j + 2].number
        ):
            return False
        return not (
            number.bare_one
            and not worded
            and not (
                after.kind in ("punct", "newline", "number")
                or after.gap
                or self.role(after, "sex")
                or after.region
                or after.low in COPULAS
                or after.low in AFTER_MARK
                or any(self.roles[m.id] in ("sex", "no-band", "breed", "next") for m in after.birds)
            )
        )

    def digits(self, units: list[Unit], j: int, worded: bool, marked: bool = False) -> tuple[str, int]:
        """The digit string from unit j and its end; cuts what is too long for a band."""
        number = units[j].number
        assert number is not None
        if number.cuts and ("." in number.digits or len(number.digits) > LONGEST or self._measured(units, j, marked)):
            _cut(units, j)
            number = units[j].number
            assert number is not None
        if not self.is_digits(units, j, worded):
            return "", j
        half = len(number.digits) // 2
        if number.cuts and not number.spelled and half and number.digits[:half] == number.digits[half:] and half == 2:
            return number.digits[:half], j + 1  # sixty three, sixty three
        digits, end = digits_of(units[j]), j + 1
        single = len(digits) == 1
        while single and end < len(units):
            k = end + (units[end].low == "," and units[j].low.isalpha())
            other = units[k].number if k < len(units) else None
            if (
                other is None
                or len(other.digits) != 1
                or not self.is_digits(units, k, worded)
                or (k + 1 < len(units) and (units[k + 1].unit or units[k + 1].signs))
            ):
                break
            digits, end = digits + other.digits, k + 1
        return digits, end

    def _measured(self, units: list[Unit], j: int, marked: bool) -> bool:
        """The last part of the number has a unit: yellow five | sixteen forty grams."""
        number = units[j].number
        after = unit_at(units, j + 1)
        if number is None or after is None:
            return False
        tight = after.span.start - units[j].span.end <= 1
        aged = bool(after.delay or "age" in after.measures) and not after.unit
        if len(number.cuts) == 1 and not number.bare_one and aged and tight:
            return True  # blue six | two year old
        if number is not None and len(number.cuts) == 1 and after is not None and after.unit:
            return marked or self._too_much(number.value, after)
        return (
            number is not None
            and len(number.cuts) > 1
            and not number.spelled
            and after is not None
            and bool((after.unit or after.delay) and after.span.start - units[j].span.end <= 1)
        )

    def _too_much(self, value: float, unit: Unit) -> bool:
        """No bird weighs that: "blue one nine pounds" is band 1 and nine pounds."""
        entry = self.table[unit.unit[0]]
        return entry.quantity == "mass" and value * entry.factor > self.heaviest


def digits_of(unit: Unit) -> str:
    """What a band carries for this number: "107"; a leading nought is kept only where it was said."""
    number = unit.number
    if number is None:
        return ""
    digits = number.digits or str(int(number.value))
    return digits if number.spelled or unit.low.isdigit() else digits.lstrip("0") or "0"


def _cut(units: list[Unit], j: int) -> None:
    """Cut the number unit in two: a weight said in pairs or with a point keeps the last groups."""
    unit = units[j]
    number = unit.number
    assert number is not None
    assert number.cuts
    point = "." in number.digits
    token, before = number.cuts[-2] if len(number.cuts) > 1 and not point else number.cuts[-1]
    words = unit.low.split()
    head, tail = words[: token - number.start], words[token - number.start :]
    place = unit.span.end - len(" ".join(tail))
    first = Number(
        float(number.digits[:before]),
        number.digits[:before],
        number.start,
        token,
        len(head) > 1 and number.spelled,
        head == ["one"],
        cuts=tuple(cut for cut in number.cuts if cut[0] < token),
    )
    rest = Number(float(number.digits[before:]), number.digits[before:], token, number.end)
    units[j : j + 1] = [
        replace(unit, end=token, low=" ".join(head), span=Span(unit.span.start, place - 1), number=first, notes=[]),
        replace(
            unit, start=token, low=" ".join(tail), span=Span(place, unit.span.end), number=rest, gap=False, notes=[]
        ),
    ]
