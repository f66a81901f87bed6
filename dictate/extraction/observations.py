"""What is said of a pen or the flock: deaths, eggs, feed, water, birds sick. Kept apart from birds.

An observation is a number with an observation word in one clause: "two dead in pen three", "Eggs: 14",
"four kilos of feed", "five of them look sick", "no deaths"; or a number of birds with a sign of the whole
bird ("three hens are sneezing"). What it was before goes into `detail`: "was 20", "down 50 %", or "down"
where no figure was said. Runs before the measurements, so that a flock's feed is no bird's weight.
"""

from __future__ import annotations

from dictate.extraction.units import Unit, unit_at
from dictate.model import Observation
from dictate.vocabulary import Vocabulary

__all__ = ["FoundObservation", "ObservationFinder"]

NONE = frozenset(["no", "none", "nil", "zero", "not any"])
BEFORE = frozenset("of the a them good small big more fresh new whole brown white layers very really are look looking were have been gone "
                   "found old".split())
AFTER = frozenset(": = - is was are were at about only just down up to around nearly count this today of".split()) | {"down to", "up to"}
LOSS_ENDS = frozenset("overnight in more another this last to from yesterday today since of out hens birds chicks and on at".split())
TOGETHER = frozenset(["of them", "of 'em"])
NO_PEN = frozenset("a in to of on at my the that this her his each every from same our nest egg their".split())
REACH = 9
DOWN = frozenset("down dropped dropping fallen fell falling halved drop reduced".split())
BETWEEN_DOWN = frozenset("is are has have 's 've been gone production intake consumption count numbers right well way suddenly they've "
                         "figures was were by about nearly almost over more than collected laid laying drunk eaten".split()) | {"a bit"}
FORMERLY = frozenset("from usually normally instead was were used against last yesterday compared it's of to with be a day , the had "
                     "but we get got usual at in week other".split())
