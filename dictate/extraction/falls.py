"""Eggs, feed or water that fell, and what it was before: "eggs down from twenty to eleven", "water is down by half"."""

from __future__ import annotations

from dictate.extraction.units import Unit, unit_at
from dictate.vocabulary import Vocabulary

__all__ = ["FALLS", "LOSS_ENDS", "THIS_BIRD", "FallReader"]

DOWN = frozenset("down dropped dropping fallen fell falling halved drop reduced".split())
BETWEEN_DOWN = frozenset(
    "is are has have 's 've been gone production intake consumption count numbers right well way suddenly they've "
    "figures was were by about nearly almost over more than collected laid laying drunk eaten".split()
) | {"a bit"}
FORMERLY = frozenset(
    "from usually normally instead was were used against last yesterday compared it's of to with be a day , the had "
    "but we get got usual at in week other".split()
)
OPENS_FORMER = frozenset(["from", "usually", "normally", "instead", "used", "against", "compared", "usual"])
THIS_BIRD = frozenset(["she", "she's", "he", "he's", "her", "his", "this", "hers", "herself", "she'd", "she'll"])
LOSS_ENDS = frozenset(
    "overnight in more another this last to from yesterday today since of out hens birds chicks and on at".split()
)
FALLS = "%"  # the unit of a kind that tells of a fall of the kind whose name it begins with


class FallReader:
    """Reads falls with the lexicon's observation words."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.kinds = vocabulary.observations
        self.units = vocabulary.units
        self.roles = {entry.id: entry.role for entry in vocabulary.birds.values()}

    def _value(self, units: list[Unit], k: int, i: int) -> float | None:
        """The number at k in the unit of the kind at i; None where its unit tells of something else."""
        number, after = units[k].number, unit_at(units, k + 1)
        kind = self.kinds[units[i].observation]
        if number is None:
            return None
        said = self.units[after.unit[0]] if after is not None and after.unit and not after.used else None
        if kind.unit == "1":
            ambiguous = after is not None and after.low in ("in", "a minute")
            return (
                number.value
                if (said is None or ambiguous)
                and number.value == int(number.value)
                and not (after is not None and after.low not in LOSS_ENDS and (after.delay or "age" in after.measures))
                else None
            )
        if said is None:
            return None
        if said.quantity == "mass" and kind.unit == "kg":
            return round(number.value * said.factor / 1000, 4)
        return round(number.value * said.factor, 4) if said.unit == kind.unit else None

    def _fell(self, units: list[Unit], i: int) -> tuple[float, int, int] | None:
        """ "eggs down from twenty to eleven": the last figure; what was before is found by _former."""
        if not self.kinds[units[i].observation].yields:
            return None
        k = self._past_pen(units, i + 1)
        begun = k
        while (
            k < len(units) and k < begun + 4 and {units[k].low, units[k].low.partition(" ")[0]} & (DOWN | BETWEEN_DOWN)
        ):
            k += 1
        if k == begun or k >= len(units):
            return None
        k -= units[k - 1].low.endswith(" from")  # "down from" is a phrase
        if not units[k].low.endswith("from"):
            return None
        for j in range(k + 1, min(len(units), k + 6)):
            if (
                units[j].low in ("to", "down to")
                and j + 1 < len(units)
                and units[j + 1].number
                and not units[j + 1].used
            ):
                value = self._value(units, j + 1, i)
                end = (
                    j
                    + 2
                    + bool(j + 2 < len(units) and units[j + 2].unit and self.kinds[units[i].observation].unit != "1")
                )
                return None if value is None else (value, i, end)
        return None

    def _past_pen(self, units: list[Unit], k: int) -> int:
        """The place behind "in pen 2", "from the barn pen"."""
        for j in range(k, min(len(units), k + 4)):
            if units[j].hard or units[j].number:
                break
            if units[j].role("pen", self.roles):
                return j + 1 + bool(j + 1 < len(units) and units[j + 1].number)
        return k

    def _former(self, units: list[Unit], kind: str, start: int, end: int) -> tuple[float, int] | None:
        """The figure of before in the same sentence: "nine eggs, usually twenty", "down to six litres from ten"."""
        inside = [k for k in range(start, end) if units[k].low.rpartition(" ")[2] == "from"]
        k = inside[0] if inside else end
        opened, last = False, k
        while last < len(units) and last < k + 8 and not units[last].hard:
            unit = units[last]
            opened = opened or unit.low.rpartition(" ")[2] in OPENS_FORMER
            if unit.role("pen", self.roles):
                return None
            if unit.number and opened and not unit.used:
                after = unit_at(units, last + 1)
                said = self.units[after.unit[0]] if after is not None and after.unit and after.low != "in" else None
                factor = said.factor / (1000 if said.quantity == "mass" else 1) if said else 1.0
                if after is not None and (after.delay or "age" in after.measures):
                    return None
                return round(unit.number.value * factor, 4), max(end, last + 1 + bool(said))
            if unit.low.rpartition(" ")[2] not in FORMERLY and not unit.number:
                return None
            if unit.number:
                return None
            last += 1
        return None

    def _down(self, units: list[Unit], i: int) -> tuple[None, int, int, str] | None:
        """ "eggs are down by half", "water's dropped right off": a fall without a figure."""
        before = unit_at(units, i - 1)
        if not self.kinds[units[i].observation].yields or (before is not None and before.low in THIS_BIRD):
            return None
        k = begun = self._past_pen(units, i + 1)
        while k < len(units) and k < begun + 4 and units[k].low in BETWEEN_DOWN:
            k += 1
        if before is not None and before.low in ("in", "of") and i > 1 and units[i - 2].low in DOWN:
            return None, i - 2, i + 1, "down"  # a drop in eggs
        if k >= len(units) or units[k].low not in DOWN:
            return None
        halved, k = units[k].low == "halved", k + 1
        while k < len(units) and k < begun + 8 and units[k].low in BETWEEN_DOWN:
            k += 1
        after = unit_at(units, k)
        if after is not None and after.region:
            return None
        if halved:
            return None, i, k, "down 50 %"
        if after is not None and after.number and not after.used:
            value = after.number.value
            following = unit_at(units, k + 1)
            percent = following is not None and following.low in ("%", "percent", "per cent", "per")
            if value < 1:
                return None, i, k + 1, f"down {100 * value:.0f} %"
            return (None, i, k + 1, f"down {value:g} %") if percent else None
        return None, i, k, "down"

    def _fallen(self, units: list[Unit], i: int) -> tuple[None, int, int] | None:
        """ "the flock has gone off lay": said of many, not of the bird in hand."""
        return None if self._of_one_bird(units, i) else (None, i, i + 1)

    @staticmethod
    def _of_one_bird(units: list[Unit], i: int) -> bool:
        """Is the sentence about one bird?"""
        k = i - 1
        while k >= 0 and not units[k].hard and k >= i - 12:
            if units[k].used == "bird" or units[k].low in THIS_BIRD:
                return True
            k -= 1
        return False
