"""Looks that follow from what was found and what is published of it; the rules are words of the lexicon.

A rule is about looking only. What the keeper asked for goes before it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from dictate.care.rechecks import RECHECK, regions_of
from dictate.model import Finding
from dictate.record import BirdRecord, StoredExam, examined_regions
from dictate.vocabulary.entries import LookAgain

__all__ = ["Look", "NoRule", "looks"]


@dataclass(frozen=True, slots=True)
class Look:
    """A look at a region that a rule asks for after a sign was last seen there (on `seen_on`, in
    `exam_id`). `at_least` is False for a look that may come sooner, True for one that must not."""

    bird_id: str
    bird: str
    pen: str | None
    exam_id: str
    seen_on: date
    region: str
    sign: str
    due_on: date
    at_least: bool
    rule: LookAgain
    quote: str
    done_on: date | None = None


@dataclass(frozen=True, slots=True)
class NoRule:
    """A sign that a rule is about, on a bird of a species that it is not for."""

    bird_id: str
    bird: str
    species: str
    sign: str
    rule: str


def looks(
    exams: Iterable[StoredExam], birds: Iterable[BirdRecord], rules: Sequence[LookAgain]
) -> tuple[list[Look], list[NoRule]]:
    """Looks by rule for the last time each sign was seen on each region, done or not; and what has none.

    Confirmed parts of dated exams of living birds only. A look is done by an exam of a later day (for
    `again`: from its day on) in which the region was examined, or the sign was spoken of anywhere.
    """
    known = {bird.id: bird for bird in birds}
    by_bird: dict[str, list[tuple[date, StoredExam]]] = defaultdict(list)
    for exam in exams:
        if exam.status != "withdrawn" and exam.kind == "live" and exam.on is not None and exam.bird_id in known:
            by_bird[exam.bird_id].append((exam.on, exam))
    found: list[Look] = []
    refused: dict[tuple[str, str], NoRule] = {}
    for bird_id, dated in by_bird.items():
        bird, dated = known[bird_id], sorted(dated, key=lambda one: one[0])
        for rule in rules:
            for region, (day, exam, finding) in _last_seen(dated, rule).items():
                if bird.species in rule.species:
                    found += _of_rule(bird, rule, region, day, exam, finding, dated)
                else:
                    refused[bird_id, rule.id] = NoRule(bird_id, bird.label, bird.species, finding.sign, rule.id)
    return found, list(refused.values())


def _last_seen(
    dated: Sequence[tuple[date, StoredExam]], rule: LookAgain
) -> dict[str, tuple[date, StoredExam, Finding]]:
    """By region, the last exam in which one of the rule's signs was there."""
    seen = {}
    for day, exam in dated:
        for finding in exam.confirmed.findings:
            here = finding.presence == "present" and finding.when == "now" and finding.sign in rule.signs
            if here and (not rule.regions or finding.region in rule.regions):
                seen[finding.region] = (day, exam, finding)
    return seen


def _of_rule(
    bird: BirdRecord, rule: LookAgain, region: str, day: date, exam: StoredExam, finding: Finding,
    dated: Sequence[tuple[date, StoredExam]],
) -> list[Look]:
    asked = _asked_for(exam, region)
    looked = [on for on, later in dated if on > day and _looks_at(later, region, rule)]
    found = []
    for days, at_least in ((rule.by, False), (rule.again, True)):
        if days is None:
            continue
        due_on = day + timedelta(days=days)
        if asked is not None and (not at_least or asked >= due_on):
            continue  # the keeper's own day covers it
        done = [on for on in looked if not at_least or on >= due_on]
        found.append(Look(
            bird_id=bird.id, bird=bird.label, pen=bird.pen, exam_id=exam.id, seen_on=day, region=region,
            sign=finding.sign, due_on=due_on, at_least=at_least, rule=rule, quote=finding.quote,
            done_on=done[0] if done else None,
        ))
    return found


def _asked_for(exam: StoredExam, region: str) -> date | None:
    """The day on which the keeper asked, in the same exam, to see the region again."""
    days = [
        exam.on + timedelta(days=action.in_days)
        for action in exam.confirmed.actions
        if action.kind == RECHECK and action.in_days is not None and exam.on is not None
        and region in (regions_of(exam.confirmed, action) or (region,))
    ]
    return max(days, default=None)


def _looks_at(exam: StoredExam, region: str, rule: LookAgain) -> bool:
    said = exam.confirmed
    return region in examined_regions(said) or any(
        finding.sign in rule.signs and finding.when == "now" for finding in said.findings
    )