OPENS_FORMER = frozenset(["from", "usually", "normally", "instead", "used", "against", "compared", "usual"])
VAGUE = frozenset(["several", "many", "most", "some", "lots", "half", "all", "more", "a few", "few", "others", "rest", "whole", "loads"])
RECENT = frozenset(["yesterday", "night", "evening", "morning", "day", "days", "week", "overnight", "since", "ago"])
LONG_AGO = frozenset(["year", "years", "month", "months", "weeks", "spring", "summer", "autumn", "winter", "fall"])
THIS_BIRD = frozenset(["she", "she's", "he", "he's", "her", "his", "this", "hers", "herself", "she'd", "she'll"])
OWNING = frozenset(["with", "have", "had", "has", "got"])
FALLS = "%"  # the unit of a kind that tells of a fall of the kind whose name it begins with


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
                found = self._fell(units, i) or self._none(units, i) or self._before(units, i) or (
                    self._after(units, i) or self._a_bird(units, i))
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
            out.append(FoundObservation(start, end, Observation(
                kind, pen, value, self.kinds[kind].unit, detail, span, span.quote(text))))
            for u in units[start:end]:
                if u.number or u.unit or u.observation or u.signs:
                    u.used = u.used or "observation"
        return out

    # -- what fell, and what was before

    def _fell(self, units: list[Unit], i: int) -> tuple[float, int, int] | None:
        """"eggs down from twenty to eleven": the last figure; what was before is found by _former."""
        if not self.kinds[units[i].observation].yields:
            return None
        k = self._past_pen(units, i + 1)
        begun = k
        while k < len(units) and k < begun + 4 and {units[k].low, units[k].low.partition(" ")[0]} & (DOWN | BETWEEN_DOWN):
            k += 1
        if k == begun or k >= len(units):
            return None
        k -= units[k - 1].low.endswith(" from")  # "down from" is a phrase
        if not units[k].low.endswith("from"):
            return None
        for j in range(k + 1, min(len(units), k + 6)):
            if units[j].low in ("to", "down to") and j + 1 < len(units) and units[j + 1].number and not units[j + 1].used:
                value = self._value(units, j + 1, i)
                end = j + 2 + bool(j + 2 < len(units) and units[j + 2].unit and self.kinds[units[i].observation].unit != "1")
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
        """"eggs are down by half", "water's dropped right off": a fall without a figure."""
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
        """"the flock has gone off lay": said of many, not of the bird in hand."""
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

    def _birds_with(self, units: list[Unit], i: int) -> tuple[float | None, int, int] | None:
        """"three hens are sneezing", "several of them hunched": a number of birds with a sign of the whole bird."""
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
            if unit.hard or unit.used in ("bird", "action", "observation") or unit.low in THIS_BIRD or (
                unit.is_cue("absent") or (unit.region and units[k - 1].low not in OWNING and not units[k + 1].role("pen", self.roles))
            ):
                return None
            if unit.is_cue("other-bird") and unit.low.endswith(("flock", "birds", "hens")):
                return None, k, i + 1
            birds = birds or unit.low in ("them", "'em", "of them", "birds", "the pen", "chickens", "chooks", "flock") or (
                (any(self.roles[m.id] in ("sex", "bird", "pen", "kin") for m in unit.birds) and unit.low.endswith("s"))
                or bool(unit.role("pen", self.roles) and k and units[k - 1].low == "the" and {u.low for u in units[max(0, k - 3) : k - 1]} & VAGUE))
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
            if unit.is_cue("past") and (words & LONG_AGO or not words & RECENT) and "since" not in words and (
                words & LONG_AGO or len(words) > 1
            ):
                return True
        return False

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
            loose = unit.low in BEFORE or unit.unit or unit.observation == units[i].observation or (
                not self.kinds[units[i].observation].yields and self._bird_word(unit))
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
            unit.low in ("birds", "chickens", "chooks") or any(self.roles[m.id] in ("sex", "bird", "kin") for m in unit.birds))

    def _a_bird(self, units: list[Unit], i: int) -> tuple[float, int, int] | None:
        """"found a hen dead", "another one dead": one."""
        before, article = unit_at(units, i - 1), unit_at(units, i - 2)
        if before is None or self.kinds[units[i].observation].yields or units[i].signs:
            return None
        k = i - 1
        while k > 0 and units[k].low in ("is", "was", "'s", "has", "been", "found", "just", ",", ":"):
            k -= 1
        after, named = unit_at(units, i + 1), units[k]
        if named.used == "bird" and units[i].low not in ("lost", "lose") and units[i].observation != self.sick:
            ends = after is None or after.hard or not (after.signs or after.region or after.number or after.unit) or (
                after.low in LOSS_ENDS)
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
                    j + 1 < len(units) and units[j + 1].low in TOGETHER)
        return False

    def _after(self, units: list[Unit], i: int) -> tuple[float, int, int] | None:
        """"Eggs: 14", "deaths 1", "eggs down to nine", "drinking nine litres"."""
        k = i + 1
        while k < len(units) and k < i + 4 and (units[k].low in AFTER or units[k].observation == units[i].observation):
            k += 1
        if k == i + 1 and k + 1 < len(units) and units[k].low in ("a", "another") and any(
            self.roles[m.id] in ("sex", "bird") for m in units[k + 1].birds
        ) and not self.kinds[units[i].observation].yields:
            return 1.0, i, k + 2  # lost a hen
        if k + 2 < len(units) and units[k].low == "," and units[k + 2].low in LOSS_ENDS:
            k += 1  # sudden deaths, four since yesterday
        if k >= len(units) or not units[k].number or units[k].used:
            return None
        value = self._value(units, k, i)
        if value is None or self._other_thing(units, i, k):
            return None
        before = unit_at(units, i - 1)
        if self.kinds[units[i].observation].unit != "1" and " " not in units[i].low and not units[i].low.endswith("ing") and not (
            before is None or before.hard or before.gap
            or before.low in (",", ":", "-", "and", "used", "drank", "ate", "they", "the")
            or (before.number and i > 1 and units[i - 2].role("pen", self.roles))
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
            return number.value if (said is None or ambiguous) and number.value == int(number.value) and not (
                after is not None and after.low not in LOSS_ENDS and (after.delay or "age" in after.measures)) else None
        if said is None:
            return None
        if said.quantity == "mass" and kind.unit == "kg":
            return round(number.value * said.factor / 1000, 4)
        return round(number.value * said.factor, 4) if said.unit == kind.unit else None

    def _other_thing(self, units: list[Unit], first: int, last: int) -> bool:
        """Lost two claws, three dead mites, one point of a comb: not of the flock."""
        after = unit_at(units, last + 1)
        if after is not None and after.low in LOSS_ENDS:
            after = None
        word = units[first] if units[first].observation else units[last]
        if after is not None and after.kind == "word" and (after.signs or after.region) and last + 1 < len(units) and (
            not self.kinds[word.observation].yields and not after.observation
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
