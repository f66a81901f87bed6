"""Amounts whose unit nobody says: "she's nineteen forty", "hen, 2.1", "the heavier at two point four".

A weight with a point is in kilograms, or in pounds where the text weighs in pounds; a whole number of three or
four digits is in grams. It must stand where a weight stands: after the bird, her sex, or "she's".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from dictate.extraction.english import SHE_OR_HE
from dictate.extraction.quantities import Found, QuantityReader
from dictate.extraction.units import Unit, unit_at
from dictate.model import Measurement, Penalty

__all__ = ["Custom", "ImpliedReader"]

STEPS = 6
SMALL = frozenset(
    "only : - – , at is now just = 's about around nearly say still up to it's a an the i'd i make her him i've got "
    "today comes in goes and i'll well that's ( bang on exactly than one this time "
    "under over bit near shy of heavier lighter bigger smaller heaviest lightest biggest smallest".split()
)
OF_NO_WEIGHT = frozenset("of % / points point times x × to or degrees out".split())
BIRD_ROLES = frozenset("sex breed no-band".split())


@dataclass(slots=True)
class Custom:
    """What the text has shown so far: the kinds it measures, and whether it weighs in pounds."""

    topics: set[str] = field(default_factory=set)
    pounds: bool = False

    @classmethod
    def of(cls, units: list[Unit]) -> Custom:
        """The kinds named anywhere, and the units of weight."""
        said = {name for u in units for name in u.unit}
        topics = {k for k in ("weight", "temperature") if any(k in u.measures for u in units)}
        return cls(topics, "pound" in said and not said & {"kilogram", "gram"})


class ImpliedReader:
    """Reads numbers that stand where a weight or a temperature stands."""

    def __init__(self, quantities: QuantityReader, roles: Mapping[str, str]) -> None:
        self.quantities = quantities
        self.roles = roles

    def read(self, units: list[Unit], i: int, custom: Custom) -> Found | None:
        """The weight or temperature at unit i, or None."""
        number, after = units[i].number, unit_at(units, i + 1)
        if number is None or number.several or number.bare_one:
            return None
        if after is not None and (
            after.unit or after.delay or after.measures or after.low in OF_NO_WEIGHT or _counts(after, number.value)
        ):
            return None
        near = self._of_bird(units, i)
        if not near:
            return None
        value, point = number.value, "." in number.digits
        doubt = (Penalty("unit not said", 0.1 if custom.topics else 0.3),)
        told = "temperature" in custom.topics
        if (told or point) and (38 <= value <= 46 or (told and 98 <= value <= 115)):
            return i, i + 1, Measurement("temperature", self.quantities.celsius(value, ""), "C", penalties=doubt)
        if point and 0.2 <= value < 15:
            return i, i + 1, Measurement("weight", value * self.grams(custom), "g", penalties=doubt)
        large = len(number.digits) == 4 and near != "she" and number.cuts == () and units[i].low.isdigit()
        if (
            value == int(value)
            and 300 <= value <= 9000
            and ("weight" in custom.topics or large or (len(number.digits) == 4 and not units[i].low.isdigit()))
        ):
            return i, i + 1, Measurement("weight", value, "g", penalties=doubt)
        return None

    def grams(self, custom: Custom) -> float:
        """Grams of one, where a number with a point has no unit."""
        return self.quantities.units["pound" if custom.pounds else "kilogram"].factor

    def _of_bird(self, units: list[Unit], i: int) -> str:
        """Does the number follow a bird's mark, sex or age, or "she's", with nothing but small words between?"""
        said = ""
        for k in range(i - 1, max(-1, i - 1 - STEPS), -1):
            unit = units[k]
            if unit.used == "bird" or (unit.birds and any(self.roles[m.id] in BIRD_ROLES for m in unit.birds)):
                return "bird"
            if unit.low in SHE_OR_HE:
                said = "she"
            elif unit.used == "measure":
                continue
            elif (unit.low not in SMALL and unit.low.rpartition(" ")[2] not in SMALL) or (unit.hard and said):
                return said
        return said


def _counts(after: Unit, value: float) -> bool:
    """Does the number count what stands behind it ("2 scabs")?"""
    return value < 20 and (after.low.endswith("s") and bool(after.signs or after.region))
