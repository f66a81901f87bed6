"""Whose produce is held: the last to end counts, a pen's eggs are mixed, nothing unknown is free."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from stored_exams import exam

from dictate.care.held_back import HeldBack, held_back
from dictate.keeping import Course, PenMove
from dictate.model import Action
from dictate.record import BirdRecord
from dictate.vocabulary.entries import Regime

DAY = date(2031, 5, 1)
LAW = [
    Regime(
        id="here", place="here", called="Here", since=date(2000, 1, 1), source="a law made up for tests",
        standing="own",
    )
]
PEPPER = BirdRecord("p", "Pepper", pen="Orchard", sex="hen")
MAUD = BirdRecord("m", "Maud", pen="Orchard", sex="hen")
DUKE = BirdRecord("d", "Duke", pen="Yard", sex="rooster")
ALL = [PEPPER, MAUD, DUKE]


def course(last: int | None = 0, eggs: int | None = 5, meat: int | None = None, **more: Any) -> Course:
    days: Any = tuple((p, d) for p, d in (("eggs", eggs), ("meat", meat)) if d is not None)
    facts: dict[str, Any] = {
        "id": "c", "product": "powder", "bird_id": "p", "first_on": DAY - timedelta(days=2),
        "last_on": None if last is None else DAY + timedelta(days=last), "label_days": days, "use": "label",
        "regime": "here",
    }
    return Course(**(facts | more))


def held(on: int, *courses: Course, exams: Any = (), birds: Any = ALL) -> dict[tuple[str, str], date | None]:
    found = held_back(exams, birds, courses, LAW, DAY + timedelta(days=on), not_laying=["rooster"])
    return {(one.produce, one.whose): one.until for one in found}


def after(days: int) -> date:
    return DAY + timedelta(days=days)


def test_the_eggs_of_a_pen_are_held_with_those_of_one_bird() -> None:
    found = held(0, course(meat=3))
    assert found == {("eggs", "Pepper"): after(5), ("meat", "Pepper"): after(3), ("eggs", "pen Orchard"): after(5)}


@pytest.mark.parametrize(("on", "count"), [(-3, 0), (-2, 2), (5, 2), (6, 0)])
def test_from_the_first_dose_to_the_last_day(on: int, count: int) -> None:
    assert len(held(on, course(meat=0))) == count


def test_of_two_treatments_the_last_to_end_counts() -> None:
    found = held(0, course(eggs=9, meat=2), course(last=3, eggs=4, meat=1, id="e"))
    assert (found["eggs", "Pepper"], found["meat", "Pepper"]) == (after(9), after(4))
    (bird,) = [h for h in held_back([], ALL, [course(eggs=9), course(last=3, eggs=4)], LAW, DAY) if h.bird_id
               and h.produce == "eggs"]
    assert [r.until for r in bird.reasons] == [after(9), after(7)]


def test_what_has_no_end_counts_longest() -> None:
    found = held(0, course(eggs=9, meat=0), course(last=None, eggs=4, meat=0, id="e"))
    assert (found["eggs", "Pepper"], found["eggs", "pen Orchard"]) == (None, None)


def test_a_label_without_days_for_eggs_holds_nothing_of_them() -> None:
    assert held(0, course(eggs=0, meat=0)) == {}


def test_meat_of_unknown_days_is_asked() -> None:
    (one,) = [h for h in held_back([], [PEPPER], [course(eggs=0)], LAW, DAY)]
    assert (one.produce, one.until, one.ask_vet) == ("meat", None, True)


def test_a_rooster_holds_no_eggs_and_nor_does_his_pen() -> None:
    assert held(0, course(bird_id="d", meat=3)) == {("meat", "Duke"): after(3)}


def test_a_whole_pen_treated_is_held_with_each_bird_in_it() -> None:
    found = held(0, course(bird_id=None, pen="Orchard", meat=0))
    assert found == {(("eggs"), whose): after(5) for whose in ("Pepper", "Maud", "pen Orchard")}


def test_who_moves_takes_her_days_along() -> None:
    """Treated in the Orchard, moved to the Yard on the second day: the Yard's eggs are held from then on."""
    moved = replace(PEPPER, pen="Yard", moves=(PenMove(after(2), "Yard", "Orchard"),))
    assert set(held(1, course(meat=0), birds=[moved, DUKE])) == {("eggs", "Pepper"), ("eggs", "pen Orchard")}
    assert set(held(2, course(meat=0), birds=[moved, DUKE])) == {("eggs", "Pepper"), ("eggs", "pen Yard")}
    whole = course(bird_id=None, pen="Orchard", meat=0)
    assert ("eggs", "Pepper") in held(3, whole, birds=[moved])
    assert ("eggs", "pen Yard") in held(3, whole, birds=[moved])
    late = replace(moved, moves=(PenMove(after(-9), "Yard", "Orchard"),))
    assert ("eggs", "Pepper") not in held(3, whole, birds=[late]), "she was not there when it was treated"


@pytest.mark.parametrize(("how", "shown"), [("died", False), ("lost", False), ("sold", True), ("culled", True)])
def test_who_has_left_holds_no_pen_from_that_day(how: str, shown: bool) -> None:
    gone = replace(PEPPER, left_on=after(2), left_how=how)
    assert ("eggs", "pen Orchard") in held(1, course(meat=0), birds=[gone, MAUD])
    found = held(2, course(meat=0), birds=[gone, MAUD])
    assert ("eggs", "pen Orchard") not in found
    assert (("eggs", "Pepper") in found) is shown


def said(words: str, in_days: int | None = 10) -> Any:
    return exam(DAY, Action("withhold", in_days, quote=words))


@pytest.mark.parametrize(
    ("words", "produce"),
    [("keep her eggs back", {"eggs"}), ("meat withheld", {"meat"}), ("egg withdrawal", {"eggs"}),
     ("withhold", {"eggs", "meat"}), ("eggs and meat back", {"eggs", "meat"})],
)
def test_what_the_keeper_said_holds_what_it_names(words: str, produce: set[str]) -> None:
    assert {p for p, whose in held(0, exams=[said(words)]) if whose == "Pepper"} == produce


def test_what_was_said_and_what_a_label_says_whichever_ends_last() -> None:
    assert held(0, course(eggs=14), exams=[said("keep her eggs back")])["eggs", "Pepper"] == after(14)
    assert held(0, course(eggs=3), exams=[said("keep her eggs back")])["eggs", "Pepper"] == after(10)
    assert held(0, course(eggs=3), exams=[said("keep her eggs back", None)])["eggs", "Pepper"] is None


def test_the_working_names_the_treatment_and_its_law() -> None:
    bird, pen = (
        next(one for one in held_back([], ALL, [course(meat=0)], LAW, DAY) if (one.bird is None) is whole)
        for whole in (False, True)
    )
    assert isinstance(pen, HeldBack)
    assert "powder" in bird.reasons[0].why
    assert bird.reasons[0].source == "a law made up for tests"
    assert bird.reasons[0].course_id == "c"
    assert "mixed with those of Pepper" in pen.reasons[0].why


def test_what_does_not_count() -> None:
    assert held(0, replace(course(), status="draft"), replace(course(), status="withdrawn")) == {}
    assert held(0, exams=[replace(said("eggs back"), kind="post-mortem")]) == {}
