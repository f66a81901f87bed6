"""Read a region named in running talk: "the left hock", "both wattles", "face and ears", "FP: L"."""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.english import COPULAS, DETERMINERS, JOIN, PREPOSITIONS
from dictate.extraction.hits import NORMAL, Ref
from dictate.extraction.units import Unit, unit_at
from dictate.vocabulary import Vocabulary

__all__ = ["RegionReader", "opposite"]

ADJECTIVES = frozenset(
    "upper lower outer inner top bottom hind whole main big little old other middle first second third front "
    "same rear very entire outside inside edge tip base corner side skin centre center".split()
)
AFTER_WEAK = frozenset("of on round around under at in over below".split())
UNDER = frozenset("under underneath beneath".split())
SIDE_WORDS = frozenset("left right both either each".split())
VERB_OR_LINK = frozenset("is has 's and a got".split())


def opposite(side: str) -> str:
    """right for left, left for right, nothing for any other."""
    return {"left": "right", "right": "left"}.get(side, "")


def _those(vocabulary: Vocabulary, key: str) -> frozenset[str]:
    """The regions of which the lexicon says so."""
    return frozenset(region.id for region in vocabulary.regions.values() if getattr(region, key))


class RegionReader:
    """Noun phrases of regions. `read` gives the refs and the unit after them, or nothing."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.regions = vocabulary.regions
        self.paired = _those(vocabulary, "paired")
        self.limb = {region.id: region.limb for region in vocabulary.regions.values()}
        self.diffuse = _those(vocabulary, "diffuse")
        self.whole = _those(vocabulary, "whole")
        self.small = _those(vocabulary, "small")
        self.several = _those(vocabulary, "several")
        self.halves = _those(vocabulary, "halves")
        self.instead = {r.id: r.instead for r in vocabulary.regions.values() if r.instead}
        self.underside = {r.id: r.underside for r in vocabulary.regions.values() if r.underside}

    def read(
        self, units: list[Unit], i: int, *, muted: bool = False, placed: bool = False
    ) -> tuple[list[Ref], int] | None:
        """Regions named from unit i on, coordinated ones together. `placed`: they stand behind a preposition,
        so that one with a verb of its own ("… and the vent has") is no part of the list."""
        first = self._one(units, i, muted)
        if first is None:
            return None
        refs, end = [first[0]], first[1]
        if i and units[i - 1].low in UNDER and first[0].region in self.underside:
            refs = [replace(first[0], region=self.underside[first[0].region])]
        while placed and end < len(units) and units[end].region and not units[end].side:
            more = self._one(units, end, muted)  # "on his comb wattles or toes"
            if (
                more is None
                or more[1] >= len(units)
                or units[more[1]].low not in ("or", "and")
                or self._one(units, more[1] + 1, muted) is None
            ):
                break
            refs.append(more[0])
            end = more[1]
        while end < len(units) and units[end].low in JOIN:
            joiner = units[end].low
            start = end + 1
            if joiner == "," and start < len(units) and units[start].low in ("and", "or", "&"):
                start += 1
            if start < len(units) and units[start].low in PREPOSITIONS:
                start += 1
            more = self._one(units, start, muted)
            if more is None or more[0].weak:
                break
            if (
                joiner == ","
                and not self._list_goes_on(units, more[1])
                and not (
                    placed and (more[1] >= len(units) or units[more[1]].hard or units[more[1]].low in (",", "and"))
                )
            ):
                break
            if (
                placed
                and more[1] < len(units)
                and (units[more[1]].low in COPULAS or (units[more[1]].signs and not units[more[1]].region))
            ):
                break
            if joiner == "/" and more[0].region == refs[-1].region:
                break
            refs.append(more[0])
            end = more[1]
        if len(refs) > 1:
            if refs[-1].side in ("left", "right") and units[end - 1].side == refs[-1].side:
                refs = [replace(r, side=refs[-1].side) if r.region in self.paired and not r.side else r for r in refs]
            refs = self._share(units, refs)
        return refs, end

    def _one(self, units: list[Unit], i: int, muted: bool) -> tuple[Ref, int] | None:
        """One region with the side before or behind it, and the unit after it."""
        side, j, size = "", i, len(units)
        skipped = 0
        plural = under = False
        while j < size:
            unit = units[j]
            if unit.used or (unit.muted and not muted) or unit.hard or (unit.gap and side and j > i):
                return None
            if unit.region and not (unit.side and self._side_then_region(units, j)):
                break
            if unit.side:
                if unit.low.endswith(("sides", "side", "of them", "one")) and not (
                    j + 1 < size and (units[j + 1].low in ("of", "on") or units[j + 1].region in self.whole)
                ):
                    return None  # "on both sides" closes what was said before
                word = "both" if unit.side in ("each", "either", "neither", "both") else unit.side
                side = "both" if side and side != word else word
            elif (
                (side and unit.low in ("and", "&", "+", "or") and j + 1 < size and units[j + 1].side)
                or unit.low in DETERMINERS
                or unit.low in ("both", "all", "of")
            ):
                pass
            elif unit.low in ADJECTIVES and skipped < 3:
                skipped += 1
                under = under or (unit.low == "bottom" and j + 1 < size and units[j + 1].low == "of")
            elif unit.number is not None and unit.number.value <= 4 and j + 1 < size and units[j + 1].region:
                pass
            else:
                return None
            j += 1
        if j >= size:
            return None
        unit = units[j]
        if side in ("left", "right") and unit.region not in self.paired and unit.region not in self.halves:
            return None  # "none on the right | comb pale"
        if side == "both" and unit.region not in self.paired and unit.region not in self.halves and j == i + 1:
            return None  # "no scabs on either | comb pale"
        if (
            side in ("left", "right")
            and unit.plural
            and unit.region not in self.several
            and len(unit.low) <= 9
            and unit.region in self.paired
            and not (j and units[j - 1].low in ADJECTIVES)
        ):
            return None  # "none on the right | eyes good"
        ref = Ref(self.underside.get(unit.region, "") * under or unit.region, "", j, unit.weak, unit.plural)
        plural = unit.plural
        end = j + 1
        if ref.weak and end < size and units[end].low in AFTER_WEAK:
            inner = self._one(units, end + 1, muted)
            if inner is not None and not inner[0].weak:
                ref, end = inner[0], inner[1]
                side = side or ref.side
                plural = ref.plural
        if end + 1 < size and units[end].low == "of" and not side:
            whole = self._one(units, end + 1, muted)  # "toes of the right foot", "lid of the right eye"
            if whole is not None and (
                whole[0].region == ref.region
                or (self.limb.get(whole[0].region) and self.limb.get(whole[0].region) == self.limb.get(ref.region))
            ):
                side, end = whole[0].side, whole[1]
            elif whole is not None and ref.region in self.underside.values():
                return whole[0], whole[1]  # "the underside of the wing"
        if ref.region in self.paired:
            if not side:
                side, end = self.side_after(units, end)
            if not side and plural:
                side = "both"
            ref = replace(ref, side=side)
        return ref, end

    @staticmethod
    def _side_then_region(units: list[Unit], j: int) -> bool:
        return j + 1 < len(units) and bool(units[j + 1].region)

    def side_after(self, units: list[Unit], end: int) -> tuple[str, int]:
        """A side behind the region: "foot pad on the left", "FP: L", "ear right"."""
        j, size = end, len(units)
        if j < size and units[j].low == ":":
            j += 1
        if j < size and units[j].low in ("on", "in", "under") and j + 1 < size:
            j += 1
            while j < size and units[j].low in ("the", "her", "his", "its"):
                j += 1
        if j < size and units[j].side and not units[j].used and not units[j].muted:
            after = unit_at(units, j + 1)
            if j == end and after is not None and after.region and units[j].low in SIDE_WORDS:
                return "", end
            if (
                j == end
                and units[j].low in ("left", "right")
                and after is not None
                and after.kind == "word"
                and not (after.signs or after.grade or after.cues or after.region)
                and after.low not in VERB_OR_LINK
            ):
                return "", end
            if (
                after is not None
                and after.region
                and j > end
                and self.limb.get(after.region)
                and self.limb.get(units[end - 1].region) == self.limb[after.region]
                and after.region in self.whole
            ):
                return (
                    "both" if units[j].side not in ("left", "right") else units[j].side
                ), j + 2  # pad on the left foot
            if after is not None and after.region and not units[j].low.endswith("."):
                return "", end
            side = units[j].side
            stop = j + 1
            if (
                side in ("left", "right")
                and stop + 1 < size
                and units[stop].low in ("and", "&", "+")
                and units[stop + 1].side
                and not (stop + 2 < size and units[stop + 2].region)
            ):
                return "both", stop + 2
            return ("both" if side in ("each", "either", "neither") else side), stop
        return "", end

    @staticmethod
    def _list_goes_on(units: list[Unit], j: int) -> bool:
        """A comma joins regions only when what follows is said of all: "eyes, nares, mouth: fine"."""
        while j < len(units):
            low = units[j].low
            if low in (",", "and", "&", "or") or units[j].region or units[j].side or low in DETERMINERS:
                if low == "all":
                    return True
                j += 1
                continue
            return (
                low in (":", "-", "all", "both")
                or bool(units[j].signs and units[j].signs[0].id == NORMAL)
                or low in ("are", "look", "is", "were")
                or bool(units[j].cues)
            )
        return False

    def _share(self, units: list[Unit], refs: list[Ref]) -> list[Ref]:
        """"left hock and foot": the second takes the first one's side when it has none of its own."""
        out = [refs[0]]
        for ref in refs[1:]:
            before = out[-1]
            if (
                ref.region in self.paired
                and not ref.side
                and before.side in ("left", "right")
                and self.limb.get(ref.region)
                and self.limb.get(ref.region) == self.limb.get(before.region)
            ):
                ref = replace(ref, side=before.side)
            out.append(ref)
        return out
