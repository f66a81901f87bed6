"""What is still to be asked of one exam, found from its state in the log alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from dictate.model import Question
from dictate.record import BirdMatch, BirdRecord, Item, StoredExam, question_target
from dictate.review.steps import Act, Step

__all__ = ["Open", "bird_choices", "item_of_question", "open_things"]

ALWAYS: tuple[Act, ...] = ("confirm-sure", "undo", "stop")
NEW_BIRD = "a new bird"
_BIRD_FIELDS = ("band", "name", "sex", "breed", "pen", "bird_id")


@dataclass(frozen=True, slots=True)
class Open:
    """A thing to be asked: `key` names it while the session lasts, so that it can be put off."""

    key: tuple[str, str]
    step: Step


def open_things(exam: StoredExam, match: BirdMatch, *, bird_decided: bool) -> Iterator[Open]:
    """All that is to be asked of a draft exam, in order: the bird, the day, then what was said.

    `match` are the birds of the register that the spoken bird fits; `bird_decided` whether the
    person has settled the bird already.
    """
    questions = {q_id: question for q_id, question in exam.open_questions}
    of_bird = [q_id for q_id, q in questions.items() if q.item is None and q.field in _BIRD_FIELDS]
    bird_question = of_bird[0] if of_bird else None
    if not bird_decided and _bird_in_doubt(exam, match):
        yield Open(("bird", exam.id), _bird_step(exam, match, bird_question, questions))
    if exam.on is None and exam.date_problem:
        yield Open(("date", exam.id), _date_step(exam))
    waiting = {item.id for item in exam.to_look_at}
    asked = {
        item.id: q_id for q_id, question in reversed(questions.items())
        if (item := item_of_question(exam, question)) is not None
    }
    for item in sorted((i for i in exam.items if i.stands), key=lambda i: i.value.span):
        if item.id in waiting or (item.id in asked and item.choice not in ("keep", "change")):
            yield Open(("item", item.id), _item_step(exam, item, asked.get(item.id), questions))
    for q_id, question in questions.items():
        if question.item is None and question.field not in _BIRD_FIELDS:
            yield Open(("question", q_id), _question_step(exam, q_id, question))


def item_of_question(exam: StoredExam, question: Question) -> Item | None:
    """The item that a question is about; None where it is about the exam itself."""
    target = question_target(exam.exam, question)
    if target is None:
        return None
    kind, place = target
    return [item for item in exam.items if item.kind == kind and item.stands][place]


def _bird_in_doubt(exam: StoredExam, match: BirdMatch) -> bool:
    if exam.bird_status != "draft" or exam.bird_id is not None:
        return False
    return exam.bird.verdict != "sure" or not exam.bird.known or not (match.only or match.unknown)


def bird_choices(match: BirdMatch) -> dict[str, BirdRecord | None]:
    """The birds that may be meant, each under words that tell it from the others; None: a new bird."""
    choices: dict[str, BirdRecord | None] = {}
    for bird in (*match.fits, *match.near):
        more = [bird.sex, bird.breed, f"pen {bird.pen}" if bird.pen else None, bird.left_how]
        words = ", ".join(part for part in (bird.label, *more) if part)
        if words in choices:
            words = f"{words} ({len(choices) + 1})"
        choices[words] = bird
    return choices | {NEW_BIRD: None} if choices else {}


def _bird_step(
    exam: StoredExam, match: BirdMatch, question_id: str | None, questions: dict[str, Question]
) -> Step:
    choices = () if match.only else tuple(bird_choices(match))
    if question_id is not None:
        question = questions[question_id]
    elif choices:
        question = Question("band", f"Which bird is {exam.bird.label}?", "band")
    elif not exam.bird.known:
        question = Question("band", "Which bird is it? Change to say it; keep: it cannot be known.", "band")
    else:
        question = Question("band", f"Is it {exam.bird.label}?", "band")
    acts: tuple[Act, ...] = ("answer" if choices else "keep", "change", "later", *ALWAYS)
    return Step("bird", acts, exam, question=question, question_id=question_id, choices=choices)


def _date_step(exam: StoredExam) -> Step:
    question = Question(
        "date", f"Which day was it? ({exam.date_problem}) Answer as 2026-03-12; keep: no day.", "on"
    )
    return Step("date", ("answer", "keep", "later", *ALWAYS), exam, question=question)


def _item_step(exam: StoredExam, item: Item, question_id: str | None, questions: dict[str, Question]) -> Step:
    acts: tuple[Act, ...] = ("keep", "change", "drop", "later", *ALWAYS)
    if question_id is None:
        return Step("item", acts, exam, item)
    question = questions[question_id]
    return Step("item", ("answer", *acts), exam, item, question, question_id, choices=question.choices)


def _question_step(exam: StoredExam, question_id: str, question: Question) -> Step:
    acts: tuple[Act, ...] = ("keep", "add", "later", *ALWAYS)
    return Step("question", acts, exam, question=question, question_id=question_id)
