"""What the menders share: adding a hit, the statement made last."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from dictate.extraction.hits import NORMAL, Hit, Ref
from dictate.extraction.placing import Placer
from dictate.extraction.regions import RegionReader
from dictate.extraction.state import State

__all__ = ["Base"]


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

    @staticmethod
    def repeat(s: State, hits: list[Hit], refs: list[Ref], at: int, end: int, rule: str, **changes: Any) -> None:
        """Each hit once more for each region, said again in the units at..end; `changes` as for Hit.copy."""
        for hit in hits:
            for ref in refs:
                s.hits.append(hit.copy(replace(ref, at=at), at=at, end=end, rule=rule, **changes))

    def contradict(self, s: State, hits: list[Hit], i: int) -> None:
        """A new sign after a correcting word takes the place of the one it contradicts."""
        raise NotImplementedError
