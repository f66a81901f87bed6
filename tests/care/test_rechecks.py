"""What is due: rechecks as the keeper asked for them, done when looked at again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import count
from typing import Any

import pytest

from dictate.care.rechecks import due, rechecks, regions_of
from dictate.model import Action, Bird, Exam, Finding, Span
from dictate.record import Band, BirdRecord, Item, Source, StoredExam

DAY = date(2031, 5, 1)
PEPPER = BirdRecord("p", "Pepper", bands=(Band("b", "blue 42"),), pen="Orchard")
MAUD = BirdRecord("m", "Maud")
NUMBERS = count()
PAD = Finding("foot pad", "hardened", "right")
EYE = Finding("eye", "foam", "left")


def exam(on: date | None, *values: Any, bird: str | None = "p", **more: Any) -> StoredExam:
    """A confirmed exam of a bird with these findings and actions."""
    number = next(NUMBERS)
    kinds = ["action" if isinstance(value, Action) else "finding" for value in values]
    items = tuple(
        Item(f"{number}-{place}", kind, "confirmed", value, value)  # type: ignore[arg-type]
        for place, (kind, value) in enumerate(zip(kinds, values, strict=True))
    )
    stored = StoredExam(
        id=f"exam {number}", draft_id="d", kind="live", status="confirmed", bird=Bird(name="Pepper"),
        bird_status="confirmed", items=items, rest_normal=False, text="", span=Span(0, 0), source=Source(),
        on=on, bird_id=bird,
    )
    return replace(stored, **more)


def again(in_days: int | None = 10, quote: str = "recheck in ten days") -> Action:
    return Action("recheck", in_days, quote=quote)


def after(days: int) -> date:
    return DAY + timedelta(days=days)


def test_it_falls_due_after_the_days_that_were_said() -> None:
    exams = [exam(DAY, PAD, again())]
    assert due(exams, [PEPPER], after(9)) == []
    (one,) = due(exams, [PEPPER], after(10))
    assert (one.bird, one.regions, one.asked_on, one.due_on) == (
        "Pepper (blue 42)", ("foot pad",), DAY, after(10),
    )
    assert (one.days_over(after(10)), one.days_over(after(13)), one.done) == (0, 3, False)


def test_what_comes_soon_is_told_where_asked() -> None:
    exams = [exam(DAY, PAD, again())]
    assert due(exams, [PEPPER], after(3), within=6) == []
    assert len(due(exams, [PEPPER], after(3), within=7)) == 1


@pytest.mark.parametrize(
    ("later", "done"),
    [
        (exam(after(10), Finding("foot pad", "normal", "right")), True),
        (exam(after(10), Finding("foot pad", "hardened", presence="absent")), True),
        (exam(after(4), PAD), True),  # earlier than asked: she was looked at all the same
        (exam(after(10), EYE), False),
        (exam(after(10), replace(PAD, when="past")), False),  # remembered, not looked at
        (exam(after(10), rest_normal=True), False),
        (exam(DAY, PAD), False),  # the same day is no recheck
        (exam(None, PAD), False),
        (exam(after(10), PAD, status="withdrawn"), False),
        (exam(after(10), PAD, kind="post-mortem"), False),
        (exam(after(10), PAD, bird="m"), False),
        (exam(after(10), PAD, bird=None), False),
    ],
)
def test_it_is_done_when_the_region_is_looked_at_again(later: StoredExam, done: bool) -> None:
    (one,) = rechecks([exam(DAY, PAD, again()), later], [PEPPER, MAUD])
    assert one.done is done
    assert one.done_on == (later.on if done else None)


def test_what_is_not_confirmed_does_nothing() -> None:
    draft = exam(after(10), PAD)
    draft = replace(draft, status="draft", items=(replace(draft.items[0], status="draft"),))
    (one,) = rechecks([exam(DAY, PAD, again()), draft], [PEPPER])
    assert not one.done
    asked = exam(DAY, PAD, again())
    refused = replace(asked, items=(asked.items[0], replace(asked.items[1], status="dropped")))
    assert rechecks([refused], [PEPPER]) == []


def test_all_that_was_wrong_must_be_looked_at() -> None:
    exams = [exam(DAY, PAD, EYE, again()), exam(after(5), EYE)]
    (one,) = rechecks(exams, [PEPPER])
    assert (one.waiting, one.done) == (("foot pad",), False)
    (one,) = rechecks([*exams, exam(after(9), PAD)], [PEPPER])
    assert (one.waiting, one.done_on) == ((), after(9))


@pytest.mark.parametrize(
    ("findings", "quote", "regions"),
    [
        ((PAD, EYE), "recheck in ten days", ("foot pad", "eye")),
        ((PAD, EYE), "look at that eye again in a week", ("eye",)),
        ((PAD, Finding("keel", "normal")), "recheck in ten days", ("foot pad",)),
        ((PAD, Finding("keel", "normal")), "check the keel again", ("keel",)),
        ((Finding("skin", "mites", presence="absent"),), "recheck in ten days", ()),
        ((replace(PAD, certainty="possible"),), "recheck in ten days", ("foot pad",)),
        ((replace(PAD, when="past"),), "recheck in ten days", ()),
        ((Finding("leg", "swelling"), EYE), "the legend again", ("leg", "eye")),  # whole words only
        ((), "recheck in ten days", ()),
    ],
)
def test_what_a_recheck_is_about(findings: tuple[Finding, ...], quote: str, regions: tuple[str, ...]) -> None:
    assert regions_of(Exam(findings=findings), again(quote=quote)) == regions


def test_one_about_nothing_is_done_by_any_later_exam() -> None:
    (one,) = rechecks([exam(DAY, again()), exam(after(3), EYE)], [PEPPER])
    assert one.done_on == after(3)


def test_the_longest_overdue_comes_first_and_what_has_no_day_last() -> None:
    exams = [
        exam(DAY, PAD, again(None)), exam(DAY, PAD, again(7)), exam(after(1), EYE, again(2)),
        exam(None, EYE, again(3)),
    ]
    found = due(exams, [PEPPER], after(30))
    assert [one.due_on for one in found] == [after(3), after(7), None, None]
    assert found[-1].days_over(after(30)) is None


def test_a_bird_that_has_left_is_not_due() -> None:
    gone = replace(PEPPER, left_on=after(5), left_how="sold")
    exams = [exam(DAY, PAD, again(3))]
    assert len(due(exams, [gone], after(4))) == 1
    assert due(exams, [gone], after(5)) == []
    assert due(exams, [replace(gone, left_on=None)], after(4)) == [], "left, nobody knows when"


def test_seen_from_an_earlier_day_the_later_exam_has_not_been() -> None:
    exams = [exam(DAY, PAD, again(3)), exam(after(8), PAD)]
    assert len(due(exams, [PEPPER], after(5))) == 1
    assert due(exams, [PEPPER], after(8)) == []


def test_the_order_of_the_exams_does_not_matter() -> None:
    first, second = exam(DAY, PAD, EYE, again()), exam(after(9), PAD)
    third = exam(after(5), EYE)
    for order in ([first, second, third], [third, second, first]):
        assert [one.done_on for one in rechecks(order, [PEPPER])] == [after(9)]
