"""What another listener says to each thing that was understood, and what that makes of its verdict.

One rule. A thing is looked for in what each other listener's words gave, at about the same time, and in what
the first one's words give without the help of the others: two that helped one another are no two witnesses.
There it is the same (`agreed`), much the same (`near`: this sign elsewhere, or another sign of this place), the
same but for the side, the absence or the number (`contradicted`), or not there at all (`alone`). The worst of
the answers counts. Each of the four adds its amount (weights.toml) to the penalties that the thing has from how it
was said: agreement takes some away, a thing heard alone is looked over, a contradiction is asked about.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeVar

from dictate.extraction.scoring import verdict_of
from dictate.model import Action, Bird, Draft, Exam, Finding, Measurement, Penalty, Question

__all__ = ["Said", "Stand", "judged", "stand_of"]

Said = TypeVar("Said", Finding, Measurement, Action)
Stand = Literal["agreed", "near", "alone", "contradicted"]

APART = 1.5  # seconds by which two listeners' times of one thing may differ
NUMBERS = 0.005  # numbers agree within half a percent
NAMES: dict[Stand, str] = {
    "agreed": "heard by both listeners", "near": "heard otherwise by the other listener",
    "alone": "heard by one listener alone", "contradicted": "the listeners contradict each other",
}
ORDER: tuple[Stand, ...] = ("contradicted", "alone", "near", "agreed")
HEARD = frozenset(("heard by one listener", "words hardly heard", "words not well heard"))
"""Penalties of one listener's words, in whose place these come."""


def judged(draft: Draft, others: Mapping[str, Draft], amounts: Mapping[str, float], most: float) -> Draft:
    """The draft with verdicts that know what the other listeners heard. `amounts` by stand; what others
    heard alone is asked about where its penalties sum up to no more than `most`."""
    if not others:
        return draft
    main = draft.utterances[0].listener if draft.utterances else ""
    exams = []
    for exam in draft.exams:
        questions = list(exam.questions)
        judge = _Judge(others, amounts, main, questions)
        findings, measurements = judge.all(exam.findings), judge.all(exam.measurements)
        actions = judge.all(exam.actions)
        bird = _bird(exam, list(others.values()), amounts, questions)
        exams.append(replace(
            exam, bird=bird, findings=findings, measurements=measurements, actions=actions, questions=tuple(questions),
        ))
    for name, other in others.items():
        _ask_about_the_rest(exams, name, other, most)
    return replace(draft, exams=tuple(exams))


@dataclass(frozen=True, slots=True)
class _Judge:
    """Judges the things of one exam; what is contradicted is added to its questions."""

    others: Mapping[str, Draft]
    amounts: Mapping[str, float]
    main: str
    questions: list[Question]

    def all(self, items: tuple[Said, ...]) -> tuple[Said, ...]:
        return tuple(self.one(item, place) for place, item in enumerate(items))

    def one(self, item: Said, place: int) -> Said:
        stands: dict[str, tuple[Stand, Said | None]] = {
            name: stand_of(item, _things(draft, type(item))) for name, draft in self.others.items()
        }
        stand, against = min(stands.values(), key=lambda found: ORDER.index(found[0]))
        penalties = tuple(p for p in item.penalties if p.name not in HEARD)
        amount = self.amounts[stand]
        if amount < 0:
            amount = -min(-amount, sum(p.amount for p in penalties))
        if amount:
            penalties += (Penalty(NAMES[stand], amount),)
        if stand == "contradicted" and against is not None:
            self.questions.append(_question(item, against, place))
        agreeing: list[str] = [name for name in stands if stands[name][0] == "agreed" and name != self.main]
        listeners = (self.main, *agreeing)
        judged: Said = replace(item, penalties=penalties, verdict=verdict_of(penalties), listeners=listeners)
        return judged


def stand_of(item: Said, others: Iterable[Said]) -> tuple[Stand, Said | None]:
    """How a thing stands to what another listener's words gave, and what contradicts it."""
    stand: Stand = "alone"
    against = None
    for other in others:
        if not _together(item, other):
            continue
        found = _compare(item, other)
        if found == "agreed":
            return "agreed", None
        if found == "contradicted":
            stand, against = found, other
        elif found == "near" and stand == "alone":
            stand = found
    return stand, against


