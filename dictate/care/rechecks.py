"""Rechecks that the keeper asked for: when they fall due, and which a later exam has done.

Only what was said and confirmed counts. Where no day was said, no day is made up.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from dictate.model import Action, Exam
from dictate.record import BirdRecord, StoredExam, examined_regions

__all__ = ["Recheck", "due", "rechecks"]

RECHECK = "recheck"
_WORD = r"[\w'’-]+"


@dataclass(frozen=True, slots=True)
class Recheck:
    """One look that the keeper asked for.

    `regions` are what is to be looked at again (empty: the bird as a whole), `waiting` those not
    looked at since. `due_on` is None where no delay was said, or the exam has no day. `done_on`
    is the day of the exam by which all of it had been looked at.
    """

    bird_id: str
    bird: str
    exam_id: str
    regions: tuple[str, ...]
    waiting: tuple[str, ...]
    asked_on: date | None
    due_on: date | None
    quote: str
    detail: str | None = None
    done_on: date | None = None
    pen: str | None = None

    @property
    def done(self) -> bool:
        return self.done_on is not None

    def days_over(self, on: date) -> int | None:
        """Days since it was due (negative: still to come); None where no day is known."""
        return (on - self.due_on).days if self.due_on else None


def rechecks(exams: Iterable[StoredExam], birds: Iterable[BirdRecord]) -> list[Recheck]:
    """All rechecks in confirmed exams of living birds, done or not, in the order of the exams.

    Each exam counts by its confirmed part; post-mortems, withdrawn exams and exams of no
    known bird do not count. A recheck is done when every region it is about has been looked
    at on a later day (any exam of the bird on a later day, where it is about none). That "the rest
    is normal" was said does not do a recheck: the region must have been spoken of.
    """
    known = {bird.id: bird for bird in birds}
    by_bird: dict[str, list[StoredExam]] = defaultdict(list)
    order: list[StoredExam] = []
    for exam in exams:
        if exam.status != "withdrawn" and exam.kind == "live" and exam.bird_id in known:
            by_bird[exam.bird_id].append(exam)
            order.append(exam)
    return [
        _recheck(stored, action, known[stored.bird_id], by_bird[stored.bird_id])
        for stored in order
        if stored.bird_id is not None
        for action in stored.confirmed.actions
        if action.kind == RECHECK
    ]


def _recheck(stored: StoredExam, action: Action, bird: BirdRecord, others: list[StoredExam]) -> Recheck:
    regions = regions_of(stored.confirmed, action)
    due_on = None
    if stored.on is not None and action.in_days is not None:
        due_on = stored.on + timedelta(days=action.in_days)
    waiting, done_on = _looked_at(stored, regions, others)
    return Recheck(
        bird_id=bird.id, bird=bird.label, exam_id=stored.id, regions=regions, waiting=waiting,
        asked_on=stored.on, due_on=due_on, quote=action.quote, detail=action.detail, done_on=done_on,
        pen=bird.pen,
    )


def regions_of(exam: Exam, action: Action) -> tuple[str, ...]:
    """What a recheck is about: the regions of the exam that its words name, else every region
    where something is or may be wrong now; none of these: the bird as a whole."""
    words = f" {' '.join(re.findall(_WORD, f'{action.quote} {action.detail}'.casefold()))} "
    seen = list(dict.fromkeys(f.region for f in exam.findings if f.when == "now"))
    named = tuple(region for region in seen if f" {region} " in words)
    if named:
        return named
    wrong = {
        f.region for f in exam.findings
        if f.when == "now" and f.presence == "present" and f.sign != "normal"
    }
    return tuple(region for region in seen if region in wrong)


def _looked_at(
    stored: StoredExam, regions: tuple[str, ...], others: list[StoredExam]
) -> tuple[tuple[str, ...], date | None]:
    """Regions not looked at on a later day, and the day when none was left."""
    waiting = list(regions)
    if stored.on is None:
        return tuple(waiting), None
    for exam in _later(others, stored.on):
        looked = examined_regions(exam.confirmed)
        waiting = [region for region in waiting if region not in looked]
        if not waiting:
            return (), exam.on
    return tuple(waiting), None


def _later(exams: list[StoredExam], day: date) -> list[StoredExam]:
    dated = [(exam.on, number, exam) for number, exam in enumerate(exams) if exam.on is not None]
    return [exam for on, _, exam in sorted(dated, key=lambda one: one[:2]) if on > day]


def due(
    exams: Iterable[StoredExam],
    birds: Iterable[BirdRecord],
    on: date,
    *,
    within: int = 0,
) -> list[Recheck]:
    """Rechecks not done that are due on a day or within so many days after it: the longest overdue
    first, then those with no day (asked for, but not for when). Birds that have left are not due,
    nor is what was asked for after that day; what was done after it counts as not done yet."""
    birds = list(birds)
    here = {bird.id for bird in birds if bird.here_on(on)}
    past = [exam for exam in exams if exam.on is None or exam.on <= on]
    last = on + timedelta(days=within)
    open_ones = [
        recheck for recheck in rechecks(past, birds)
        if recheck.bird_id in here and not recheck.done
        and (recheck.due_on is None or recheck.due_on <= last)
    ]
    return sorted(open_ones, key=lambda r: (r.due_on is None, r.due_on or date.max, r.bird.casefold()))
