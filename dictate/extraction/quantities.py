"""Amounts with a unit: weights, lengths, temperatures, rates, fingers, ages.

Conversions by UCUM and NIST SP 811 (the factors stand in units.toml).
"""

from __future__ import annotations

from collections.abc import Mapping

from dictate.extraction.english import SHE_OR_HE
from dictate.extraction.units import Unit, unit_at
from dictate.model import Measurement
from dictate.vocabulary.entries import Measure
from dictate.vocabulary.entries import Unit as UnitEntry

__all__ = ["Found", "QuantityReader", "broken_amount", "with_value"]

Found = tuple[int, int, Measurement]

CONSUMED = frozenset(
    "eaten, ate, eats, drunk, feed, lost, gained, put, laid, eating, drinking, gaining, losing, dropped, "
    "used, gone through".split(", ")
)
CHANGE = frozenset("lighter, heavier, less, more, down, up, since, of, a day, per, each".split(", "))
EXACTLY = frozenset("even, exactly, dead, on the nose, flat, bang on, on the dot".split(", "))
SPAN_WORDS = frozenset(
    "across, wide, long, in diameter, diameter, out, by, deep, or, so, in length, thick, high, proud".split(", ")
)
FRACTIONS = {"a half": 0.5, "half": 0.5, "a quarter": 0.25, "quarter": 0.25, "three quarters": 0.75}
ABOUT = frozenset("about nearly almost around roughly just barely under over".split())


def with_value(
    base: Measurement, kind: str, value: float, unit: str, low: float | None = None, high: float | None = None
) -> Measurement:
    """`base` (range, about, former) with its kind, value and unit."""
    return Measurement(
        kind,
        value,
        unit,
        None,
        low if low is not None else base.low,
        high if high is not None else base.high,
        base.approximate,
        base.former,
    )


def _fraction(units: list[Unit], at: int) -> tuple[float, int]:
    """"… and a half" at unit `at`: (fraction, its end), or (0, at)."""
    if at + 1 < len(units) and units[at].low == "and":
        for size in (1, 2):
            words = " ".join(u.low for u in units[at + 1 : at + 1 + size])
            if words in FRACTIONS:
                return FRACTIONS[words], at + 1 + size
    return 0.0, at


def broken_amount(
    units: list[Unit], i: int, table: Mapping[str, UnitEntry], other: frozenset[str] = frozenset()
) -> Found | None:
    """"half an inch", "a centimetre", "an inch and a half", "half a kilo", "a pound and a half".

    `other`: words before a length that is then no size of something found.
    """
    unit = units[i]
    part, at = 0.0, i + 1
    if unit.unit and unit.unit[0] in ("pound", "kilogram") and not unit.used and not (i and units[i - 1].number):
        extra, stop = _fraction(units, i + 1)  # "kilo and a half"
        factor = table[unit.unit[0]].factor
        return (i, stop, Measurement("weight", (1 + extra) * factor, "g")) if extra else None
    if unit.number is not None and unit.number.several and unit.number.value < 1:
        part = unit.number.value
        if at < len(units) and units[at].low == "of":
            at += 1
        if at < len(units) and units[at].low in ("an", "a"):
            at += 1
        elif "a" not in unit.low.split() and at < len(units) and not units[at].unit:
            return None
    elif unit.low in ("a", "an") or unit.low in ("about a", "just a"):
        part = 1.0
    if not part or at >= len(units) or not units[at].unit or units[at].used or len(units[at].low) < 3:
        return None
    entry = table[units[at].unit[0]]
    if entry.quantity not in ("mass", "length"):
        return None
    stop = at + 1
    if part == 1.0:
        extra, stop = (
            rest_of_weight(units, stop, units[at].unit[0], 1.0, table)
            if entry.quantity == "mass"
            else _fraction(units, stop)
        )
        part += extra / entry.factor if entry.quantity == "mass" else extra
    follower = unit_at(units, stop)
    if (follower is not None and follower.low in CHANGE) or _consumed(units, i):
        return None
    about = i > 0 and units[i - 1].low in ABOUT
    if entry.quantity == "mass":
        return i, stop, Measurement("weight", part * entry.factor, "g", approximate=about)
    if any(u.low in other for u in units[max(0, i - 3) : i]):
        return None
    return i, stop, Measurement("lesion size", part * entry.factor, "mm", approximate=about)


