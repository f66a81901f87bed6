"""What is kept of birds over weeks, as frozen data: pens lived in, treatment courses, photos.

Days are calendar dates without zone. Words of products and people are the keeper's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

__all__ = ["PRODUCE", "Course", "PenMove", "Photo", "Produce"]

Produce = Literal["eggs", "meat"]
PRODUCE: tuple[Produce, ...] = ("eggs", "meat")
Use = Literal["label", "off-label", "not said"]


@dataclass(frozen=True, slots=True)
class PenMove:
    """A move from one pen to another (None: not known)."""

    on: date | None
    to: str | None
    before: str | None = None


@dataclass(frozen=True, slots=True)
class Course:
    """A treatment of one bird (`bird_id`) or of all birds of a pen, as the keeper said or typed it.

    `label_days` are the days that the label names for each produce, `vet_days` those that a vet
    set; what was not said is missing. `use`: as the label says, or otherwise ("off-label"; then
    `label_days` are the longest that the label has for any animal). `regime` is the place whose rules
    were in force for the keeper (None: not said). `last_on` None: still being given, or not said.
    """

    id: str
    product: str
    bird_id: str | None = None
    pen: str | None = None
    exam_id: str | None = None
    first_on: date | None = None
    last_on: date | None = None
    label_days: tuple[tuple[Produce, int], ...] = ()
    vet_days: tuple[tuple[Produce, int], ...] = ()
    use: Use = "not said"
    regime: str | None = None
    product_batch: str | None = None
    prescriber: str | None = None
    reason: str | None = None
    quote: str | None = None
    status: Literal["draft", "confirmed", "withdrawn"] = "confirmed"

    def label(self, produce: Produce) -> int | None:
        return dict(self.label_days).get(produce)

    def vet(self, produce: Produce) -> int | None:
        return dict(self.vet_days).get(produce)


@dataclass(frozen=True, slots=True)
class Photo:
    """A file kept with an exam, or with one finding of it. `path` is where the copy lies."""

    id: str
    path: str
    sha256: str
    exam_id: str
    finding_id: str | None = None
    taken: datetime | None = None
    name: str = ""
