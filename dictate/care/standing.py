"""What stands of a bird on a day: the signs seen last and not found gone since, each with its history."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, time, timedelta

from dictate.care.concern_rules import Rules, TimeOfDay, said
from dictate.model import Finding, Measurement
from dictate.record import BirdRecord, StoredExam

__all__ = ["Standing", "Subject", "subjects", "time_of_day"]

NORMAL = "normal"


@dataclass(frozen=True, slots=True)
class Standing:
    """A sign that stands: as it was seen last, since when it was there, and its grade the time before."""

    finding: Finding
    exam: StoredExam
    on: date
    since: date
    grade_before: int | None = None

    @property
    def doubtful(self) -> bool:
        return self.finding.certainty == "possible"

    @property
    def slight(self) -> bool:
        return self.finding.grade == 1


@dataclass(frozen=True, slots=True)
class Subject:
    """A bird with what stands of her. Without a register entry (`bird` None) each exam is one subject."""

    label: str
    bird: BirdRecord | None
    pen: str | None
    signs: tuple[Standing, ...]
    exams: tuple[StoredExam, ...]
    here: bool = True

    @property
    def species(self) -> str:
        return self.bird.species if self.bird else "chicken"

    def measured(self, kind: str) -> list[tuple[date, Measurement]]:
        """Measurements of a kind, oldest first; former values of an exam before the exam's own."""
        return [
            (exam.on, m)
            for exam in self.exams if exam.on is not None
            for m in sorted(exam.confirmed.measurements, key=lambda m: not m.former)
            if m.kind == kind
        ]


def subjects(exams: Iterable[StoredExam], birds: Iterable[BirdRecord], on: date, rules: Rules) -> list[Subject]:
    """Every bird with dated, confirmed exams of the living up to a day, and what stands of her then.

    Only exams of the last `days.weights` days are read. Exams of no known bird are subjects of their own.
    """
    known = {bird.id: bird for bird in birds}
    grouped: dict[str, list[StoredExam]] = defaultdict(list)
    oldest = on - timedelta(days=rules.days.weights)
    for exam in exams:
        if exam.kind == "live" and exam.status != "withdrawn" and exam.on is not None and oldest <= exam.on <= on:
            grouped[exam.bird_id if exam.bird_id in known else f"exam {exam.id}"].append(exam)
    out = []
    for key, own in grouped.items():
        own.sort(key=lambda e: (e.on or date.min, e.at or time.min))
        bird = known.get(key)
        out.append(Subject(
            label=bird.label if bird else own[-1].bird.label, bird=bird,
            pen=(bird.pen if bird else None) or own[-1].pen, signs=_standing(own, on, rules), exams=tuple(own),
            here=bird is None or bird.here_on(on),
        ))
    return out


def _standing(exams: list[StoredExam], on: date, rules: Rules) -> tuple[Standing, ...]:
    """The signs that no later exam found gone, seen within `days.bird`."""
    open_ones: dict[tuple[str, str, str], Standing] = {}
    for exam in exams:
        said_now = exam.confirmed
        seen = [f for f in said_now.findings if f.when == "now" and f.presence == "present" and f.sign != NORMAL]
        gone = [f for f in said_now.findings if f not in seen]
        before = dict(open_ones)
        for key in list(open_ones):
            rest = said_now.rest_normal and all(f.region != key[0] for f in seen)
            if open_ones[key].exam is not exam and (rest or any(_ends(f, key) for f in gone)):
                del open_ones[key]
        for finding in seen:
            assert exam.on is not None
            for side in ("left", "right") if finding.side == "both" else (finding.side or "",):
                key = (finding.region, finding.sign, side)
                earlier = _same(open_ones, key)
                last = _same(before, key)
                new = Standing(
                    finding, exam, exam.on, earlier.since if earlier else exam.on,
                    last.finding.grade if last and last.exam is not exam else None,
                )
                held = open_ones.get(key)
                if held is not None and held.exam is exam:  # said twice in one exam: the surer and worse counts
                    new = replace(new, since=held.since, grade_before=held.grade_before)
                    if (held.doubtful, -(held.finding.grade or 0)) <= (new.doubtful, -(finding.grade or 0)):
                        continue
                open_ones[key] = new
    oldest = on - timedelta(days=rules.days.bird)
    return tuple(one for one in open_ones.values() if one.on >= oldest)


def _same(open_ones: dict[tuple[str, str, str], Standing], key: tuple[str, str, str]) -> Standing | None:
    """The same sign there before, also where one of the two has no side."""
    region, sign, side = key
    for other in (side, "", *(("left", "right") if not side else ())):
        if (region, sign, other) in open_ones:
            return open_ones[region, sign, other]
    return None


def _ends(finding: Finding, key: tuple[str, str, str]) -> bool:
    """Whether a finding says that an earlier sign is gone: the sign absent or past, or its part normal."""
    region, sign, side = key
    if finding.when == "now" and finding.presence == "present" and finding.sign != NORMAL:
        return False
    if finding.sign not in (sign, NORMAL) or (finding.sign == NORMAL and finding.when == "past"):
        return False
    if finding.region != region:
        return False
    return not finding.side or not side or finding.side in ("both", side)


def time_of_day(one: Standing, rules: Rules) -> TimeOfDay:
    """When the sign was seen: by the words nearest to it in the same exam, else by the clock.

    What was said of a plan ("look again in the morning") is no time of the exam.
    """
    exam, hours = one.exam, rules.hours
    start, end = (exam.span.start, exam.span.end) if exam.span.end else (0, len(exam.text))
    plans = [action.span for action in exam.confirmed.actions]
    best: tuple[int, TimeOfDay] | None = None
    place = one.finding.span
    listed: tuple[tuple[TimeOfDay, tuple[str, ...]], ...] = (
        ("morning", hours.morning_said), ("evening", hours.evening_said), ("day", hours.day_said),
    )
    for name, phrases in listed:
        if said(one.finding.quote, phrases):
            return name
        for a, b in said(exam.text[start:end], phrases):
            a, b = a + start, b + start
            if any(plan.start < b and a < plan.end for plan in plans):
                continue
            distance = max(place.start - b, a - place.end, 0)
            if best is None or distance < best[0]:
                best = distance, name
    if best:
        return best[1]
    if exam.at is None:
        return "unknown"
    if hours.morning[0] <= exam.at.hour < hours.morning[1]:
        return "morning"
    return "evening" if hours.evening[0] <= exam.at.hour < hours.evening[1] else "day"