def rest_of_weight(
    units: list[Unit], at: int, unit_id: str, whole: float, table: Mapping[str, UnitEntry]
) -> tuple[float, int]:
    """What is said behind the unit of a weight, in grams, and its end: five pound | six and a half, two kilo | fifty,
    one kilo | nine (hundred), four pound | and an ounce, three pounds | and a quarter."""
    factor = table[unit_id].factor
    part, stop = _fraction(units, at)
    if part or unit_id not in ("pound", "kilogram"):
        return part * factor, stop
    follower = unit_at(units, at)
    j = at + (follower is not None and follower.low in ("and", ","))
    small, then = units[j].number if j < len(units) else None, unit_at(units, j + 1)
    then_unit = then.unit[0] if then is not None and then.unit else ""
    if j < len(units) and units[j].low in ("a", "an") and unit_id == "pound" and then_unit == "ounce":
        return table["ounce"].factor, j + 2
    if small is None or units[j].used:
        return 0.0, at
    if small.several:
        return (small.value * factor, j + 1) if small.value < 1 else (0.0, at)
    free = not then_unit and not (
        then is not None
        and ((then.measures and "weight" not in then.measures) or then.delay or _counts(units, j + 1, small.value))
    )
    if unit_id == "pound":
        if small.value < 16 and (then_unit == "ounce" or (free and j == at)):
            return small.value * table["ounce"].factor, j + 1 + (then_unit == "ounce")
    elif whole == int(whole) and small.value == int(small.value):
        if 10 <= small.value < 1000 and (then_unit == "gram" or (free and (j == at or small.value >= 20))):
            return small.value, j + 1 + (then_unit == "gram")
        if free and j == at and 1 <= small.value < 10 and len(units[j].low) > 1 and not small.bare_one:
            return small.value * 100, j + 1  # one kilo nine: nine hundred
    return 0.0, at


def _counts(units: list[Unit], k: int, value: float) -> bool:
    """Does a number before the unit at k count what stands there ("two kilos, two scabs")?"""
    return value < 10 and units[k].low.endswith("s") and bool(units[k].signs or units[k].region or units[k].birds)


def _consumed(units: list[Unit], start: int) -> bool:
    """Is the weight what was eaten, lost or gained, and not the bird's?"""
    for unit in reversed(units[max(0, start - 5) : start]):
        if unit.low in CONSUMED:
            return True
        if unit.hard or unit.low in SHE_OR_HE or unit.low in ("so", "now"):
            return False
    return False