def _compare(item: Said, other: Said) -> Stand:
    if isinstance(item, Finding) and isinstance(other, Finding):
        place, sign = item.region == other.region, item.sign == other.sign
        if place and sign and item.when == other.when:
            same = item.side == other.side and item.presence == other.presence
            return "agreed" if same else "contradicted"
        return "near" if (place and item.side == other.side) or (sign and item.presence == other.presence) else "alone"
    if isinstance(item, Measurement) and isinstance(other, Measurement):
        if item.kind != other.kind or item.of != other.of or item.former != other.former:
            return "alone"
        return "agreed" if math.isclose(item.value, other.value, rel_tol=NUMBERS) else "contradicted"
    if isinstance(item, Action) and isinstance(other, Action) and item.kind == other.kind:
        return "agreed" if item.in_days == other.in_days else "contradicted"
    return "alone"


def _question(item: Said, other: Said, place: int) -> Question:
    """Which of the two is right."""
    if isinstance(item, Finding) and isinstance(other, Finding):
        if item.presence != other.presence:
            text = f"{item.region}: is there {item.sign}? The two listeners heard it differently."
            return Question("presence", text, "presence", place, ("present", "absent"), item.span)
        sides = ("left", "right", "both")
        text = f"Which {item.region}? The two listeners heard it differently."
        return Question("side", text, "side", place, sides, item.span)
    if isinstance(item, Measurement) and isinstance(other, Measurement):
        values = f"{item.value:g}", f"{other.value:g}"
        text = f"{item.kind}: {values[0]} or {values[1]} {item.unit}?"
        return Question("number", text, "value", place, values, item.span)
    assert isinstance(item, Action)
    assert isinstance(other, Action)
    days = tuple("no day said" if a.in_days is None else str(a.in_days) for a in (item, other))
    text = f"{item.kind}: in how many days, {days[0]} or {days[1]}?"
    return Question("number", text, "in_days", place, (), item.span)


def _bird(exam: Exam, others: Sequence[Draft], amounts: Mapping[str, float], questions: list[Question]) -> Bird:
    """A bird that another listener did not hear called so is looked over; one it heard called otherwise too."""
    bird = exam.bird
    if not bird.known:
        return bird
    called = [{(e.bird.band, (e.bird.name or "").lower()) for e in draft.exams} for draft in others]
    if all((bird.band, (bird.name or "").lower()) in names for names in called):
        return bird
    penalties = (*bird.penalties, Penalty(NAMES["alone"], amounts["alone"]))
    if not any(question.field in ("band", "name") for question in questions):
        questions.append(Question("band", f"Is it {bird.label}? The two listeners heard it differently.", "band"))
    return replace(bird, penalties=penalties, verdict=verdict_of(penalties))


def _ask_about_the_rest(exams: list[Exam], name: str, other: Draft, most: float) -> None:
    """What only another listener heard, of which its words leave little doubt: a question to the exam that
    was going on, so that it is not lost."""
    heard: list[Finding] = _things(other, Finding)
    for finding in heard:
        here = [
            mine for exam in exams for mine in exam.findings
            if finding.region == mine.region and finding.sign == mine.sign
        ]
        known = any(_together(finding, mine) for mine in here)
        if known or sum(p.amount for p in finding.penalties if p.name not in HEARD) > most:
            continue
        place = _going_on(exams, finding.start)
        if place is None:
            continue
        side = {"left": "left ", "right": "right "}.get(finding.side or "", "")
        what = f"{side}{finding.region}: {'no ' if finding.presence == 'absent' else ''}{finding.sign}"
        text = f"Was this said: “{finding.quote}” ({what})? Only {name} heard it."
        exams[place] = replace(
            exams[place], questions=(*exams[place].questions, Question("heard by one", text))
        )


def _going_on(exams: Sequence[Exam], at: float | None) -> int | None:
    """The exam that was going on at a second: the last one with something before it, else the first."""
    place = 0 if exams else None
    for n, exam in enumerate(exams):
        items: tuple[Finding | Measurement, ...] = (*exam.findings, *exam.measurements)
        starts = [item.start for item in items if item.start is not None]
        if at is not None and starts and min(starts) <= at:
            place = n
    return place


def _things(draft: Draft, kind: type[Said]) -> list[Said]:
    """All findings, measurements or actions of a draft."""
    lists: dict[type, str] = {Finding: "findings", Measurement: "measurements", Action: "actions"}
    return [item for exam in draft.exams for item in getattr(exam, lists[kind])]


def _together(one: Finding | Measurement | Action, other: Finding | Measurement | Action) -> bool:
    if one.start is None or one.end is None or other.start is None or other.end is None:
        return False
    return one.start - APART < other.end and other.start - APART < one.end
