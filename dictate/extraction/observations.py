"""What is said of a pen or the flock: deaths, eggs, feed, water, birds sick. Kept apart from birds.

An observation is a number with an observation word in one clause: "two dead in pen three", "Eggs: 14",
"four kilos of feed", "five of them look sick", "no deaths"; or a number of birds with a sign of the whole
bird ("three hens are sneezing"). What it was before goes into `detail`: "was 20", "down 50 %", or "down"
where no figure was said. Runs before the measurements, so that a flock's feed is no bird's weight.
"""

from __future__ import annotations

from dictate.extraction.falls import FALLS, LOSS_ENDS, THIS_BIRD, FallReader
from dictate.extraction.units import Unit, unit_at
from dictate.model import Observation
from dictate.vocabulary import Vocabulary

__all__ = ["FoundObservation", "ObservationFinder"]

NONE = frozenset(["no", "none", "nil", "zero", "not any"])
BEFORE = frozenset(
    "of the a them good small big more fresh new whole brown white layers very really are look looking were "
    "have been gone found old".split()
)
AFTER = frozenset(": = - is was are were at about only just down up to around nearly count this today of".split()) | {
    "down to",
    "up to",
}
TOGETHER = frozenset(["of them", "of 'em"])
NO_PEN = frozenset("a in to of on at my the that this her his each every from same our nest egg their".split())
REACH = 9
VAGUE = frozenset(
    [
        "several",
        "many",
        "most",
        "some",
        "lots",
        "half",
        "all",
        "more",
        "a few",
        "few",
        "others",
        "rest",
        "whole",
        "loads",
    ]
)
RECENT = frozenset(["yesterday", "night", "evening", "morning", "day", "days", "week", "overnight", "since", "ago"])
LONG_AGO = frozenset(["year", "years", "month", "months", "weeks", "spring", "summer", "autumn", "winter", "fall"])
OWNING = frozenset(["with", "have", "had", "has", "got"])


class FoundObservation:
    """An observation and the units start..end that it stands in."""

    __slots__ = ("at", "end", "observation")

    def __init__(self, at: int, end: int, observation: Observation) -> None:
        self.at, self.end, self.observation = at, end, observation