class QuantityReader:
    """Reads amounts with the lexicon's units."""

    def __init__(self, units: Mapping[str, UnitEntry], measures: Mapping[str, Measure]) -> None:
        self.units = units
        self.measures = measures
        self.other_things = frozenset(measures["lesion size"].not_of)
        self.other_sizes = self.other_things | frozenset(measures["lesion size"].not_after)

    def mass(
        self, units: list[Unit], start: int, end: int, unit_id: str, base: Measurement, first: int
    ) -> Found | None:
        """A weight with everything of it: 4 lb 6 oz, two kilo one hundred, three and a half pounds."""
        factor = self.units[unit_id].factor
        rest, stop = rest_of_weight(units, end + 1, unit_id, base.value, self.units)
        grams = base.value * factor + rest
        follower = unit_at(units, stop)
        if follower is not None and (
            follower.low in CHANGE
            or follower.low.partition(" ")[0] in ("less", "more")
            or (follower.low == "a" and stop + 1 < len(units) and units[stop + 1].low == "day")
        ):
            return None
        consumed = first == start and _consumed(units, start)
        if not 15 <= grams <= 15000 or consumed or (start and units[start - 1].low in ("down", "up", "by")):
            return None
        scale = grams / (base.value * factor) if base.value else 1.0
        low = base.low * factor * scale if base.low else None
        high = base.high * factor * scale if base.high else None
        if stop < len(units) and units[stop].low in EXACTLY:
            stop += 1
        return first, stop, with_value(base, "weight", grams, "g", low, high)

    def length(self, units: list[Unit], start: int, end: int, unit_id: str, base: Measurement) -> Found | None:
        """The size of something found, in mm; not that of a ring or of what was cut off."""
        factor = self.units[unit_id].factor
        part, stop = _fraction(units, end + 1)
        value = (base.value + part) * factor
        if (
            [u.low for u in units[stop : stop + 1]] in (["by"], ["x"], ["×"])
            and stop + 1 < len(units)
            and units[stop + 1].number
        ):
            other = units[stop + 1].number  # twelve by nine: the longer one counts
            stop += 2
            value = max(value, other.value * factor) if other else value
            stop += bool(stop < len(units) and units[stop].unit)
        while stop < len(units) and units[stop].low in SPAN_WORDS:
            stop += 1
        if stop < len(units) and units[stop].low in self.other_things:
            return None
        if any(u.low in self.other_sizes for u in units[max(0, start - 3) : start]):
            return None
        low = base.low * factor if base.low else None
        high = base.high * factor if base.high else None
        return start, stop, with_value(base, "lesion size", value, "mm", low, high)

    def celsius(self, value: float, unit_id: str) -> float:
        """A temperature in °C; with no unit, below 60 it is Celsius already, for no bird is at 60 °C."""
        if unit_id == "degree" or not unit_id:
            unit_id = "celsius" if value < 60 else "fahrenheit"
        unit = self.units[unit_id]
        return value * unit.factor + unit.offset

    def temperature(
        self, units: list[Unit], start: int, end: int, unit_id: str, base: Measurement, kind: str, first: int
    ) -> Found | None:
        """A temperature in degrees ("41.2", "forty one and a half"); units start..end are the number."""
        if (unit_id in ("celsius", "fahrenheit") and kind not in ("", "temperature")) or not 30 <= base.value <= 115:
            return None
        stop = end + 1
        part, stop = _fraction(units, stop)
        if (
            unit_id == "degree"
            and stop < len(units)
            and units[stop].unit
            and self.units[units[stop].unit[0]].quantity == "temperature"
        ):
            unit_id, stop = units[stop].unit[0], stop + 1
        return first, stop, with_value(base, "temperature", self.celsius(base.value + part, unit_id), "C")

    @staticmethod
    def rate_kind(units: list[Unit], start: int, value: float) -> str:
        """Heart or breathing: the nearer one named before, else by its size."""
        for u in reversed(units[max(0, start - 12) : start + 2]):
            if "heart rate" in u.measures:
                return "heart rate"
            if "breathing rate" in u.measures or u.region == "breathing":
                return "breathing rate"
        return "heart rate" if value >= 130 else "breathing rate"

    def fingers(self, units: list[Unit], start: int, end: int, base: Measurement) -> Found:
        """Fingers' breadths: between the pubic bones, or from them down to the keel."""
        stop = end + 1
        near = units[max(0, start - 9) : start]
        kind, first = "", start
        told = any(m in ("abdomen depth", "pubic spread") for u in near[-2:] for m in u.measures)
        if units[end].low.rpartition(" ")[2] in ("between", "apart", "them"):
            kind = "pubic spread"
        for k, u in enumerate(units[stop : stop + 5]):
            if u.hard or u.number:
                break
            if told and u.measures and stop + k + 1 < len(units) and units[stop + k + 1].number:
                break  # the next kind has a number of its own
            if "abdomen depth" in u.measures:
                kind, stop = "abdomen depth", stop + k + 1
                break
            if "pubic spread" in u.measures or u.low in ("between", "apart", "wide"):
                kind, stop = "pubic spread", stop + k + 1
                break
            if u.region or u.signs:
                break
        if not kind:
            for k in range(len(near) - 1, -1, -1):
                u = near[k]
                if ("abdomen depth" in u.measures and "pubic spread" not in u.measures) or u.region == "abdomen":
                    kind = "abdomen depth"
                elif "pubic spread" in u.measures:
                    kind = "pubic spread"
                if kind:
                    place = start - len(near) + k
                    if u.measures and not u.used and start - place <= 3 and not any(n.signs for n in near[k + 1 :]):
                        first = place
                    break
        while stop < len(units) and units[stop].low in ("apart", "between", "wide", "deep", "across"):
            stop += 1
        return first, stop, with_value(base, kind or "pubic spread", base.value, "finger")
