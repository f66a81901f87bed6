"""Drafts as lines of text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from dictate.model import Action, Draft, Exam, Finding, Measurement
from dictate.review.wording import (
    action_words,
    bird_words,
    finding_words,
    measurement_words,
    number_words,
    penalty_words,
)

__all__ = ["draft_lines", "exam_lines", "items", "reasons"]

Item = Finding | Measurement | Action


def items(exam: Exam) -> Iterator[tuple[Item, str]]:
    """Everything that was understood of one bird, each with its words."""
    for finding in exam.findings:
        yield finding, finding_words(finding)
    for measurement in exam.measurements:
        yield measurement, measurement_words(measurement)
    for action in exam.actions:
        yield action, action_words(action)


def exam_lines(exam: Exam) -> Iterator[str]:
    """One bird: a heading, then a line for each thing with how sure it is, then what is to be asked."""
    yield bird_words(exam.bird)
    rows = list(items(exam))
    width = min(48, max((len(words) for _, words in rows), default=0))
    for item, words in rows:
        yield f"  {item.verdict:<5}  {words:<{width}}  \"{' '.join(item.quote.split())}\"".rstrip()
    if exam.rest_normal:
        yield "  everything else was called normal"
    for question in exam.questions:
        yield f"  asked  {question.text}"
    if not rows and not exam.rest_normal:
        yield "  nothing was understood of this bird"


def draft_lines(draft: Draft) -> Iterator[str]:
    """All birds of a draft, then what was said of pen or flock."""
    for number, exam in enumerate(draft.exams):
        if number:
            yield ""
        yield from exam_lines(exam)
    for observation in draft.observations:
        value = number_words(observation.value) if observation.value is not None else ""
        unit = observation.unit if observation.unit not in (None, "1") else ""
        parts = (observation.pen or "flock", f"{observation.kind}:", value, unit, observation.detail)
        yield " ".join(str(part) for part in parts if part)
    if not draft.exams and not draft.observations:
        yield "nothing was understood"


def reasons(draft: Draft) -> Iterator[str]:
    """Why each thing was understood as it was, and why some words gave nothing."""
    for exam in draft.exams:
        yield bird_words(exam.bird)
        for item, words in items(exam):
            score = item.score if isinstance(item, Finding) else 1 - sum(p.amount for p in item.penalties)
            yield f"  {words}"
            place = f"(characters {item.span.start} to {item.span.end})"
            yield f"    words    \"{' '.join(item.quote.split())}\" {place}"
            yield f"    rule     {item.rule or 'none named'}"
            for cue in item.cues if isinstance(item, Finding) else ():
                yield f"    cue      \"{cue.span.quote(draft.text)}\" ({cue.category}, rule {cue.rule})"
            yield f"    verdict  {item.verdict}, score {max(0.0, score):.2f}"
            if item.penalties:
                yield f"    because  {penalty_words(item.penalties)}"
        for question in exam.questions:
            yield f"  asked: {question.text}"
    for part in draft.left_out:
        rule = f", rule {part.rule}" if part.rule else ""
        yield f"left out: \"{' '.join(part.quote.split())}\" ({part.why}{rule})"
    if not draft.exams and not draft.left_out:
        yield "nothing was understood"
