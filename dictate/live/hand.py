"""The bird in hand: what was said of her, and what was answered about it afterwards.

Words are understood anew whenever some are added; answers are laid over what comes out (`Edit`), each
found again by the second at which the words it is about were said. A `Hand` never changes, so that going
back to an earlier one is all there is to undoing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from dictate.live.events import Said, kind_of
from dictate.model import Action, Bird, Draft, Exam, Finding, Measurement, Question, Utterance

__all__ = ["Edit", "Hand", "Target", "current", "edited", "known_bird", "says", "target_of"]

Target = tuple[Any, ...]
"""What an answer is about: kind, the second its words began, region and sign (or kind of measurement)."""

WHOLE = "bird"


@dataclass(frozen=True, slots=True)
class Edit:
    """An answer laid over what was understood: new values for a thing, or `drop` it.

    A target of ("bird",) is the bird in hand. `settles` names the penalties that the answer does
    away with. An answer is heard too, so a thing that was answered is at best to be checked.
    """

    target: Target
    changes: tuple[tuple[str, Any], ...] = ()
    drop: bool = False
    settles: frozenset[str] = field(default=frozenset())


@dataclass(frozen=True, slots=True)
class Hand:
    """All that is known of the bird in hand; `examiner` is who held her when she was first spoken of."""

    window: tuple[Utterance, ...] = ()
    edits: tuple[Edit, ...] = ()
    examiner: str | None = None

    def with_words(self, utterance: Utterance) -> Hand:
        return replace(self, window=(*self.window, utterance))

    def with_edits(self, edits: Sequence[Edit]) -> Hand:
        return replace(self, edits=(*self.edits, *edits))


def current(draft: Draft) -> Exam:
    """The bird spoken of last."""
    return max(draft.exams, key=lambda exam: exam.span.end, default=Exam())


def says(exam: Exam) -> bool:
    """Whether anything at all is known of a bird."""
    return bool(
        exam.bird.known or exam.findings or exam.measurements or exam.actions or exam.rest_normal
    )


def target_of(item: Said) -> Target:
    if isinstance(item, Finding):
        return (kind_of(item), item.start, item.region, item.sign)
    return (kind_of(item), item.start, item.kind)


def edited(draft: Draft, edits: Sequence[Edit]) -> Draft:
    """The draft with these answers laid over it."""
    if not edits:
        return draft
    exams = tuple(_edited(exam, edits) for exam in draft.exams)
    bird = [edit for edit in edits if edit.target == (WHOLE,)]
    if bird:
        exams = exams or (Exam(),)
        last = max(range(len(exams)), key=lambda n: exams[n].span.end)
        if not exams[last].bird.known:
            named = replace(exams[last].bird, **dict(bird[-1].changes), verdict="check")
            questions = tuple(q for q in exams[last].questions if q.field != "band")
            exams = (
                *exams[:last], replace(exams[last], bird=named, questions=questions), *exams[last + 1 :]
            )
    return replace(draft, exams=exams)


def _edited(exam: Exam, edits: Sequence[Edit]) -> Exam:
    by_target: dict[Target, list[Edit]] = {}
    for edit in edits:
        by_target.setdefault(edit.target, []).append(edit)
    findings: list[Finding] = []
    place: dict[int, int | None] = {}  # of the findings that stay; None where the question is answered
    for number, item in enumerate(exam.findings):
        mine = by_target.get(target_of(item), [])
        if any(edit.drop for edit in mine):
            continue
        changed = _changed(item, mine)
        place[number] = None if mine and changed.side != item.side else len(findings)
        findings.append(changed)
    questions = tuple(
        moved for question in exam.questions if (moved := _moved(question, place)) is not None
    )
    measurements: list[Measurement] = []
    for measured in exam.measurements:
        mine = by_target.get(target_of(measured), [])
        if not any(edit.drop for edit in mine):
            measurements.append(_changed(measured, mine))
    actions: list[Action] = [
        _changed(action, by_target.get(target_of(action), [])) for action in exam.actions
    ]
    return replace(
        exam, findings=tuple(findings), measurements=tuple(measurements), actions=tuple(actions),
        questions=questions,
    )


def _moved(question: Question, place: Mapping[int, int | None]) -> Question | None:
    """A question about a finding that now has another place; None where it is answered."""
    if question.field != "side" or question.item is None:
        return question
    now = place.get(question.item)
    return None if now is None else replace(question, item=now)


def _changed(item: Any, edits: Sequence[Edit]) -> Any:
    for edit in edits:
        penalties = tuple(p for p in item.penalties if p.name not in edit.settles)
        item = replace(item, **dict(edit.changes), penalties=penalties, verdict="check")
    return item


def known_bird(bird: Bird) -> Edit:
    """The answer which bird it is."""
    return Edit((WHOLE,), tuple(
        (name, value) for name in ("band", "name", "sex", "breed")
        if (value := getattr(bird, name)) is not None
    ))
