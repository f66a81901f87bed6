"""All that is due in one list: what the keeper asked for, looks by rule, quarantine that ends."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from dictate.care.look_again import Look, NoRule, looks
from dictate.care.rechecks import due as rechecks_due
from dictate.record import BirdEvent, BirdRecord, StoredExam
from dictate.vocabulary.entries import LookAgain

__all__ = ["Agenda", "Duty", "agenda"]

QUARANTINE = "quarantine"
ISOLATE = "isolate"
Kind = Literal["asked", "rule", "quarantine", "isolation"]


@dataclass(frozen=True, slots=True)
class Duty:
    """One thing that is due. `regions`: what to look at (empty: the whole bird). `because` says what it
    follows from, in a sentence; `exam_id`, `rule` and `source` where to read it up. `due_on` is None
    where no day was said."""

    kind: Kind
    bird_id: str
    bird: str
    due_on: date | None
    regions: tuple[str, ...]
    because: str
    since: date | None
    pen: str | None = None
    quote: str = ""
    exam_id: str | None = None
    event_id: str | None = None
    rule: str | None = None
    source: str = ""
    standing: str = ""
    once_more: bool = False

    def days_over(self, on: date) -> int | None:
        """Days since it was due (negative: still to come); None where no day is known."""
        return (on - self.due_on).days if self.due_on else None

    @property
    def task(self) -> str:
        """What there is to do."""
        if self.kind == "quarantine":
            return "end of quarantine"
        what = ", ".join(self.regions) or "the whole bird"
        if self.kind == "isolation":
            return f"end of keeping apart, {what}"
        return f"look at {what}{' once more' if self.once_more else ''}"

    @property
    def summary(self) -> str:
        return f"{self.bird}: {self.task}"

    @property
    def key(self) -> str:
        """The same for the same duty whenever it is asked for."""
        what = "+".join(self.regions) or "bird"
        return f"{self.kind}-{self.exam_id or self.event_id}-{self.rule or ''}-{what}-{self.due_on or ''}"


@dataclass(frozen=True, slots=True)
class Agenda:
    """What is due; signs on birds of a species without a rule; birds not counted because a post-mortem
    of them is in the log, though nobody wrote down that they died."""

    duties: tuple[Duty, ...]
    no_rule: tuple[NoRule, ...] = ()
    dead: tuple[tuple[str, date], ...] = ()


def agenda(
    exams: Iterable[StoredExam],
    birds: Iterable[BirdRecord],
    on: date,
    *,
    within: int = 0,
    rules: Sequence[LookAgain] = (),
    events: Mapping[str, Sequence[BirdEvent]] | None = None,
    ends_quarantine: Iterable[str] = (),
) -> Agenda:
    """What is due on a day or within so many days after it, the longest overdue first, what has no day last.

    Birds that have left are not due from that day. What was written down after `on` is not known yet.
    `ends_quarantine`: the events by which a quarantine is over.
    """
    known = [exam for exam in exams if exam.on is None or exam.on <= on]
    birds = list(birds)
    dead = _post_mortems(known, birds, on)
    here = [bird for bird in birds if bird.here_on(on) and bird.id not in dead]
    last = on + timedelta(days=within)
    found = [
        Duty(
            "asked", one.bird_id, one.bird, one.due_on, one.waiting,
            f"the keeper asked for it on {one.asked_on}" if one.asked_on else "the keeper asked for it",
            one.asked_on, one.pen, one.quote, one.exam_id,
        )
        for one in rechecks_due(known, here, on, within=within)
    ]
    by_rule, refused = looks(known, here, rules)
    found += [_by_rule(look) for look in _open(by_rule, on)]
    found += _quarantines(here, events or {}, frozenset(ends_quarantine), on)
    found += _isolations(known, here, events or {}, on)
    wanted = [duty for duty in found if duty.due_on is None or duty.due_on <= last]
    return Agenda(
        tuple(sorted(wanted, key=lambda d: (d.due_on is None, d.due_on or date.max, d.bird.casefold(), d.key))),
        tuple(refused), tuple((bird.label, dead[bird.id]) for bird in birds if bird.id in dead),
    )


def _post_mortems(exams: Iterable[StoredExam], birds: Iterable[BirdRecord], on: date) -> dict[str, date]:
    """Birds still in the flock of which there is a post-mortem, with its day."""
    here = {bird.id for bird in birds if bird.here_on(on)}
    return {
        exam.bird_id: exam.on for exam in exams
        if exam.kind == "post-mortem" and exam.status != "withdrawn" and exam.on is not None
        and exam.bird_id in here
    }


def _open(by_rule: Iterable[Look], on: date) -> list[Look]:
    """Looks not done; a second one only once the first is done, or while it is still to come."""
    waiting = [look for look in by_rule if look.done_on is None]
    first = {(look.bird_id, look.rule.id, look.region) for look in waiting if not look.at_least}
    return [
        look for look in waiting
        if not (look.at_least and look.due_on <= on and (look.bird_id, look.rule.id, look.region) in first)
    ]


def _by_rule(look: Look) -> Duty:
    days = (look.due_on - look.seen_on).days
    when = f"no sooner than {days} days after" if look.at_least else f"within {days} days of"
    return Duty(
        "rule", look.bird_id, look.bird, look.due_on, (look.region,),
        f"{look.sign} seen on {look.seen_on}; look {when} that: {look.rule.because}",
        look.seen_on, look.pen, look.quote, look.exam_id, None, look.rule.id, look.rule.source,
        look.rule.standing, look.at_least,
    )


def _quarantines(
    birds: Iterable[BirdRecord], events: Mapping[str, Sequence[BirdEvent]], over: frozenset[str], on: date
) -> list[Duty]:
    """The last quarantine of each bird, where nobody has written down that it is over."""
    found = []
    for bird in birds:
        past = [event for event in events.get(bird.id, ()) if event.on is not None and event.on <= on]
        begun = [event for event in past if event.kind == QUARANTINE]
        if not begun:
            continue
        last = begun[-1]
        if any(event.kind in over and event.on and last.on and event.on >= last.on for event in past):
            continue
        found.append(Duty(
            "quarantine", bird.id, bird.label, last.until, (),
            f"in quarantine since {last.on}" + ("" if last.until else "; no end was said")
            + "; it is over when you write that down",
            last.on, bird.pen, last.detail or "", event_id=last.id,
        ))
    return found


def _isolations(
    exams: Iterable[StoredExam], birds: Iterable[BirdRecord], events: Mapping[str, Sequence[BirdEvent]], on: date
) -> list[Duty]:
    """Birds that were set apart for so many days: done by an exam from the last of them on."""
    known = {bird.id: bird for bird in birds}
    mine = [exam for exam in exams if exam.kind == "live" and exam.status != "withdrawn" and exam.bird_id in known]
    found = []
    for exam in mine:
        for action in exam.confirmed.actions:
            if action.kind != ISOLATE or action.in_days is None or exam.on is None or exam.bird_id is None:
                continue
            ends = exam.on + timedelta(days=action.in_days)
            seen = any(e.bird_id == exam.bird_id and e.on is not None and e.on >= ends for e in mine)
            told = any(
                event.kind == QUARANTINE and event.on and event.on >= exam.on
                for event in events.get(exam.bird_id, ())
            )
            if not seen and not told:
                bird = known[exam.bird_id]
                found.append(Duty(
                    "isolation", bird.id, bird.label, ends, (),
                    f"set apart for {action.in_days} days on {exam.on}; done when she is examined from then on",
                    exam.on, bird.pen, action.quote, exam.id,
                ))
    return found
