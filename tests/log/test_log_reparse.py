"""The same words understood anew: what a person decided stays, the rest is replaced."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from dictate.log import FlockLog
from dictate.model import Bird, Draft, Exam, Finding, HeardWord, Observation, Question, Span, Word
from dictate.record import StoredExam

DAY = date(2031, 5, 1)
TEXT = "blue 42 comb pale, eye bubbly, vent mucky"


def found(text: str, quote: str, region: str, sign: str, **more: object) -> Finding:
    start = text.index(quote)
    span = Span(start, start + len(quote))
    return Finding(region, sign, span=span, quote=quote, **more)  # type: ignore[arg-type]


def draft_of(*findings: Finding, text: str = TEXT, questions: tuple[Question, ...] = ()) -> Draft:
    exam = Exam(Bird(band="blue 42", verdict="sure"), findings, questions=questions, span=Span(0, len(text)))
    return Draft(text, (exam,))


PALE = found(TEXT, "comb pale", "comb", "pallor")
BUBBLY = found(TEXT, "eye bubbly", "eye", "foam")
MUCKY = found(TEXT, "vent mucky", "vent", "soiling")


@pytest.fixture(name="exam_id")
def _exam_id(log: FlockLog) -> str:
    (exam_id,) = log.save_draft(draft_of(PALE, BUBBLY), on=DAY, examiner="Ada", parser="first")
    return exam_id


def again(log: FlockLog, exam_id: str, draft: Draft) -> list[str]:
    return log.replace_draft(log.exam(exam_id).draft_id, draft, parser="second", reason="a word was taught")


def signs(exam: Exam) -> list[str]:
    return sorted(finding.sign for finding in exam.findings)


def the(exam: StoredExam, sign: str) -> str:
    standing = [item for item in exam.items if item.stands]
    return next(i.id for i in standing if isinstance(i.value, Finding) and i.value.sign == sign)


def test_what_nobody_decided_on_is_replaced(log: FlockLog, exam_id: str) -> None:
    assert again(log, exam_id, draft_of(BUBBLY, MUCKY)) == [exam_id]
    stored = log.exam(exam_id)
    assert signs(stored.exam) == ["foam", "soiling"]
    assert [i.status for i in stored.items].count("replaced") == 2
    assert (stored.on, stored.examiner, stored.status) == (DAY, "Ada", "draft")
    assert log.decisions(exam_id)[-1].reason == "a word was taught"


@pytest.mark.parametrize(
    ("decide", "expected"),
    [
        (lambda log, exam, item: log.decide(exam, item, "keep"), ["foam", "pallor"]),
        (lambda log, exam, item: log.decide(exam, item, "drop"), ["foam"]),
        (
            lambda log, exam, item: log.decide(exam, item, "change", {"sign": "cyanosis"}),
            ["cyanosis", "foam"],
        ),
        (lambda log, exam, item: log.decide(exam, item, "later"), ["foam", "pallor"]),
    ],
    ids=["keep", "drop", "change", "later"],
)
def test_a_decision_outlives_the_same_understanding(
    log: FlockLog, exam_id: str, decide: Callable[[FlockLog, str, str], object], expected: list[str]
) -> None:
    decide(log, exam_id, the(log.exam(exam_id), "pallor"))
    again(log, exam_id, draft_of(PALE, BUBBLY))
    assert signs(log.exam(exam_id).exam) == expected


def test_a_decision_outlives_another_understanding_of_the_same_words(log: FlockLog, exam_id: str) -> None:
    log.decide(exam_id, the(log.exam(exam_id), "pallor"), "change", {"sign": "cyanosis"})
    again(log, exam_id, draft_of(replace(PALE, sign="dry"), BUBBLY))
    assert signs(log.exam(exam_id).exam) == ["cyanosis", "foam"]


def test_a_kept_finding_outlives_a_parse_without_it(log: FlockLog, exam_id: str) -> None:
    log.decide(exam_id, the(log.exam(exam_id), "pallor"), "keep")
    again(log, exam_id, draft_of(MUCKY))
    assert signs(log.exam(exam_id).exam) == ["pallor", "soiling"]


def test_a_sibling_in_the_same_words_is_not_swallowed(log: FlockLog, exam_id: str) -> None:
    log.decide(exam_id, the(log.exam(exam_id), "pallor"), "keep")
    again(log, exam_id, draft_of(replace(PALE, sign="dry"), PALE))
    assert signs(log.exam(exam_id).exam) == ["dry", "pallor"]


def test_an_added_finding_stays(log: FlockLog, exam_id: str) -> None:
    log.add_item(exam_id, Finding("tail", "drooping"))
    again(log, exam_id, draft_of(MUCKY))
    assert signs(log.exam(exam_id).exam) == ["drooping", "soiling"]


def test_what_is_confirmed_stays_confirmed_and_the_new_waits(log: FlockLog, exam_id: str) -> None:
    log.confirm_exam(exam_id)
    again(log, exam_id, draft_of(PALE, MUCKY))
    stored = log.exam(exam_id)
    assert signs(stored.confirmed) == ["foam", "pallor"]
    assert [i.value.quote for i in stored.to_look_at] == ["vent mucky"]
    assert [e.id for e in log.drafts()] == [exam_id]


def test_a_record_understood_the_same_stays_confirmed(log: FlockLog, exam_id: str) -> None:
    log.confirm_exam(exam_id)
    again(log, exam_id, draft_of(PALE, BUBBLY))
    assert log.exam(exam_id).status == "confirmed"
    assert log.drafts() == []


def test_a_decided_finding_still_points_at_its_words(log: FlockLog, exam_id: str) -> None:
    log.decide(exam_id, the(log.exam(exam_id), "foam"), "keep")
    text = "bird blue forty two, comb pale, eye bubbly"
    again(log, exam_id, draft_of(found(text, "comb pale", "comb", "pallor"), text=text))
    stored = log.exam(exam_id)
    for item in stored.items:
        if item.stands:
            assert item.value.span.quote(stored.text) == item.value.quote


def test_questions_are_asked_anew_but_not_about_what_is_decided(log: FlockLog, exam_id: str) -> None:
    question = Question("side", "Which eye?", "side", 1)
    again(log, exam_id, draft_of(PALE, BUBBLY, questions=(question,)))
    ((_, asked),) = log.exam(exam_id).open_questions
    assert asked == question
    log.decide(exam_id, the(log.exam(exam_id), "foam"), "change", {"side": "left"})
    again(log, exam_id, draft_of(PALE, BUBBLY, questions=(question,)))
    assert log.exam(exam_id).open_questions == ()


def test_a_bird_that_a_person_named_stays(log: FlockLog, exam_id: str) -> None:
    log.decide(exam_id, "bird", "change", {"band": "red 9"})
    again(log, exam_id, draft_of(PALE))
    assert log.exam(exam_id).bird.band == "red 9"


def test_earlier_decisions_may_still_be_undone(log: FlockLog, exam_id: str) -> None:
    log.decide(exam_id, the(log.exam(exam_id), "pallor"), "drop")
    again(log, exam_id, draft_of(PALE, BUBBLY))
    log.undo_last(exam_id)
    assert signs(log.exam(exam_id).exam) == ["foam", "pallor"]


def test_exams_that_come_and_go(log: FlockLog) -> None:
    text = "blue 42 comb pale. red 9 comb pale"
    first = Exam(Bird(band="blue 42"), (found(text, "comb pale", "comb", "pallor"),), span=Span(0, 18))
    second = Exam(Bird(band="red 9"), (), span=Span(19, len(text)))
    whole = replace(first, span=Span(0, len(text)))
    (one,) = log.save_draft(Draft(text, (whole,)), on=DAY)
    draft_id = log.exam(one).draft_id
    kept, new = log.replace_draft(draft_id, Draft(text, (first, second)))
    assert (kept, log.exam(new).bird.band, log.exam(new).on) == (one, "red 9", DAY)
    assert log.replace_draft(draft_id, Draft(text, (whole,))) == [one]
    assert log.exam(new).status == "withdrawn"
    log.add_item(one, Finding("tail", "drooping"))
    assert log.replace_draft(draft_id, Draft(text, ())) == [one], "a person's finding holds it"
    assert signs(log.exam(one).exam) == ["drooping"]


def test_observations_are_replaced_but_not_what_was_settled(log: FlockLog) -> None:
    eggs, deaths = Observation("eggs", value=7), Observation("deaths", value=1)
    (exam_id,) = log.save_draft(Draft("seven eggs", (Exam(),), (eggs, deaths)), on=DAY)
    kept = next(o.id for o in log.observations(statuses=("draft",)) if o.kind == "eggs")
    log.settle_observation(kept, "confirmed")
    log.replace_draft(log.exam(exam_id).draft_id, Draft("seven eggs", (Exam(),), (eggs,)))
    assert log.observations(statuses=("draft",)) == []
    assert [(o.id, o.on, o.value) for o in log.observations()] == [(kept, DAY, 7)]


def test_the_search_finds_the_new_words_only(log: FlockLog, exam_id: str) -> None:
    text = TEXT.replace("bubbly", "frothing")
    again(log, exam_id, draft_of(PALE, text=text))
    assert [hit.exam_id for hit in log.search("frothing")] == [exam_id]
    assert log.search("bubbly") == []


def test_the_draft_tells_what_was_understood_last(log: FlockLog, exam_id: str) -> None:
    words = (HeardWord(Span(8, 12), Word("comb", 0.5, 0.9, 0.8), "pocketsphinx"),)
    new = replace(draft_of(MUCKY), words=words)
    again(log, exam_id, new)
    assert log.draft(log.exam(exam_id).draft_id) == new
