"""What is said of a pen or the flock: deaths, eggs, feed, water, birds sick. Kept apart from birds.

An observation is a number with an observation word in one clause: "two dead in pen three", "Eggs: 14",
"four kilos of feed", "five of them look sick", "no deaths". Runs before the measurements, so that a
flock's feed is no bird's weight.
"""

from __future__ import annotations

from dictate.extraction.units import Unit, unit_at
from dictate.model import Observation
from dictate.vocabulary import Vocabulary

__all__ = ["FoundObservation", "ObservationFinder"]

NONE = frozenset("no, none, nil, zero, not any".split(", "))
BEFORE = frozenset(
    "of the a them good small big more fresh new whole brown white layers very really are look looking were "
    "have been gone found old".split()
)
AFTER = frozenset(
    ":, =, -, is, was, are, were, down to, up to, at, about, only, just, down, up, to, around, nearly, "
    "count, this, today, of".split(", ")
)
LOSS_ENDS = frozenset(
    "overnight in more another this last to from yesterday today since of out hens birds chicks and on at".split()
)
TOGETHER = frozenset("of them, of 'em".split(", "))
NO_PEN = frozenset("a in to of on at my the that this her his each every from same our".split())
REACH = 9
BEFORE_AMOUNT = frozenset(", and used drank ate they the".split())


class FoundObservation:
    """An observation and the units start..end that it stands in."""

    __slots__ = ("at", "end", "observation")

    def __init__(self, at: int, end: int, observation: Observation) -> None:
        self.at, self.end, self.observation = at, end, observation


class ObservationFinder:
    """Finds counted observations with the lexicon's observation words."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.kinds = vocabulary.observations
        self.units = vocabulary.units
        self.roles = {entry.id: entry.role for entry in vocabulary.birds.values()}

    def find(self, units: list[Unit], text: str) -> list[FoundObservation]:
        """All observations in order; marks the units of number and word used."""
        out: list[FoundObservation] = []
        for i, unit in enumerate(units):
            if not unit.observation or unit.used or unit.kind == "punct":
                continue
            found = self._none(units, i) or self._before(units, i) or self._after(units, i)
            if found is None:
                continue
            value, start, end = found
            pen = self._pen(units, start, end)
            span = units[start].span.cover(units[end - 1].span)
            out.append(
                FoundObservation(
                    start,
                    end,
                    Observation(
                        unit.observation, pen, value, self.kinds[unit.observation].unit, None, span, span.quote(text)
                    ),
                )
            )
            for u in units[start:end]:
                if u.number or u.unit or u.observation or u.signs:
                    u.used = u.used or "observation"
        return out

    # -- where the number stands

    def _none(self, units: list[Unit], i: int) -> tuple[float, int, int] | None:
        """"no deaths in the top pen": none, where the kind is a trouble and not a yield."""
        before = unit_at(units, i - 1)
        if before is None or before.low not in NONE or before.number or self.kinds[units[i].observation].yields:
            return None
        alone = units[i].signs or units[i].region
        return None if alone else (0.0, i - 1, i + 1)

    def _before(self, units: list[Unit], i: int) -> tuple[float, int, int] | None:
        """"two dead", "nine litres of water", "five of them in the barn pen look sick"."""
        k, them = i - 1, False
        while k >= 0 and k >= i - REACH:
            unit = units[k]
            if unit.hard or unit.used in ("bird", "action", "observation"):
                return None
            if unit.number:
                break
            loose = unit.low in BEFORE or unit.unit or unit.observation == units[i].observation
            if not loose and not them and not self._them_ahead(units, k):
                return None
            them = them or not loose
            k -= 1
        if k < 0 or not units[k].number or units[k].used:
            return None
        value = self._value(units, k, i)
        if value is None or self._other_thing(units, k, i):
            return None
        return value, k, i + 1

    @staticmethod
    def _them_ahead(units: list[Unit], k: int) -> bool:
        """Does "of them" stand between the number and here?"""
        for j in range(k, max(-1, k - REACH), -1):
            if units[j].number:
                return [u.low for u in units[j + 1 : j + 3]] in (["of", "them"], ["of", "'em"]) or (
                    j + 1 < len(units) and units[j + 1].low in TOGETHER
                )
        return False

    def _after(self, units: list[Unit], i: int) -> tuple[float, int, int] | None:
        """"Eggs: 14", "deaths 1", "eggs down to nine", "drinking nine litres"."""
        k = i + 1
        while k < len(units) and k < i + 4 and (units[k].low in AFTER or units[k].observation == units[i].observation):
            k += 1
        if (
            k == i + 1
            and k + 1 < len(units)
            and units[k].low in ("a", "another")
            and any(self.roles[m.id] in ("sex", "bird") for m in units[k + 1].birds)
            and not self.kinds[units[i].observation].yields
        ):
            return 1.0, i, k + 2  # lost a hen
        if k >= len(units) or not units[k].number or units[k].used:
            return None
        value = self._value(units, k, i)
        if value is None or self._other_thing(units, i, k):
            return None
        before = unit_at(units, i - 1)
        if (
            self.kinds[units[i].observation].unit != "1"
            and " " not in units[i].low
            and not units[i].low.endswith("ing")
            and not (before is None or before.hard or before.gap or before.low in BEFORE_AMOUNT)
        ):
            return None  # "crop full of feed, 1.9 kg" is no feed of the flock
        end = k + 1
        end += bool(end < len(units) and units[end].unit)
        return value, i, end

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

    def _other_thing(self, units: list[Unit], first: int, last: int) -> bool:
        """Lost two claws, three dead mites, one point of a comb: not of the flock."""
        after = unit_at(units, last + 1)
        word = units[first] if units[first].observation else units[last]
        if (
            after is not None
            and after.kind == "word"
            and (after.signs or after.region)
            and last + 1 < len(units)
            and (not self.kinds[word.observation].yields and not after.observation)
        ):
            return True
        if word.low in ("lost", "lose"):
            return after is not None and after.kind == "word" and after.low not in LOSS_ENDS
        return word.signs != () and not self._pen(units, first, last + 1) and not word.observation

    # -- which pen

    def _pen(self, units: list[Unit], start: int, end: int) -> str | None:
        """The pen named in the same sentence: "pen 3", "barn pen", "top house"."""
        order = [*range(end, min(len(units), end + 10)), *range(start - 1, max(-1, start - 10), -1)]
        forward = True
        for k in order:
            if forward and k < start:
                forward = False
            unit = units[k]
            if unit.hard or unit.used == "bird":
                if k < start:
                    break
                order_left = [n for n in order if n < start]
                return self._pen_in(units, order_left)
            name = self._pen_at(units, k)
            if name:
                return name
        return None

    def _pen_in(self, units: list[Unit], places: list[int]) -> str | None:
        for k in places:
            if units[k].hard:
                return None
            name = self._pen_at(units, k)
            if name:
                return name
        return None

    def _pen_at(self, units: list[Unit], k: int) -> str | None:
        unit = units[k]
        if not unit.birds or not unit.role("pen", self.roles):
            return None
        after, before = unit_at(units, k + 1), unit_at(units, k - 1)
        if after is not None and after.number and not after.used:
            return f"{unit.low} {after.number.digits or int(after.number.value)}"
        if before is not None and before.kind == "word" and before.low.isalpha() and before.low not in NO_PEN:
            return f"{before.low} {unit.low}"
        return None
