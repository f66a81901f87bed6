"""Events and treatments that the words of an exam tell: each is asked about once, and nothing is guessed.

An exam's words may say that the bird was moved, quarantined or has died, or that a treatment was given. That
is kept with the exam as it was said; it becomes an event of the register or a treatment course only when
a person says so.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal, cast, get_args

from dictate.errors import UsageError
from dictate.model import Action
from dictate.record import Leaving, StoredExam

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.vocabulary import Vocabulary
    from dictate.vocabulary.entries import Event

__all__ = ["ASKED", "Told", "left_open", "write_event"]

ASKED = "asked about what was told"
TREAT, ISOLATE = "treat", "isolate"
POST_MORTEM = "post-mortem"
DIED = "died"
AROUND = 50
"""Characters after a word of moving in which a pen may be named."""
WORDS = 8


@dataclass(frozen=True, slots=True)
class Told:
    """One thing told in an exam. For an event `name` is its id, `until` its end and `pen` where to, as far
    as they were said; for a treatment `action` is it, and batch and prescriber as far as they were said."""

    kind: Literal["event", "treatment"]
    exam: StoredExam
    name: str
    words: str
    until: date | None = None
    pen: str | None = None
    action: Action | None = None
    last: date | None = None
    batch: str | None = None
    prescriber: str | None = None

    @property
    def item(self) -> str:
        """Under this the answer is kept."""
        return f"told {self.kind} {self.name}"


def left_open(
    log: FlockLog, vocabulary: Vocabulary, exams: Iterable[StoredExam] | None = None, *, pens: Iterable[str] = ()
) -> list[Told]:
    """What confirmed exams of known birds and days tell, and nobody was asked about or has written down.

    `exams`: those that are looked through (None: all of the log)."""
    events, courses = log.all_events(), log.courses()
    found = []
    for exam in log.exams() if exams is None else exams:
        if exam.bird_id is None or exam.on is None or exam.status == "withdrawn":
            continue
        told = [*_events(exam, vocabulary, tuple(pens)), *_treatments(exam, vocabulary)]
        if not told:
            continue
        asked = {d.item_id for d in log.decisions(exam.id) if d.what == ASKED and not d.undone}
        near = {e.kind for e in events.get(exam.bird_id, ()) if e.on and abs((e.on - exam.on).days) <= 1}
        gone = log.bird(exam.bird_id).left
        for one in told:
            known = one.name in near or (gone and _leaves(one, vocabulary))
            if one.kind == "treatment":
                known = any(course.exam_id == exam.id for course in courses)
            if one.item not in asked and not known:
                found.append(one)
    return found


def _leaves(one: Told, vocabulary: Vocabulary) -> bool:
    word = vocabulary.entries("event").get(one.name)
    return word is not None and bool(word.leaves)


def _events(exam: StoredExam, vocabulary: Vocabulary, pens: tuple[str, ...]) -> list[Told]:
    found: dict[str, Told] = {}
    words: dict[str, Event] = dict(vocabulary.entries("event"))
    said = exam.said
    covered: list[tuple[int, int]] = []
    phrases = sorted(((p, name) for name, word in words.items() for p in word.told), key=lambda one: -len(one[0]))
    for phrase, name in phrases:
        hit = re.search(rf"(?<!\w){re.escape(phrase)}(?!\w)", said, re.IGNORECASE)
        if hit is None or name in found or any(a < hit.end() and hit.start() < b for a, b in covered):
            continue
        covered.append(hit.span())
        rest = said[hit.end() : hit.end() + AROUND]
        around = _sentence(said, hit.start(), hit.end())
        found[name] = Told(
            "event", exam, name, around, until=_until(exam) if words[name].lasts else None,
            pen=_pen(rest, pens) if words[name].to_pen else None,
        )
    if exam.kind == POST_MORTEM and DIED in words and not any(words[name].leaves for name in found):
        found[DIED] = Told("event", exam, DIED, "this is a post-mortem")
    return list(found.values())


def _sentence(said: str, start: int, end: int) -> str:
    """The words from the stop before to the stop after, no more than so many of each."""
    left = max(said.rfind(mark, 0, start) for mark in ".!?\n") + 1
    stops = [place for mark in ".!?\n" if (place := said.find(mark, end)) >= 0]
    before = said[left:start].split()[-WORDS:]
    after = said[end : min(stops, default=len(said))].split()[:WORDS]
    return " ".join([*before, said[start:end], *after])


def _until(exam: StoredExam) -> date | None:
    """The end of keeping apart, where the exam says how long."""
    days = [a.in_days for a in exam.confirmed.actions if a.kind == ISOLATE and a.in_days is not None]
    return exam.on + timedelta(days=days[0]) if days and exam.on else None


def _pen(rest: str, pens: Iterable[str]) -> str | None:
    """The pen that is named soon after; only one that is known."""
    named = [pen for pen in pens if re.search(rf"(?<!\w){re.escape(pen)}(?!\w)", rest, re.IGNORECASE)]
    return max(named, key=len, default=None)


def _treatments(exam: StoredExam, vocabulary: Vocabulary) -> list[Told]:
    found = []
    for action in exam.confirmed.actions:
        if action.kind != TREAT or exam.on is None:
            continue
        last = exam.on + timedelta(days=max(0, action.in_days - 1)) if action.in_days is not None else None
        found.append(Told(
            "treatment", exam, action.quote or action.kind, action.quote, action=action, last=last,
            batch=_after(exam.said, "batch", vocabulary, r"[\w/-]*\d[\w/-]*(?: [A-Z0-9]{1,3}\b)?"),
            prescriber=_after(exam.said, "prescriber", vocabulary, r"[A-Z][\w'-]+(?: [A-Z][\w'-]+)?"),
        ))
    return found


def _after(said: str, role: str, vocabulary: Vocabulary, form: str) -> str | None:
    """What stands behind a word of that role, where it looks as it should."""
    word = vocabulary.entries("course_word").get(role)
    for phrase in sorted(word.say if word else (), key=len, reverse=True):
        hit = re.search(rf"(?<!\w)(?i:{re.escape(phrase)})\W+({form})", said)
        if hit:
            return hit[1]
    return None


def write_event(
    log: FlockLog, vocabulary: Vocabulary, told: Told, *, pen: str | None = None, until: date | None = None
) -> None:
    """Write an event that was told into the register, on the day of its exam."""
    exam, word = told.exam, vocabulary.entries("event")[told.name]
    if exam.bird_id is None or exam.on is None:
        raise UsageError("writing down what was told", told.name, "the bird or the day of that exam is not known")
    if word.leaves and told.name in get_args(Leaving):
        log.end_bird(exam.bird_id, cast("Leaving", told.name), exam.on, detail=told.words)
        return
    where = pen or told.pen
    if word.to_pen and not where:
        raise UsageError("writing down what was told", told.name, "it is not known where to")
    log.add_event(exam.bird_id, told.name, exam.on, until=until or told.until, detail=told.words, pen=where)
