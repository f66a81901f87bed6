"""The days of a pen: what was counted on each, beside the birds that live in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from dictate.care.pens import pens_of, same_pen
from dictate.record import BirdRecord, StoredObservation

__all__ = ["PenDays", "pen_days"]


@dataclass(frozen=True, slots=True)
class PenDays:
    """A pen (None: no pen was said) with its observations by day, the latest day first, and its birds."""

    pen: str | None
    days: tuple[tuple[date | None, tuple[StoredObservation, ...]], ...]
    birds: tuple[BirdRecord, ...]

    def total(self, day: date | None, kind: str) -> float | None:
        """What was counted of a kind on a day, added up; None where nothing was."""
        rows = [one for on, all_ in self.days if on == day for one in all_]
        values = [one.value for one in rows if one.kind == kind and one.value is not None]
        return sum(values) if values else None


def pen_days(
    observations: Iterable[StoredObservation], birds: Iterable[BirdRecord], on: date, pen: str | None = None
) -> list[PenDays]:
    """All pens that have observations or birds by a day, or the one asked for. Names that mean the same pen
    ("Orchard", "orchard pen") are taken together. What has no day comes last."""
    told = [one for one in observations if one.on is None or one.on <= on]
    here = [bird for bird in birds if bird.here_on(on)]
    names: list[str | None] = list(pens_of([*(bird.pen for bird in here), *(one.pen for one in told)]))
    if pen is not None:
        names = [name for name in names if same_pen(name, pen)][:1]
    elif any(one.pen is None for one in told):
        names.append(None)
    out = []
    for name in names:
        by_day: dict[date | None, list[StoredObservation]] = defaultdict(list)
        for one in told:
            if same_pen(one.pen, name):
                by_day[one.on].append(one)
        days = sorted(by_day, key=lambda day: day or date.min, reverse=True)
        out.append(PenDays(
            name, tuple((day, tuple(by_day[day])) for day in days),
            tuple(bird for bird in here if name is not None and same_pen(bird.pen, name)),
        ))
    return out
