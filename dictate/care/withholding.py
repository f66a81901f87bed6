"""Eggs or meat that the keeper said to hold back, as said. No period is ever proposed here:
the label, local rules and the vet decide."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from dictate.record import BirdRecord, StoredExam

__all__ = ["Hold", "holds"]

WITHHOLD = "withhold"


@dataclass(frozen=True, slots=True)
class Hold:
    """Produce of a bird held back. `until` is the last day of it by what was said; None: no
    length was said, or the exam has no day, and it holds until the keeper says otherwise."""

    bird_id: str | None
    bird: str
    exam_id: str
    said_on: date | None
    until: date | None
    quote: str
    detail: str | None = None
    pen: str | None = None

    @property
    def sentence(self) -> str:
        said = f'"{self.quote}"' if self.quote else "to hold produce back"
        day = f" on {self.said_on.isoformat()}" if self.said_on else ""
        end = f"hold until {self.until.isoformat()}" if self.until else "no end was said"
        return f"{self.bird}: keeper said {said}{day}: {end}"


def holds(exams: Iterable[StoredExam], birds: Iterable[BirdRecord], on: date) -> list[Hold]:
    """What is held back on a day, by confirmed exams: the earliest end first, those with no end last.

    The last day counts as held. A bird that has left is not listed from the day she left if she
    died or was lost; of one sold or culled the hold is still shown, since her meat or eggs may
    be eaten.
    """
    known = {bird.id: bird for bird in birds}
    found = []
    for stored in exams:
        if stored.status == "withdrawn" or stored.kind != "live" or (stored.on and stored.on > on):
            continue
        bird = known.get(stored.bird_id or "")
        if bird is not None and not bird.here_on(on) and bird.left_how in ("died", "lost"):
            continue
        for action in stored.confirmed.actions:
            if action.kind != WITHHOLD:
                continue
            until = None
            if stored.on is not None and action.in_days is not None:
                until = stored.on + timedelta(days=action.in_days)
            if until is None or until >= on:
                found.append(Hold(
                    bird_id=stored.bird_id, bird=bird.label if bird else stored.bird.label,
                    exam_id=stored.id, said_on=stored.on, until=until, quote=action.quote,
                    detail=action.detail, pen=stored.pen,
                ))
    return sorted(found, key=lambda h: (h.until is None, h.until or date.max, h.bird.casefold()))
