"""Whose eggs and meat are held back on a day: by treatment courses and by what the keeper said.

Whichever ends last counts, and what has no known end counts longest. The eggs of a pen are mixed: while
one bird in it is held, all are. What is not known is never taken for free.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from dictate.care.courses import end_of
from dictate.care.withholding import Hold, holds
from dictate.keeping import PRODUCE, Course, Produce
from dictate.record import BirdRecord, StoredExam
from dictate.vocabulary.entries import Regime

__all__ = ["HeldBack", "Reason", "held_back"]

EGGS: Produce = "eggs"
LONGEST_LOOK_BACK = 400
"""Days of a course of a pen in which its birds are looked for."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One ground for holding produce back until a day (None: no end is known)."""

    until: date | None
    ask_vet: bool
    why: str
    source: str = ""
    course_id: str | None = None
    exam_id: str | None = None
    quote: str = ""
    memory: str = ""


@dataclass(frozen=True, slots=True)
class HeldBack:
    """Produce of a bird, or of a whole pen (`bird` None), held back until the last day of `until`, that
    day included; None: until a vet or the keeper says. `reasons` are all grounds, the last to end first."""

    produce: Produce
    bird_id: str | None
    bird: str | None
    pen: str | None
    reasons: tuple[Reason, ...]

    @property
    def until(self) -> date | None:
        return None if any(r.until is None for r in self.reasons) else max(r.until for r in self.reasons if r.until)

    @property
    def ask_vet(self) -> bool:
        return any(reason.ask_vet for reason in self.reasons)

    @property
    def whose(self) -> str:
        return self.bird if self.bird is not None else f"pen {self.pen}"

    @property
    def what(self) -> str:
        """The produce and whose it is."""
        return f"{self.produce} of {self.bird}" if self.bird is not None else f"all {self.produce} of pen {self.pen}"


def held_back(
    exams: Iterable[StoredExam],
    birds: Iterable[BirdRecord],
    courses: Iterable[Course],
    regimes: Sequence[Regime],
    on: date,
    *,
    not_laying: Collection[str] = (),
) -> list[HeldBack]:
    """What is held back on a day: birds first, then pens; what has no end comes last.

    Of a bird that was sold or culled the hold is still shown, since her meat or eggs may be eaten, not of
    one that died or was lost; no bird that has left holds the eggs of a pen. Birds of a sex in
    `not_laying` hold no eggs.
    """
    birds = list(birds)
    grounds: dict[tuple[Produce, str], list[Reason]] = {}
    pens: dict[tuple[Produce, str], list[Reason]] = {}
    nameless: list[HeldBack] = []
    shown = {b.id: b for b in birds if b.here_on(on) or b.left_how not in ("died", "lost")}

    def add(bird_id: str, produce: Produce, reason: Reason) -> None:
        if bird_id in shown and not (produce == EGGS and shown[bird_id].sex in not_laying):
            grounds.setdefault((produce, bird_id), []).append(reason)

    for course in courses:
        if course.status != "confirmed" or (course.first_on and course.first_on > on):
            continue
        for produce in PRODUCE:
            end = end_of(course, produce, regimes)
            if end.free or (end.until is not None and end.until < on):
                continue
            reason = Reason(
                end.until, end.ask, f"{course.product}: {end.why}", end.source, course.id, course.exam_id,
                course.quote or "", end.memory,
            )
            if course.bird_id is not None:
                add(course.bird_id, produce, reason)
            elif course.pen is not None:
                pens.setdefault((produce, course.pen), []).append(reason)
                for bird in birds:
                    if _lived_there(bird, course, on):
                        add(bird.id, produce, reason)
    for hold in holds(exams, birds, on):
        for produce in _said_of(hold):
            reason = _as_said(hold)
            if hold.bird_id is None:
                nameless.append(HeldBack(produce, None, hold.bird, hold.pen, (reason,)))
            else:
                add(hold.bird_id, produce, reason)
    found = nameless + [
        HeldBack(produce, bird_id, shown[bird_id].label, shown[bird_id].pen_on(on), _last_first(reasons))
        for (produce, bird_id), reasons in grounds.items()
    ]
    _mix_eggs(found, shown, pens, on)
    whole = [HeldBack(produce, None, None, pen, _last_first(reasons)) for (produce, pen), reasons in pens.items()]
    return sorted(found, key=_order) + sorted(whole, key=_order)


def _mix_eggs(
    found: list[HeldBack], shown: dict[str, BirdRecord], pens: dict[tuple[Produce, str], list[Reason]], on: date
) -> None:
    """Birds that live in a pen hold the eggs of all of it."""
    for held in found:
        bird = shown.get(held.bird_id or "")
        if held.produce != EGGS or held.pen is None or (bird is not None and not bird.here_on(on)):
            continue
        known = pens.setdefault((EGGS, held.pen), [])
        known += [
            Reason(
                r.until, r.ask_vet, f"its eggs are mixed with those of {held.bird}: {r.why}", r.source,
                r.course_id, r.exam_id, r.quote, r.memory,
            )
            for r in held.reasons if r not in known
        ]


def _lived_there(bird: BirdRecord, course: Course, on: date) -> bool:
    """Whether a bird was in the pen, and in the flock, on a day of its course."""
    first = course.first_on or course.last_on
    if first is None:
        return bird.pen == course.pen
    last = min(course.last_on or on, on, first + timedelta(days=LONGEST_LOOK_BACK))
    days = (first + timedelta(days=n) for n in range(max(0, (last - first).days) + 1))
    return any(bird.pen_on(day) == course.pen and bird.here_on(day) for day in days)


def _as_said(hold: Hold) -> Reason:
    """The keeper's own word, as it stands: no law is read into it."""
    day = f" on {hold.said_on}" if hold.said_on else ""
    end = "" if hold.until else "; no end was said"
    return Reason(hold.until, False, f'the keeper said "{hold.quote}"{day}{end}', "", None, hold.exam_id, hold.quote)


def _said_of(hold: Hold) -> tuple[Produce, ...]:
    """The produce that its words name; where they name none, all of it."""
    words = f"{hold.quote} {hold.detail or ''}".casefold().split()
    named = tuple(p for p in PRODUCE if any(word.strip(".,;:'").rstrip("s") == p.rstrip("s") for word in words))
    return named or PRODUCE


def _last_first(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    once = dict.fromkeys(reasons)
    return tuple(sorted(once, key=lambda r: (r.until is not None, -(r.until or date.min).toordinal())))


def _order(held: HeldBack) -> tuple[bool, date, str, str]:
    return held.until is None, held.until or date.max, held.whose.casefold(), held.produce