class ObservationFinder(FallReader):
    """Finds counted observations with the lexicon's observation words."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        super().__init__(vocabulary)
        whole = {region.id for region in vocabulary.regions.values() if region.diffuse and not region.code}
        self.of_the_bird = {sign.id for sign in vocabulary.signs.values() if sign.home in whole}
        sick = [key for key, kind in self.kinds.items() if not kind.yields and kind.unit == "1" and " " in key]
        self.sick = sick[0] if sick else ""

    def find(self, units: list[Unit], text: str) -> list[FoundObservation]:
        """All observations in order; marks the units of number and word used."""
        out: list[FoundObservation] = []
        for i, unit in enumerate(units):
            headed = unit.used == "bird" and unit.observation and i + 1 < len(units) and units[i + 1].low == ":"
            if (unit.used and not headed) or unit.kind == "punct" or not (unit.observation or unit.signs):
                continue
            found: tuple[float | None, int, int] | None
            kind, detail = unit.observation, None
            if not kind:
                kind, found, detail = self.sick, self._birds_with(units, i), unit.signs[0].id
            elif self.kinds[kind].unit == FALLS:
                kind, found, detail = kind.partition(" ")[0], self._fallen(units, i), "down"
            else:
                found = (
                    self._fell(units, i)
                    or self._none(units, i)
                    or self._before(units, i)
                    or (self._after(units, i) or self._a_bird(units, i))
                )
                if found is None and kind == self.sick and (vague := unit_at(units, i - 1)) and vague.low in VAGUE:
                    found = None, i - 1, i + 1
                if found is None and (told := self._down(units, i)):
                    found, detail = told[:3], told[3]
            if found is None or self._long_ago(units, found[1], found[2]):
                continue
            value, start, end = found
            if detail is None and self.kinds[kind].yields and (former := self._former(units, kind, start, end)):
                detail, end = f"was {former[0]:g}", former[1]
            pen = self._pen(units, start, end)
            span = units[start].span.cover(units[end - 1].span)
            out.append(
                FoundObservation(
                    start, end, Observation(kind, pen, value, self.kinds[kind].unit, detail, span, span.quote(text))
                )
            )
            for u in units[start:end]:
                if u.number or u.unit or u.observation or u.signs:
                    u.used = u.used or "observation"
        return out

    # -- what fell, and what was before

    def _birds_with(self, units: list[Unit], i: int) -> tuple[float | None, int, int] | None:
        """ "three hens are sneezing", "several of them hunched": a number of birds with a sign of the whole bird."""
        if not self.sick or units[i].is_cue("absent"):
            return None
        whole = any(m.id in self.of_the_bird for m in units[i].signs)
        if not whole and not any(u.low in OWNING for u in units[max(0, i - 3) : i]):
            return None
        birds, k = False, i - 1
        while k >= 0 and k >= i - REACH - 3:
            unit = units[k]
            if (unit.low in NONE or unit.low.startswith("none of")) and birds:
                return 0.0, k, i + 1
            if (
                unit.hard
                or unit.used in ("bird", "action", "observation")
                or unit.low in THIS_BIRD
                or (
                    unit.is_cue("absent")
                    or (unit.region and units[k - 1].low not in OWNING and not units[k + 1].role("pen", self.roles))
                )
            ):
                return None
            if unit.is_cue("other-bird") and unit.low.endswith(("flock", "birds", "hens")):
                return None, k, i + 1
            birds = (
                birds
                or unit.low in ("them", "'em", "of them", "birds", "the pen", "chickens", "chooks", "flock")
                or (
                    (
                        any(self.roles[m.id] in ("sex", "bird", "pen", "kin") for m in unit.birds)
                        and unit.low.endswith("s")
                    )
                    or bool(
                        unit.role("pen", self.roles)
                        and k
                        and units[k - 1].low == "the"
                        and {u.low for u in units[max(0, k - 3) : k - 1]} & VAGUE
                    )
                )
            )
            pen_number = bool(k and units[k - 1].role("pen", self.roles))
            if unit.number and not unit.used and not pen_number and (unit.low not in VAGUE):
                value = unit.number.value
                return (value, k, i + 1) if birds and value == int(value) and value > 1 else None
            if unit.low in VAGUE and birds:
                return None, k, i + 1
            k -= 1
        return None

    def _long_ago(self, units: list[Unit], start: int, end: int) -> bool:
        """Was it said of a time that is no longer of these days: "last spring", "years ago"?"""
        first, last = start, end
        while first > 0 and not units[first - 1].hard and first > start - 8:
            first -= 1
        while last < len(units) and not units[last].hard and last < end + 8:
            last += 1
        for unit in units[first:last]:
            words = set(unit.low.split())
            if (
                unit.is_cue("past")
                and (words & LONG_AGO or not words & RECENT)
                and "since" not in words
                and (words & LONG_AGO or len(words) > 1)
            ):
                return True
        return False

    # -- where the number stands

    def _none(self, units: list[Unit], i: int) -> tuple[float, int, int] | None:
        """ "no deaths in the top pen": none, where the kind is a trouble and not a yield."""
        before = unit_at(units, i - 1)
        if before is None or before.low not in NONE or before.number or self.kinds[units[i].observation].yields:
            return None
        alone = units[i].signs or units[i].region
        return None if alone else (0.0, i - 1, i + 1)

    def _before(self, units: list[Unit], i: int) -> tuple[float, int, int] | None:
        """ "two dead", "nine litres of water", "five of them in the barn pen look sick"."""
        k, them = i - 1, False
        while k >= 0 and k >= i - REACH:
            unit = units[k]
            if unit.hard or unit.used in ("bird", "action", "observation"):
                return None
            if unit.number:
                break
            loose = (
                unit.low in BEFORE
                or unit.unit
                or unit.observation == units[i].observation
                or (not self.kinds[units[i].observation].yields and self._bird_word(unit))
            )
            if not loose and not them and not self._them_ahead(units, k):
                return None
            them = them or not loose
            k -= 1
        if k < 0 or not units[k].number or units[k].used or (k and units[k - 1].role("pen", self.roles)):
            return None
        value = self._value(units, k, i)
        if value is None or self._other_thing(units, k, i):
            return None
        after = unit_at(units, i + 3)
        of_all = after is not None and after.number and [u.low for u in units[i + 1 : i + 3]] == ["out", "of"]
        return value, k, i + (4 if of_all else 1)

    def _bird_word(self, unit: Unit) -> bool:
        """Hen, hens, birds, chicks: what is counted."""
        return not unit.used and (
            unit.low in ("birds", "chickens", "chooks")
            or any(self.roles[m.id] in ("sex", "bird", "kin") for m in unit.birds)
        )

    def _a_bird(self, units: list[Unit], i: int) -> tuple[float, int, int] | None:
        """ "found a hen dead", "another one dead": one."""
        before, article = unit_at(units, i - 1), unit_at(units, i - 2)
        if before is None or self.kinds[units[i].observation].yields or units[i].signs:
            return None
        k = i - 1
        while k > 0 and units[k].low in ("is", "was", "'s", "has", "been", "found", "just", ",", ":"):
            k -= 1
        after, named = unit_at(units, i + 1), units[k]
        if named.used == "bird" and units[i].low not in ("lost", "lose") and units[i].observation != self.sick:
            ends = (
                after is None
                or after.hard
                or not (after.signs or after.region or after.number or after.unit)
                or (after.low in LOSS_ENDS)
            )
            return (1.0, i, i + 1) if ends else None  # red five died
        if before.low in ("another", "another one", "one more") and not before.used:
            return 1.0, i - 1, i + 1
        if article is not None and article.low in ("a", "another", "one") and self._bird_word(before):
            return 1.0, i - 2, i + 1
        if article is not None and article.low in ("another", "one") and before.low in ("one", "found"):
            return 1.0, i - 2, i + 1
        return None

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
        """ "Eggs: 14", "deaths 1", "eggs down to nine", "drinking nine litres"."""
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
        if k + 2 < len(units) and units[k].low == "," and units[k + 2].low in LOSS_ENDS:
            k += 1  # sudden deaths, four since yesterday
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
            and not (
                before is None
                or before.hard
                or before.gap
                or before.low in (",", ":", "-", "and", "used", "drank", "ate", "they", "the")
                or (before.number and i > 1 and units[i - 2].role("pen", self.roles))
            )
        ):
            return None  # "crop full of feed, 1.9 kg" is no feed of the flock
        end = k + 1
        end += bool(end < len(units) and units[end].unit)
        return value, i, end

    def _other_thing(self, units: list[Unit], first: int, last: int) -> bool:
        """Lost two claws, three dead mites, one point of a comb: not of the flock."""
        after = unit_at(units, last + 1)
        if after is not None and after.low in LOSS_ENDS:
            after = None
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
        order = [*range(start, end), *range(end, min(len(units), end + 10)), *range(start - 1, max(-1, start - 10), -1)]
        for k in order:
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
