"""What a person can do in review, the same through every front end."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from dictate.log import FlockLog
from dictate.model import Bird, Draft, Exam, Finding, Observation, Question, Span
from dictate.record import Item, StoredExam
from dictate.review.steps import Reply

KEEP, DROP, LATER, CONFIRM = Reply("keep"), Reply("drop"), Reply("later"), Reply("confirm")
UNDO, SURE = Reply("undo"), Reply("confirm-sure")


def signs(exam: StoredExam) -> list[str]:
    return [finding.sign for finding in exam.confirmed.findings]


def items_of(exam: StoredExam, sign: str) -> list[Item]:
    return [item for item in exam.items if isinstance(item.value, Finding) and item.value.sign == sign]


def kinds(talk: Any) -> list[str]:
    return [step.kind for step in talk.steps]


def test_only_what_is_doubtful_is_asked_and_one_at_a_time(drive: Any, put: Any) -> None:
    put()
    talk = drive(KEEP, KEEP, CONFIRM)
    assert talk.finished
    assert kinds(talk) == ["item", "item", "exam"]
    assert [step.item.value.sign for step in talk.steps[:2]] == ["hardened", "closed"]
    assert [step.left for step in talk.steps] == [2, 1, 0]


def test_keep_and_confirm_makes_all_of_it_fact(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    drive(KEEP, KEEP, CONFIRM)
    exam = log.exam(exam_id)
    assert exam.status == "confirmed"
    assert sorted(signs(exam)) == ["closed", "hardened", "pallor"]
    assert exam.confirmed.measurements[0].value == 2100
    assert not log.drafts()


def test_a_missing_side_is_asked_and_the_answer_kept(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    talk = drive(Reply("answer", text="right"), KEEP, CONFIRM)
    assert talk.steps[0].choices == ("left", "right", "both")
    found = {finding.sign: finding for finding in log.exam(exam_id).confirmed.findings}
    assert found["hardened"].side == "right"
    assert not log.exam(exam_id).open_questions


def test_a_dropped_finding_is_no_fact_but_is_kept_in_the_trail(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    drive(DROP, KEEP, CONFIRM)
    exam = log.exam(exam_id)
    assert sorted(signs(exam)) == ["closed", "pallor"]
    assert [item.status for item in items_of(exam, "hardened")] == ["dropped"]
    assert any(decision.what == "drop" for decision in log.decisions(exam_id))


@pytest.mark.parametrize(
    ("field", "typed", "value"),
    [("sign", "ulcer", "ulcer"), ("grade", "2", 2), ("side", "both", "both"),
     ("presence", "absent", "absent"), ("certainty", "possible", "possible"), ("when", "past", "past")],
)
def test_a_change_is_kept(
    drive: Any, put: Any, log: FlockLog, field: str, typed: str, value: object
) -> None:
    exam_id = put()
    drive(Reply("change", {field: typed}), KEEP, CONFIRM)
    found = [item for item in log.exam(exam_id).items if item.parsed.quote == "foot pad hardened"]
    assert getattr(found[0].value, field) == value
    assert found[0].parsed.sign == "hardened"


def test_a_region_without_sides_loses_the_side(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    drive(KEEP, Reply("change", {"region": "comb"}), CONFIRM)
    found = [item.value for item in items_of(log.exam(exam_id), "closed")]
    assert (found[0].region, found[0].side) == ("comb", None)


@pytest.mark.parametrize(
    "changes", [{"sign": "nonsense"}, {"grade": "7"}, {"side": "upper"}, {"colour": "red"}]
)
def test_a_wrong_change_changes_nothing_and_asks_again(
    drive: Any, put: Any, log: FlockLog, changes: dict[str, str]
) -> None:
    exam_id = put()
    before = log.exam(exam_id).items
    drive(Reply("change", changes))
    assert log.exam(exam_id).items == before
    assert not log.decisions(exam_id)


def test_later_is_left_for_another_day(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    talk = drive(KEEP, LATER, CONFIRM)
    assert talk.finished
    exam = log.exam(exam_id)
    assert exam.status == "draft"
    assert sorted(signs(exam)) == ["hardened", "pallor"]
    again = drive(KEEP, CONFIRM)
    assert [step.item.value.sign for step in again.steps if step.item] == ["closed"]
    assert log.exam(exam_id).status == "confirmed"


def test_stopped_half_way_it_goes_on_where_it_was(drive: Any, put: Any, log: FlockLog) -> None:
    put()
    first = drive(KEEP, Reply("stop"))
    assert not first.finished
    second = drive(KEEP, CONFIRM)
    assert second.finished
    assert [step.item.value.sign for step in second.steps if step.item] == ["closed"]
    assert not log.drafts()


def test_exactly_all_that_are_sure_are_confirmed(
    drive: Any, put: Any, exam: Exam, log: FlockLog
) -> None:
    ids = [put(), put(replace(exam, bird=Bird(band="red 7", verdict="sure")))]
    talk = drive(SURE, Reply("stop"))
    assert "4 confirmed" in talk.told[0]
    for exam_id in ids:
        stored = log.exam(exam_id)
        assert signs(stored) == ["pallor"]
        assert {item.value.verdict for item in stored.items if item.status == "confirmed"} == {"sure"}


def test_undo_takes_back_one_reply_at_a_time(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    before = log.exam(exam_id)
    talk = drive(Reply("answer", text="left"), DROP, UNDO, UNDO, Reply("stop"))
    assert kinds(talk) == ["item", "item", "exam", "item", "item"]
    assert log.exam(exam_id).items == before.items
    assert log.exam(exam_id).open_questions == before.open_questions


def test_undo_of_a_confirmation_brings_the_draft_back(drive: Any, put: Any, log: FlockLog) -> None:
    first, second = put(), put(on=date(2026, 3, 13))
    talk = drive(KEEP, KEEP, CONFIRM, UNDO, Reply("stop"))
    assert talk.steps[3].exam.id == second
    assert log.exam(first).status == "draft"
    assert talk.steps[4].exam.id == first
    assert talk.steps[4].kind == "exam"


def test_undo_of_confirm_all_sure(drive: Any, put: Any, log: FlockLog) -> None:
    ids = [put(), put(on=date(2026, 3, 13))]
    drive(SURE, UNDO, Reply("stop"))
    assert [signs(log.exam(exam_id)) for exam_id in ids] == [[], []]


def test_undo_of_later_asks_again(drive: Any, put: Any) -> None:
    put()
    talk = drive(LATER, UNDO, Reply("stop"))
    assert [step.item.value.sign for step in talk.steps if step.item] == ["hardened", "closed", "hardened"]


def test_a_new_session_can_undo_the_last_decision(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    drive(KEEP, DROP, Reply("stop"))
    drive(UNDO, Reply("stop"))
    assert [item.value.sign for item in log.exam(exam_id).to_look_at] == ["closed"]


def test_nothing_to_undo_is_said(drive: Any, put: Any) -> None:
    put()
    assert "nothing to take back" in drive(UNDO, Reply("stop")).told[0]


def test_a_sure_finding_can_be_dropped_before_confirming(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    sure = next(item.id for item in log.exam(exam_id).items if item.value.verdict == "sure")
    drive(KEEP, KEEP, Reply("drop", item=sure), CONFIRM)
    assert sorted(signs(log.exam(exam_id))) == ["closed", "hardened"]


def test_what_was_missed_is_added(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()

    def understand(text: str) -> Draft:
        return Draft(text, (Exam(findings=(Finding("vent", "soiling", span=Span(0, 4), quote=text),)),))

    drive(KEEP, KEEP, Reply("add", text="vent soiled"), CONFIRM, understand=understand)
    assert "soiling" in signs(log.exam(exam_id))


def test_adding_what_is_not_understood_is_refused(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    talk = drive(KEEP, KEEP, Reply("add", text="mumble"), understand=lambda text: Draft(text))
    assert "nothing was understood" in talk.told[0]
    assert len(log.exam(exam_id).items) == 4


def test_a_whole_record_is_withdrawn_with_its_reason(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    drive(KEEP, KEEP, Reply("withdraw", text="the radio was on"))
    stored = log.exam(exam_id)
    assert (stored.status, stored.withdrawn_why) == ("withdrawn", "the radio was on")
    assert not log.drafts()


def test_a_bird_without_a_mark_is_asked_for(drive: Any, put: Any, exam: Exam, log: FlockLog) -> None:
    exam_id = put(replace(exam, bird=Bird()))
    talk = drive(Reply("change", {"band": "green 3"}), KEEP, KEEP, CONFIRM)
    assert kinds(talk)[0] == "bird"
    stored = log.exam(exam_id)
    assert stored.bird_id is not None
    assert log.bird(stored.bird_id).band == "green 3"


def test_which_bird_it_was_is_asked_even_if_all_else_was_sure(
    drive: Any, put: Any, exam: Exam, log: FlockLog
) -> None:
    log.register_bird(name="Clover", band="blue 42")
    log.register_bird(name="Hazel", band="blue 42")
    sure = replace(exam, findings=exam.findings[:1], questions=())
    nameless, either = put(replace(sure, bird=Bird())), put(sure)
    drive(SURE, Reply("stop"))
    drive(SURE, Reply("stop"))
    assert [signs(log.exam(exam_id)) for exam_id in (nameless, either)] == [["pallor"], ["pallor"]]
    talk = drive(Reply("change", {"name": "Nettle"}), CONFIRM, Reply("answer", text="Hazel (blue 42)"), CONFIRM)
    assert kinds(talk) == ["bird", "exam", "bird", "exam"]
    labels = [log.bird(log.exam(exam_id).bird_id or "").label for exam_id in (nameless, either)]
    assert labels == ["Nettle", "Hazel (blue 42)"]
    assert not log.drafts()


def test_two_birds_with_one_band_are_asked_about(drive: Any, put: Any, log: FlockLog) -> None:
    log.register_bird(name="Clover", band="blue 42")
    meant = log.register_bird(name="Hazel", band="blue 42")
    exam_id = put()
    talk = drive(Reply("answer", text="Hazel (blue 42)"), KEEP, KEEP, CONFIRM)
    assert talk.steps[0].kind == "bird"
    assert talk.steps[0].choices == ("Clover (blue 42)", "Hazel (blue 42)", "a new bird")
    assert log.exam(exam_id).bird_id == meant


def test_a_bird_that_only_resembles_may_be_a_new_one(drive: Any, put: Any, exam: Exam, log: FlockLog) -> None:
    known = log.register_bird(band="blue 42")
    exam_id = put(replace(exam, bird=Bird(band="42", verdict="sure")))
    drive(Reply("answer", text="a new bird"), KEEP, KEEP, CONFIRM)
    assert log.exam(exam_id).bird_id not in (None, known)


def test_a_day_that_could_not_be_read_is_asked_for(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put(on=None, date_problem='"31/2/2026" is not a day of the calendar')
    talk = drive(Reply("answer", text="30 Feb"), Reply("answer", text="2026-03-02"), KEEP, KEEP, CONFIRM)
    assert kinds(talk)[:3] == ["date", "date", "item"]
    assert log.exam(exam_id).on == date(2026, 3, 2)
    assert log.exam(exam_id).date_problem is None


def test_a_day_may_stay_unknown(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put(on=None, date_problem="no day")
    drive(KEEP, KEEP, KEEP, CONFIRM)
    assert (log.exam(exam_id).on, log.exam(exam_id).status) == (None, "confirmed")


@pytest.mark.parametrize(("reply", "status"), [(KEEP, "confirmed"), (DROP, "withdrawn"), (LATER, "draft")])
def test_what_was_said_of_the_flock(drive: Any, log: FlockLog, reply: Reply, status: str) -> None:
    said = Observation("deaths", value=2, unit="1", span=Span(0, 4), quote="two dead")
    log.save_draft(Draft("two dead", (), (said,)), on=date(2026, 3, 12))
    talk = drive(reply)
    assert kinds(talk) == ["observation"]
    rows = log.observations(statuses=("draft", "confirmed", "withdrawn"))
    assert [row.status for row in rows] == [status]


def test_a_log_without_drafts_has_nothing_to_ask(drive: Any) -> None:
    assert drive().steps == []


@pytest.mark.parametrize(("reply", "signs_then"), [(KEEP, []), (Reply("add", text="vent soiled"), ["soiling"])])
def test_words_that_were_not_understood_are_asked_about(
    drive: Any, put: Any, exam: Exam, log: FlockLog, reply: Reply, signs_then: list[str]
) -> None:
    asked = Question("unknown-words", "What is meant?", span=Span(8, 17))
    exam_id = put(replace(exam, findings=(), questions=(asked,)))

    def understand(text: str) -> Draft:
        return Draft(text, (Exam(findings=(Finding("vent", "soiling", quote=text),)),))

    talk = drive(reply, CONFIRM, understand=understand)
    assert kinds(talk) == ["question", "exam"]
    assert signs(log.exam(exam_id)) == signs_then
    assert not log.exam(exam_id).open_questions


def test_every_decision_is_stored_at_once(drive: Any, put: Any, log: FlockLog) -> None:
    exam_id = put()
    drive(KEEP, Reply("stop"))
    with FlockLog.open(log.path) as other:
        assert [item.choice for item in items_of(other.exam(exam_id), "hardened")] == ["keep"]
