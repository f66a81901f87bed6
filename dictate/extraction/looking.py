"""Look round a sign for the region it is said of: behind a preposition, as an object, right behind an adjective."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.extraction.english import COPULAS, DETERMINERS, PREPOSITIONS
from dictate.extraction.hits import BREATHING, GENERAL, NORMAL, Ref
from dictate.extraction.regions import RegionReader
from dictate.extraction.units import Unit, unit_at
from dictate.vocabulary import Meaning, Vocabulary

__all__ = ["Looker", "Place"]

LIST = frozenset("x × and or nor , & + / with any some a an the little much kind sort of either other".split())
BETWEEN = frozenset(
    "just there all right up down out also too really only quite a bit of still mostly mainly again actually "
    "kind sort off anywhere everywhere".split()
)
NOT_A_PLACE = frozenset("to for from into with".split())
TWO_PREPOSITIONS = frozenset("up down over off round across along into".split())  # "down on", "off at"
# stand between a sign and its preposition
IN_PLACE = frozenset(
    "stuck showing seen crawling running coming sitting visible patch patches around starting all spots bit "
    "forming building developing hanging mark marks one ones noise sound round left".split()
)
NOTHING = frozenset(("nothing", "nothing at all", "nowt", "none"))
FARTHEST = 20  # units between a sign and its place, a list of signs among them
BEFORE_SIZE = frozenset("about the roughly around as some maybe".split())
BEFORE_OBJECT = frozenset("the her his its one both a an".split())
OWN_CLAUSE = frozenset(", and but no not she he she's with so".split())  # begin something else
BEFORE_OWN = frozenset("a an has have got with some no".split())
BEFORE_ADJECTIVE = frozenset("has got have with and of both but".split())


def _size_given(units: list[Unit], j: int) -> int:
    """"the size of a coin", "about as big as a grape": the unit after it, or 0."""
    words = [u.low for u in units[j : j + 8]]
    k = next((n + 2 for n in range(len(words) - 1) if words[n : n + 2] in (["size", "of"], ["big", "as"])), 0)
    if not 1 < k <= 5 or any(word not in BEFORE_SIZE for word in words[: k - 2]):
        return 0
    while k < len(words) and words[k] in ("a", "an", "my", "your", "the"):
        k += 1
    k += 1
    if k > len(words):
        return 0
    if words[k - 1].startswith(("a ", "an ", "my ", "your ")):
        return j + k
    while k < len(words) and words[k] not in PREPOSITIONS and units[j + k].kind == "word" and k < 7:
        if units[j + k].region or units[j + k].cues or units[j + k].signs:
            break
        k += 1
    return j + k


@dataclass(slots=True)
class Place:
    """The refs of a sign, how they were found (rule) and where the words of the place end."""

    refs: list[Ref]
    rule: str
    end: int
    explicit: bool = False


class Looker:
    """Finds regions near a sign; the Placer decides among them."""

    def __init__(self, vocabulary: Vocabulary, regions: RegionReader) -> None:
        self.signs = vocabulary.signs
        self.regions = regions
        self.parasites = {sign.id for sign in vocabulary.signs.values() if sign.parasite}

    def sense(self, unit: Unit, region: str) -> Meaning | None:
        """The sign meant by the unit's words on that region (empty region: none named)."""
        free = None
        for meaning in unit.signs:
            if meaning.regions:
                if region in meaning.regions:
                    return meaning
            elif free is None or (region in self.signs[meaning.id].usual and region not in self.signs[free.id].usual):
                free = meaning
        return free

    def home(self, unit: Unit) -> tuple[Meaning, str] | None:
        """The region a sign has by nature, or the only region its words are used of."""
        for meaning in unit.signs:
            if not meaning.regions and self.signs[meaning.id].home:
                return meaning, self.signs[meaning.id].home
        limited = {meaning.regions[0] for meaning in unit.signs if meaning.regions}
        if len(limited) == 1 and not any(not meaning.regions for meaning in unit.signs):
            region = limited.pop()
            if region == GENERAL or (region == BREATHING and " " in unit.low):
                return unit.signs[0], region
        return None

    def limb(self, ref: Ref) -> str:
        """The limb that the region is part of, or nothing."""
        return self.regions.limb.get(ref.region, "")

    def fits(self, unit: Unit, refs: list[Ref]) -> bool:
        """True if the words of the sign have a sense on the region."""
        return self.sense(unit, refs[-1].region) is not None

    def ahead(self, units: list[Unit], i: int, negated: bool, topic: list[Ref] | None = None) -> Place | None:
        """sign … preposition + region: "redness and swelling on the left hock", "discharge from it" (None)."""
        j, size = i + 1, len(units)
        steps = 0
        while j < size and steps < FARTHEST:
            unit = units[j]
            if unit.hard or unit.used in ("bird", "action") or unit.muted:
                return None
            first, _, rest = unit.low.partition(" ")
            if unit.region and rest and first in PREPOSITIONS:  # "under the wings" is one phrase
                found = self.regions.read(units, j, placed=True)
                return Place(found[0], "sign in region", found[1], explicit=True) if found else None
            if (
                unit.low in ("'s", "is") and any(u.used == "measure" for u in units[j + 1 : j + 3])
            ) or unit.low == "about":
                j += 1
                steps += 1
                continue
            if beyond := _size_given(units, j):
                j = beyond
                steps += 1
                continue
            if unit.low in PREPOSITIONS and not (
                unit.low in TWO_PREPOSITIONS and j + 1 < size and units[j + 1].low in PREPOSITIONS
            ):
                found = self.regions.read(units, j + 1, placed=True)
                if found is not None and self._nothing_there(units, found):
                    return None  # "a scab … on the right pad nothing"
                if found is not None and not (found[0][0].weak and unit.low in ("on", "in")):
                    if units[i].low.startswith("no ") and unit.low == "with":
                        return Place(found[0], "sign with region", found[1], explicit=True)
                    if unit.low in NOT_A_PLACE and unit.low != "from" and unit.low != "to":
                        return None
                    return Place(found[0], f"sign {unit.low} region", found[1], explicit=True)
                if found is not None:
                    return Place(found[0], f"sign {unit.low} region", found[1], explicit=True)
                return self._side_ahead(units, i, j, topic or [])
            if negated and (unit.grade or unit.low in ("a", "an", "some")) and steps:
                return None
            if unit.low in ("she", "he") and j + 1 < size and units[j + 1].low in ("had", "has", "'s"):
                j += 2
                steps += 1
                continue
            if (
                unit.low in LIST
                or unit.low in BETWEEN
                or unit.grade
                or unit.used == "measure"
                or unit.kind == "plus"
                or (unit.low in ("no", "any", "nor") and negated)
                or (unit.number and unit.number.value < 30)
                or (unit.is_cue("past") or unit.is_cue("now"))
                or unit.low in ("that was", "which was")
            ):
                pass
            elif unit.low in ("that", "which") and j + 1 < size and units[j + 1].low in COPULAS:
                j += 1
            elif (
                unit.signs
                and not unit.region
                and (
                    units[j - 1].low in LIST
                    or units[j - 1].grade
                    or units[j - 1].kind == "plus"
                    or (negated and units[j - 1].signs)
                    or units[j - 1].low in ("no", "any")
                )
            ):
                if unit.signs[0].id == NORMAL:
                    return None
            elif unit.low in IN_PLACE:
                pass
            else:
                return None
            j += 1
            steps += 1
        return None

    @staticmethod
    def _nothing_there(units: list[Unit], found: tuple[list[Ref], int]) -> bool:
        refs, end = found
        if refs[-1].side not in ("left", "right") or end >= len(units) or units[end].low not in NOTHING:
            return False
        after = unit_at(units, end + 1)
        return after is None or after.hard or not (after.low in PREPOSITIONS or after.low in ("wrong", "with"))

    def object_of_verb(self, units: list[Unit], i: int) -> Place | None:
        """"favouring the right leg", "can't use her left wing": the region as the object of the verb."""
        unit = units[i]
        after = unit_at(units, i + 1)
        if (
            after is not None
            and unit.low.split(" ")[-1] in PREPOSITIONS
            and " " in unit.low
            and (after.low in DETERMINERS or after.side)
        ):  # "feathers off the breast"
            found = self.regions.read(units, i + 1, placed=True)
            return Place(found[0], "sign off region", found[1], explicit=True) if found else None
        before = units[i - 1].low if i else ""
        lame = next((m for m in unit.signs if self._of_a_limb(m)), None)
        if lame is not None and after is not None and after.side in ("left", "right", "both"):
            beyond = unit_at(units, i + 2)
            if beyond is None or not (beyond.region or beyond.signs):
                return Place(
                    [Ref(self._of_a_limb(lame), after.side, i + 1)], "side of the lameness", i + 2, explicit=True
                )
        if (
            after is None
            or not (after.low in BEFORE_OBJECT or after.side in ("left", "right"))
            or before in COPULAS
            or any(m.form == "noun" for m in unit.signs)
            or unit.signs[0].id == "normal"
        ):
            return None
        found = self.regions.read(units, i + 1, placed=True)
        if found is None or self.has_own_predicate(units, found[1]):
            return None
        return Place(found[0], "object of the verb", found[1], explicit=True)

    def _of_a_limb(self, meaning: Meaning) -> str:
        return self.limb_of(meaning.id)

    def limb_of(self, sign_id: str) -> str:
        """The limb that a sign of the whole bird comes from: lame → leg."""
        sign = self.signs[sign_id]
        return next((r for r in sign.usual if self.regions.limb.get(r) == r), "") if sign.home == GENERAL else ""

    def at_home(self, units: list[Unit], i: int) -> Place | None:
        """"scaly leg, both shanks": the region that is the sign's home, named right behind it."""
        homes = {self.signs[m.id].home for m in units[i].signs if not m.regions} - {""}
        if not homes or i + 1 >= len(units):
            return None
        found = self.regions.read(units, i + 1)
        if found is None or found[0][0].region not in homes or self.has_own_predicate(units, found[1]):
            return None
        return Place(found[0], "natural home", found[1], explicit=True)

    def _side_ahead(self, units: list[Unit], i: int, j: int, topic: list[Ref]) -> Place | None:
        """"crooked on the right": the region last named, at that side."""
        k = j + 1
        while k < len(units) and units[k].low in ("the", "her", "his"):
            k += 1
        if not topic and any(self.limb_of(m.id) for m in units[i].signs):
            topic = [Ref(GENERAL, at=i)]
        if k >= len(units) or units[k].side not in ("left", "right") or not topic or k - i > 5 or units[k].used:
            return None
        limb = next((limb for m in units[i].signs if (limb := self.limb_of(m.id))), "")
        ref = Ref(limb, "", k) if limb and topic[-1].region not in self.regions.paired else topic[-1]
        if ref.region not in self.regions.paired or (k + 1 < len(units) and units[k + 1].region):
            return None
        stop = k + 1
        if stop < len(units) and units[stop].low in ("one", "side"):
            stop += 1
        return Place([Ref(ref.region, units[k].side, k)], "side behind", stop, explicit=True)

    def has_own_sign(self, units: list[Unit], end: int, normal: bool) -> bool:
        """The region ahead has a sign of its own right behind it: "crop soft | on the right foot a cut"."""
        for unit in units[end : end + 4]:
            if normal and unit.is_cue("absent"):
                return True
            if unit.hard or unit.low in OWN_CLAUSE:
                return False
            if unit.signs:
                return True
            if not (unit.low in COPULAS or unit.low in DETERMINERS or unit.grade):
                return False
        return False

    def attributive(self, units: list[Unit], i: int, has_topic: bool) -> Place | None:
        """adjective + region: "a swollen left hock", "clean vent", "pale comb and wattles"."""
        if (
            " " in units[i].low
            and not units[i].low.startswith(("very ", "really "))
            and units[i].signs[0].id != "normal"
        ):
            return None
        noun = any(meaning.form.startswith("noun") for meaning in units[i].signs)
        j = i + 1
        if noun:  # only in notes: "peck wound comb +"
            while j < len(units) and (units[j].used == "measure" or units[j].low == "x"):
                j += 1
            found = self.regions.read(units, j)
            last = units[found[1]] if found and found[1] < len(units) else None
            open_ = (
                i == 0
                or units[i - 1].hard
                or units[i - 1].used == "bird"
                or (
                    units[i - 1].low in (",", "-", ":")
                    or units[i - 1].kind == "query"
                    or bool(units[i - 1].grade or units[i - 1].side)
                )
            )
            ends = last is None or last.hard or last.kind == "plus" or last.low in (",", "x", "×")
            if found and open_ and (ends or (last is not None and last.used == "measure")):
                return Place(found[0], "sign before region", found[1], explicit=True)
            return None
        more = j + 1 < len(units) and units[j].signs and not (units[j].region or units[j].cues or noun)
        if more and units[j].signs[0].id != NORMAL and (units[j + 1].region or units[j + 1].side):
            j += 1  # "a hot swollen left pad"
        while j < len(units) and (
            units[j].kind == "plus"
            or (
                units[j].low in (("and",) if has_topic else ("and", ","))
                and j + 1 < len(units)
                and units[j + 1].signs
                and not units[j + 1].region
            )
        ):
            j += 1 if units[j].kind == "plus" else 2
        if (
            j >= len(units)
            or units[j].gap
            or units[j].low in DETERMINERS
            or units[j].low in ("both", "and", "of", "all")
        ):
            return None
        if units[j].side and units[j].side not in ("left", "right"):
            return None
        found = self.regions.read(units, j)
        if found is None or (found[0][0].weak and has_topic and i and units[i - 1].low not in ("a", "no", "some")):
            return None
        before = unit_at(units, i - 1)
        own = self.has_own_predicate(units, found[1])
        if own and not (before is not None and before.low in BEFORE_OWN):
            return None
        led = (
            before is None
            or before.hard
            or before.kind == "punct"
            or before.low in DETERMINERS
            or before.grade
            or before.is_cue("absent")
            or before.low in BEFORE_ADJECTIVE
            or (before.low in COPULAS and not has_topic)
        )
        if (
            before is not None
            and not led
            and has_topic
            and not units[i].gap
            and (before.region or before.low in COPULAS)
        ):
            return None
        return Place(found[0], "adjective before region", found[1], explicit=True)

    @staticmethod
    def has_own_predicate(units: list[Unit], end: int) -> bool:
        """Something is said of the region that ends before unit `end`."""
        if end >= len(units):
            return False
        unit = units[end]
        return (
            bool(unit.signs or unit.grade)
            or unit.low in COPULAS
            or unit.low in ("both", "all")
            or (unit.is_cue("absent") or unit.is_cue("ditto"))
        )
