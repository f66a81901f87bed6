"""Drafts become facts only by a decision; each decision is kept, and undone in turn."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from typing import Any

import pytest

from dictate.errors import LogError, NotFoundError, UsageError
from dictate.log import FlockLog
from dictate.model import Bird, Draft, Exam, Finding
from dictate.record import StoredExam

Build = Callable[..., Draft]
DAY = date(2031, 5, 1)


@pytest.fixture(name="exam_id")
def _exam_id(log: FlockLog, build: Build) -> str:
    (exam_id,) = log.save_draft(build(), on=DAY, at=time(7, 30), examiner="Ada")
    return exam_id


def signs(exam: Exam) -> set[str]:
    return {finding.sign for finding in exam.findings}


def the(exam: StoredExam, sign: str) -> str:
    return next(i.id for i in exam.items if isinstance(i.value, Finding) and i.value.sign == sign)


def state(exam: StoredExam) -> dict[str, Any]:
    """All of an exam that a decision may change, without the times at which it did."""
    names = ("status", "bird", "bird_status", "bird_id", "items", "rest_normal", "on", "at", "date_problem")
    kept = {name: getattr(exam, name) for name in names}
    return kept | {"questions": [q for _, q in exam.open_questions], "withdrawn": exam.withdrawn_why}


def test_a_draft_is_no_fact(log: FlockLog, exam_id: str) -> None:
    stored = log.exam(exam_id)
    assert (stored.status, stored.on, stored.at, stored.examiner) == ("draft", DAY, time(7, 30), "Ada")
    assert stored.confirmed.findings == ()
    assert list(log.exams()) == []
    assert list(log.export_exams()) == []
    assert log.birds() == []
    assert [e.id for e in log.drafts()] == [exam_id]


def test_confirming_makes_facts_of_all_that_stands_and_adds_the_bird(log: FlockLog, exam_id: str) -> None:
    done = log.confirm_exam(exam_id, by="Ada")
    assert (done.confirmed, done.left, done.new_bird, done.question) == (4, 0, True, None)
    assert done.exam.status == "confirmed"
    (bird,) = log.birds()
    assert (bird.band, bird.sex, bird.species) == ("blue 42", "hen", "chicken")
    assert [e.id for e in log.history(bird.id)] == [exam_id]
    assert log.drafts() == []
    assert log.confirm_exam(exam_id).confirmed == 0, "a second time changes nothing"


def test_confirming_what_is_sure_takes_exactly_that(log: FlockLog, exam_id: str) -> None:
    done = log.confirm_sure(exam_id)
    assert (done.confirmed, done.left) == (2, 2)
    assert signs(done.exam.confirmed) == {"hardened"}
    assert done.exam.confirmed.actions == ()
    assert done.exam.status == "draft"
    assert [e.id for e in log.drafts()] == [exam_id]
    assert [e.id for e in log.exams()] == [exam_id]
    assert {i.value.verdict for i in done.exam.to_look_at} == {"ask", "check"}


def test_a_doubtful_bird_is_not_confirmed_with_what_is_sure(log: FlockLog, build: Build) -> None:
    (exam_id,) = log.save_draft(build(verdict="check"), on=DAY)
    done = log.confirm_sure(exam_id)
    assert (done.exam.bird_id, done.exam.bird_status, log.birds()) == (None, "draft", [])
    log.decide(exam_id, "bird", "keep")
    assert log.confirm_sure(exam_id).exam.bird_status == "confirmed"
    assert [b.band for b in log.birds()] == ["blue 42"]


def test_that_the_rest_is_normal_is_not_confirmed_with_a_part(log: FlockLog) -> None:
    exam = Exam(
        findings=(Finding("eye", "normal", verdict="sure"), Finding("nare", "normal", verdict="ask")),
        rest_normal=True,
    )
    (exam_id,) = log.save_draft(Draft("said", (exam,)), on=DAY)
    assert not log.confirm_sure(exam_id).exam.confirmed.rest_normal
    assert log.confirm_exam(exam_id).exam.confirmed.rest_normal


@pytest.mark.parametrize("choice", ["keep", "change"])
def test_what_a_person_decided_counts_as_sure(log: FlockLog, exam_id: str, choice: Any) -> None:
    item = the(log.exam(exam_id), "discharge")
    log.decide(exam_id, item, choice, {"side": "left"} if choice == "change" else None)
    assert signs(log.confirm_sure(exam_id).exam.confirmed) == {"hardened", "discharge"}


def test_what_was_put_off_is_not_sure_whatever_its_verdict(log: FlockLog, exam_id: str) -> None:
    log.decide(exam_id, the(log.exam(exam_id), "hardened"), "later")
    assert signs(log.confirm_sure(exam_id).exam.confirmed) == set()


def test_a_changed_finding_keeps_what_was_understood_first(log: FlockLog, exam_id: str) -> None:
    item = the(log.exam(exam_id), "discharge")
    log.decide(exam_id, item, "change", {"side": "left", "grade": 2}, reason="looked again")
    stored = log.decide(exam_id, item, "change", {"side": "right"})
    found = stored.item(item)
    assert found is not None
    assert isinstance(found.value, Finding)
    assert isinstance(found.parsed, Finding)
    assert (found.value.side, found.value.grade, found.parsed.side) == ("right", 2, None)
    assert found.value.quote == "eye has discharge"


def test_a_dropped_finding_is_never_confirmed_nor_gone(log: FlockLog, exam_id: str) -> None:
    item = the(log.exam(exam_id), "discharge")
    log.decide(exam_id, item, "drop")
    stored = log.confirm_exam(exam_id).exam
    assert signs(stored.confirmed) == {"hardened"}
    assert "discharge" not in "".join(log.export_exams(statuses=("draft", "confirmed")))
    kept = stored.item(item)
    assert kept is not None
    assert kept.status == "dropped"


def test_what_is_dropped_from_a_record_was_withdrawn(log: FlockLog, exam_id: str) -> None:
    log.confirm_exam(exam_id)
    stored = log.decide(exam_id, the(log.exam(exam_id), "hardened"), "drop", reason="wrong bird")
    assert signs(stored.confirmed) == {"discharge"}
    assert [i.status for i in stored.items].count("withdrawn") == 1
    back = log.decide(exam_id, the(stored, "hardened"), "keep")
    assert signs(back.confirmed) == {"hardened", "discharge"}


def test_a_question_goes_with_its_finding(log: FlockLog, exam_id: str) -> None:
    stored = log.exam(exam_id)
    (question,) = [q for _, q in stored.open_questions]
    assert question.item == 1
    stored = log.decide(exam_id, the(stored, "hardened"), "drop")
    assert [q.item for _, q in stored.open_questions] == [0], "it points to where its finding now stands"
    stored = log.decide(exam_id, the(stored, "discharge"), "drop")
    assert stored.open_questions == ()


def test_an_answered_question_is_closed(log: FlockLog, exam_id: str) -> None:
    ((question_id, _),) = log.exam(exam_id).open_questions
    log.close_question(exam_id, question_id, "left", by="Ada")
    assert log.exam(exam_id).open_questions == ()
    log.undo_last(exam_id)
    assert len(log.exam(exam_id).open_questions) == 1


def test_a_finding_may_be_added(log: FlockLog, exam_id: str) -> None:
    item = log.add_item(exam_id, Finding("comb", "pallor", verdict="ask"))
    assert signs(log.confirm_sure(exam_id).exam.confirmed) == {"hardened", "pallor"}
    added = log.exam(exam_id).item(item)
    assert added is not None
    assert added.added


def test_an_exam_may_be_amended(log: FlockLog, exam_id: str) -> None:
    day = date(2031, 5, 2)
    changes = {"on": day, "rest_normal": True, "examiner": "Bo", "kind": "post-mortem", "at": None}
    stored = log.amend_exam(exam_id, changes)
    assert (stored.on, stored.rest_normal, stored.examiner) == (day, True, "Bo")
    assert (stored.kind, stored.at) == ("post-mortem", None)


def test_a_withdrawn_exam_is_in_no_answer_but_kept(log: FlockLog, exam_id: str) -> None:
    log.confirm_exam(exam_id)
    (bird,) = log.birds()
    log.withdraw(exam_id, "said of the wrong bird")
    assert list(log.exams()) == []
    assert log.history(bird.id) == []
    assert log.examined_regions(bird.id) == {}
    assert log.search("hardened") == []
    assert list(log.export_exams()) == []
    assert [e.withdrawn_why for e in log.exams(statuses=("withdrawn",))] == ["said of the wrong bird"]
    with pytest.raises(UsageError, match="withdrawn"):
        log.confirm_exam(exam_id)
    log.undo_last(exam_id)
    assert [e.id for e in log.history(bird.id)] == [exam_id]


def test_every_decision_is_in_the_trail_with_its_time_and_reason(log: FlockLog, exam_id: str) -> None:
    item = the(log.exam(exam_id), "discharge")
    log.decide(exam_id, item, "change", {"side": "left"}, reason="asked", by="Bo")
    log.confirm_exam(exam_id, by="Bo")
    log.withdraw(exam_id, "wrong bird")
    first, second, third = log.decisions(exam_id)
    assert [d.what for d in (first, second, third)] == ["change", "confirm", "withdraw"]
    assert (first.item_id, first.reason, first.by, third.reason) == (item, "asked", "Bo", "wrong bird")
    assert first.before[f"finding {item}"]["side"] is None
    assert first.after[f"finding {item}"]["side"] == "left"
    assert first.at <= second.at <= third.at


def test_everything_is_undone_one_by_one(log: FlockLog, exam_id: str) -> None:
    steps: list[Callable[[], object]] = [
        lambda: log.decide(exam_id, the(log.exam(exam_id), "discharge"), "change", {"side": "left"}),
        lambda: log.decide(exam_id, the(log.exam(exam_id), "hardened"), "drop"),
        lambda: log.decide(exam_id, "bird", "change", {"band": "red 9"}),
        lambda: log.add_item(exam_id, Finding("comb", "pallor")),
        lambda: log.amend_exam(exam_id, {"on": None, "date_problem": "31 June"}),
        lambda: log.confirm_sure(exam_id),
        lambda: log.confirm_exam(exam_id),
        lambda: log.decide(exam_id, "bird", "change", {"band": "red 10"}),
        lambda: log.withdraw(exam_id, "no"),
    ]
    states = [state(log.exam(exam_id))]
    for step in steps:
        step()
        states.append(state(log.exam(exam_id)))
    for number in range(len(steps) - 1, -1, -1):
        assert log.undo_last(exam_id) is not None
        then = state(log.exam(exam_id))
        if number <= 3:  # what was added stays in the exam as dropped
            then["items"] = tuple(item for item in then["items"] if not item.added)
        assert then == states[number], f"step {number}"
    assert log.undo_last(exam_id) is None
    assert log.birds() == [], "the bird that the confirmation added is gone with it"
    assert log.check() == []


def test_undoing_a_confirmation_leaves_a_bird_that_others_speak_of(log: FlockLog, build: Build) -> None:
    (first,) = log.save_draft(build(), on=DAY)
    (second,) = log.save_draft(build(), on=date(2031, 6, 1))
    log.confirm_exam(first)
    log.confirm_exam(second)
    log.undo_last(first)
    assert [b.band for b in log.birds()] == ["blue 42"]
    assert log.exam(first).bird_id is None
    assert log.exam(second).bird_id == log.birds()[0].id


def test_renaming_the_bird_of_a_record_moves_it(log: FlockLog, exam_id: str) -> None:
    log.confirm_exam(exam_id)
    other = log.register_bird(band="red 9")
    assert log.decide(exam_id, "bird", "change", {"band": "red 9"}).bird_id == other


@pytest.mark.parametrize(
    ("item", "choice", "changes", "error"),
    [
        ("nowhere", "keep", None, NotFoundError),
        ("discharge", "keep", {"side": "left"}, UsageError),
        ("discharge", "change", {"colour": "red"}, UsageError),
        ("discharge", "change", {"verdict": "sure"}, UsageError),
        ("discharge", "change", {"side": "upper"}, LogError),
        ("bird", "change", {"weight": 1}, UsageError),
    ],
)
def test_a_decision_that_makes_no_sense_changes_nothing(
    log: FlockLog, exam_id: str, item: str, choice: Any, changes: Any, error: type[Exception]
) -> None:
    before = state(log.exam(exam_id))
    item_id = the(log.exam(exam_id), item) if item == "discharge" else item
    with pytest.raises(error):
        log.decide(exam_id, item_id, choice, changes)
    assert state(log.exam(exam_id)) == before
    assert log.decisions(exam_id) == []


def test_an_exam_of_nobody_is_kept_without_a_bird(log: FlockLog, build: Build) -> None:
    (exam_id,) = log.save_draft(build(None), on=DAY)
    done = log.confirm_exam(exam_id)
    assert (done.exam.status, done.exam.bird_id, done.question) == ("confirmed", None, None)
    assert log.birds() == []


def test_the_bird_may_be_dropped(log: FlockLog, exam_id: str) -> None:
    assert log.decide(exam_id, "bird", "drop").bird == Bird()
    assert log.confirm_exam(exam_id).exam.bird_id is None
