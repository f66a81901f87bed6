"""Drafts as lines of text for a terminal."""

from __future__ import annotations

import re
from collections.abc import Iterator

from dictate.model import Action, Draft, Exam, Finding, Measurement, Span
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
PASSAGE = re.compile(r"[^.,;:!?\n]*\w[^.,;:!?\n]*")  # up to the next mark


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
        if exam.bird.span is not None:
            yield f"  named    \"{' '.join(exam.bird.span.quote(draft.text).split())}\""
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
        if exam.rest_normal:
            yield "  everything else was called normal"
        for question in exam.questions:
            yield f"  asked: {question.text}"
    for observation in draft.observations:
        yield f"{observation.pen or 'flock'}, {observation.kind}: \"{' '.join(observation.quote.split())}\""
    for part in draft.left_out:
        rule = f", rule {part.rule}" if part.rule and part.rule != part.why else ""
        yield f"left out: \"{' '.join(part.quote.split())}\" ({part.why}{rule})"
    for passage in _passed_over(draft):
        yield f"passed over: \"{passage}\""
    if not draft.exams and not draft.left_out:
        yield "nothing was understood"


def _passed_over(draft: Draft) -> Iterator[str]:
    """The passages of at least three words, one of them long, that nothing was taken from or left out of."""
    spans = [part.span for part in draft.left_out] + [seen.span for seen in draft.observations]
    for exam in draft.exams:
        spans += [exam.bird.span] if exam.bird.span is not None else []
        spans += [span for item, _ in items(exam) for span in _spans(item)]
    at = 0
    for span in [*sorted(spans), Span(len(draft.text), len(draft.text))]:
        for passage in PASSAGE.findall(draft.text[at : span.start]):
            words = passage.split()
            if len(words) > 2 and any(len(word) > 3 for word in words):
                yield " ".join(words)
        at = max(at, span.end)


def _spans(item: Item) -> Iterator[Span]:
    yield item.span
    if isinstance(item, Finding):
        yield from (cue.span for cue in item.cues)
