"""One bird head to tail: since when, better, same, worse, gone, not looked at; what came of what was done."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from typing import Any

import pytest
from stored_exams import exam

from dictate.care.timeline import SignLine, Timeline, timeline
from dictate.model import Action, Finding, Measurement
from dictate.record import StoredExam

DAY = date(2031, 5, 1)
ORDER = ("eye", "comb", "crop", "vent", "shank", "foot pad", "skin")


def after(days: int) -> date:
    return DAY + timedelta(days=days)


def pad(grade: int | None, side: str | None = "left", **more: Any) -> Finding:
    return replace(Finding("foot pad", "hardened", side, grade=grade), **more)  # type: ignore[arg-type]


def of(*exams: StoredExam) -> Timeline:
    return timeline(
        exams, ORDER, everywhere=["skin"], states=["normal", "empty", "full", "impaction"], plain=["empty", "full"]
    )


def only(*exams: StoredExam) -> SignLine:
    (line,) = of(*exams).signs
    return line


NORMAL = Finding("foot pad", "normal", "left")


@pytest.mark.parametrize(
    ("grades", "state"),
    [
        ((2,), "new"), ((2, 1), "better"), ((1, 3), "worse"), ((2, 2), "same"), ((2, None), "still there"),
        ((3, 1, 2), "worse"),
    ],
)
def test_what_became_of_a_graded_sign(grades: tuple[int | None, ...], state: str) -> None:
    line = only(*(exam(after(7 * n), pad(grade)) for n, grade in enumerate(grades)))
    assert (line.state, line.since, line.grade) == (state, DAY, grades[-1])


@pytest.mark.parametrize(
    "end",
    [
        pad(None, presence="absent"), pad(None, when="past"), NORMAL, replace(NORMAL, side="both"),
        pad(None, "both", presence="absent"), pad(None, None, presence="absent"),
    ],
)
def test_gone_when_somebody_says_so(end: Finding) -> None:
    assert only(exam(DAY, pad(2)), exam(after(7), end)).state == "gone"


@pytest.mark.parametrize(
    "other",
    [
        replace(NORMAL, side="right"), pad(None, "right", presence="absent"), Finding("foot pad", "scab", "left"),
        Finding("shank", "normal", "left"),
    ],
)
def test_not_gone_by_what_is_said_of_something_else(other: Finding) -> None:
    lines = of(exam(DAY, pad(2)), exam(after(7), other)).signs
    line = next(x for x in lines if x.sign == "hardened")
    assert (line.state, line.last.on) == ("new", DAY)


def test_not_looked_at_and_looked_at_without_a_word_are_two_things() -> None:
    line = only(exam(DAY, pad(2)), exam(after(7), Finding("comb", "normal")))
    assert (line.unseen_on, line.silent_on) == (after(7), None)
    lines = of(exam(DAY, pad(2)), exam(after(7), Finding("foot pad", "scab", "left"))).signs
    line = next(x for x in lines if x.sign == "hardened")
    assert (line.unseen_on, line.silent_on) == (None, after(7))


def test_that_the_rest_is_normal_ends_nothing() -> None:
    line = only(exam(DAY, pad(2)), exam(after(7), Finding("comb", "normal"), rest_normal=True))
    assert line.state == "new"


def test_what_is_nowhere_on_her_is_gone_from_the_vent() -> None:
    mites = Finding("vent", "mites", grade=2)
    line = only(exam(DAY, mites), exam(after(7), Finding("skin", "mites", presence="absent")))
    assert line.state == "gone"
    line = only(exam(DAY, mites), exam(after(7), Finding("eye", "mites", presence="absent")))
    assert line.state == "new"


def test_come_again_it_is_counted_from_then() -> None:
    line = only(exam(DAY, pad(2)), exam(after(7), NORMAL), exam(after(21), pad(1)))
    assert (line.state, line.since, line.times) == ("new", after(21), 2)


def test_both_sides_are_two_lines_and_go_their_own_ways() -> None:
    lines = of(exam(DAY, pad(2, "both")), exam(after(7), pad(1, "left"), replace(NORMAL, side="right"))).signs
    assert [(x.side, x.state) for x in lines] == [("left", "better"), ("right", "gone")]


def test_head_to_tail() -> None:
    right, left = (Finding("eye", "foam", side) for side in ("right", "left"))
    lines = of(exam(DAY, pad(1), right, Finding("vent", "mites"), left))
    assert [(x.region, x.side) for x in lines.signs] == [
        ("eye", "left"), ("eye", "right"), ("vent", None), ("foot pad", "left"),
    ]


def test_an_empty_crop_is_no_fault_and_ends_one_that_did_not_empty() -> None:
    line = only(exam(DAY, Finding("crop", "impaction")), exam(after(1), Finding("crop", "empty")))
    assert (line.sign, line.state) == ("impaction", "gone")
    assert of(exam(DAY, Finding("crop", "empty"))).signs == ()


def test_what_the_last_exam_looked_at() -> None:
    remembered = Finding("eye", "foam", when="past")
    found = of(exam(DAY, pad(1)), exam(after(7), Finding("comb", "normal"), pad(1), remembered))
    assert (found.last_on, found.well) == (after(7), ("comb",))
    assert found.not_looked_at == ("eye", "crop", "vent", "shank", "skin")


@pytest.mark.parametrize("more", [{"kind": "post-mortem"}, {"status": "withdrawn"}])
def test_post_mortems_and_withdrawn_exams_are_no_part(more: dict[str, Any]) -> None:
    assert only(exam(DAY, pad(1)), exam(after(7), pad(3), **more)).grade == 1


def test_what_is_not_confirmed_is_no_part() -> None:
    draft = exam(DAY, pad(1))
    draft = replace(draft, items=(replace(draft.items[0], status="draft"),))
    assert of(draft).signs == ()


def test_weights_one_a_day_the_last_and_no_former_ones() -> None:
    weights = [
        exam(DAY, Measurement("weight", 2100, "g"), at=time(9)),
        exam(DAY, Measurement("weight", 2120, "g"), at=time(17)),
        exam(after(7), Measurement("weight", 2000, "g"), Measurement("weight", 1900, "g", former=True)),
    ]
    assert of(*weights[::-1]).weights == ((DAY, 2120), (after(7), 2000))


def test_what_came_of_what_was_done() -> None:
    soaked, later = Action("clean", quote="soaked the foot pad"), Action("recheck", 7, quote="again in a week")
    done = exam(DAY, pad(3), soaked, later)
    bathed, again = of(done, exam(after(7), pad(1))).outcomes
    assert [(c.before.grade, c.after.grade if c.after else None) for c in bathed.came] == [(3, 1)]
    assert again.looked_on == after(7)
    (bathed, again) = of(done, exam(after(7), Finding("comb", "normal"))).outcomes
    assert [c.after for c in bathed.came] == [None]
    assert again.looked_on is None
    (bathed, _) = of(done, exam(after(7), NORMAL)).outcomes
    assert bathed.came[0].after is not None
    assert not bathed.came[0].after.there


def test_up_to_a_day() -> None:
    exams = [exam(DAY, pad(1)), exam(after(7), pad(3))]
    assert timeline(exams, ORDER, until=after(6)).signs[0].grade == 1
    assert timeline([], ORDER).signs == ()


def test_the_order_of_the_exams_does_not_matter() -> None:
    exams = [exam(DAY, pad(1)), exam(after(7), pad(3)), exam(after(9), pad(2))]
    assert of(*exams) == of(*exams[::-1])
