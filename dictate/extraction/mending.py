"""What the menders share: adding a hit, the statement made last."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from dictate.extraction.hits import GENERAL, NORMAL, SKIN, Hit, Ref
from dictate.extraction.placing import Placer
from dictate.extraction.regions import RegionReader
from dictate.extraction.state import State

__all__ = ["Base"]

NEAR = 40  # units between two mentions of the same thing


class Base:
    """Adds hits and finds the statement made last; what mends them is in the files that build on this."""

    def __init__(self, placer: Placer, regions: RegionReader) -> None:
        self.placer = placer
        self.regions = regions

    def add(self, s: State, hits: list[Hit], i: int) -> None:
        """Add hits; one that is there already is brought up to date instead."""
        s.lay_aside()
        if s.fix is not None:
            self.contradict(s, hits, i)
        for hit in hits:
            if self._nearer_said(s, hit):
                continue
            twin = next((h for h in s.hits if h.core == hit.core), None)
            if twin is None:
                s.hits.append(hit)
                continue
            if twin.sign != NORMAL:
                twin.presence = hit.presence
                twin.grade = hit.grade or (twin.grade if hit.presence == "present" else 0)
                twin.certainty = hit.certainty if twin.certainty != hit.certainty and hit.grade else twin.certainty
                twin.cues = hit.cues or twin.cues
            s.hits.remove(twin)
            twin.at, twin.end, twin.group = hit.at, hit.end, hit.group
            s.hits.append(twin)

    def _nearer_said(self, s: State, hit: Hit) -> bool:
        """"lice … lice round the vent", "limping … lame on the left leg": the nearer place is meant, once."""
        sign = self.placer.signs[hit.sign]
        of_limb = self.placer.limb_of(hit.sign)
        if of_limb and any(r != GENERAL and self.regions.limb.get(r) != of_limb for r in sign.usual):
            of_limb = ""  # thin, weak: of the whole bird and of a part at once
        wide = SKIN if sign.parasite else GENERAL if of_limb else ""
        if not wide or hit.presence != "present" or hit.when != "now":
            return False
        same = [h for h in s.hits if (h.sign, h.presence, h.when) == (hit.sign, "present", "now")]
        if hit.ref.region == wide:
            return any(h.ref.region != wide and hit.at - h.at <= NEAR for h in same)
        for other in same:
            if other.ref.region == wide and hit.at - other.at <= NEAR:
                s.hits.remove(other)
        return False

    @staticmethod
    def repeat(s: State, hits: list[Hit], refs: list[Ref], at: int, end: int, rule: str, **changes: Any) -> None:
        """Each hit once more for each region, said again in the units at..end; `changes` as for Hit.copy."""
        for hit in hits:
            for ref in refs:
                s.hits.append(hit.copy(replace(ref, at=at), at=at, end=end, rule=rule, **changes))

    def contradict(self, s: State, hits: list[Hit], i: int) -> None:
        """A new sign after a correcting word takes the place of the one it contradicts."""
        raise NotImplementedError
