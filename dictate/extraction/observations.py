"""What is said of a pen or the flock: deaths, eggs, feed, water, birds sick. Kept apart from birds."""

from __future__ import annotations

from dictate.extraction.units import Unit, unit_at
from dictate.model import Observation
from dictate.vocabulary import Vocabulary

__all__ = ["ObservationFinder"]


class ObservationFinder:
    """Finds counted observations with the lexicon's observation words."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.kinds = vocabulary.observations
        self.roles = {entry.id: entry.role for entry in vocabulary.birds.values()}

    def find(self, units: list[Unit], text: str) -> list[Observation]:
        out: list[Observation] = []
        pen = None
        for i, unit in enumerate(units):
            if unit.birds and unit.role("pen", self.roles) and i + 1 < len(units) and units[i + 1].number:
                number = units[i + 1].number
                pen = f"{unit.low} {number.digits}" if number else None
            if not unit.observation or unit.used or unit.muted or unit.kind == "punct":
                continue
            before = unit_at(units, i - 1)
            after = unit_at(units, i + 1)
            at = None
            if before is not None and before.number and not before.used:
                at = i - 1
            elif after is not None and after.number and not after.used:
                at = i + 1
            elif after is not None and after.low in (":", "=") and i + 2 < len(units) and units[i + 2].number:
                at = i + 2
            if at is None:
                continue
            number = units[at].number
            span = unit.span.cover(units[at].span)
            out.append(Observation(
                unit.observation, pen, number.value if number else None, self.kinds[unit.observation].unit, None,
                span, span.quote(text)))
            unit.used = units[at].used = "observation"
        return out
