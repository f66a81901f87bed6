"""Pairs of looks: which exams make one, and which grade each gives."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import count
from typing import Any

import pytest

from dictate.flock.two_looks import pairs_of_days, pairs_of_examiners
from dictate.model import Bird, Finding, Span
from dictate.record import Item, Source, StoredExam

DAY = date(2031, 5, 1)
NUMBERS = count()
HARD = Finding("foot pad", "hardened", "left", grade=2)
NONE = Finding("foot pad", "normal")
EYE = Finding("eye", "normal")


def look(bird: str, by: str | None, back: int, *findings: Finding) -> StoredExam:
    number = next(NUMBERS)
    items = tuple(Item(f"{number}-{n}", "finding", "confirmed", f, f) for n, f in enumerate(findings))
    return StoredExam(
        id=str(number), draft_id="d", kind="live", status="confirmed", bird=Bird(), bird_status="confirmed",
        items=items, rest_normal=False, text="", span=Span(0, 0), source=Source(), on=DAY - timedelta(days=back),
        bird_id=bird, examiner=by,
    )


def examiners(*looks: StoredExam, **more: Any) -> Any:
    return pairs_of_examiners(looks, "Ann", "Bob", sign="hardened", regions=["foot pad"], **more)


def test_a_pair_is_two_looks_at_the_part_within_the_days() -> None:
    found = examiners(
        look("a", "Ann", 0, HARD), look("a", "bob", 1, NONE),
        look("b", "Ann", 0, HARD), look("b", "Bob", 2, HARD),
        look("c", "Ann", 0, HARD), look("c", "Bob", 0, EYE),
        look("d", "Ann", 0, EYE), look("e", None, 0, HARD),
    )
    assert found.pairs == ((1, 0),)
    assert found.one_only == 2


def test_the_nearest_looks_make_the_pair() -> None:
    found = examiners(look("a", "Ann", 3, NONE), look("a", "Ann", 1, HARD), look("a", "Bob", 1, HARD), within=3)
    assert found.pairs == ((1, 1),)


@pytest.mark.parametrize(("finding", "graded", "grade"), [
    (HARD, True, 2), (NONE, True, 0), (Finding("foot pad", "hardened", presence="absent"), True, 0),
    (Finding("foot pad", "hardened"), False, 1), (Finding("foot pad", "hardened"), True, None),
    (Finding("foot pad", "hardened", certainty="possible"), False, None),
])
def test_the_grade_of_a_look(finding: Finding, graded: bool, grade: int | None) -> None:
    found = examiners(look("a", "Ann", 0, finding), look("a", "Bob", 0, NONE), graded=graded)
    assert found.pairs == (() if grade is None else ((grade, 0),))
    assert found.ungraded == (grade is None)


def test_two_days_are_paired_by_bird() -> None:
    looks = [look("a", "Ann", 7, HARD), look("a", "Ann", 0, NONE), look("b", "Ann", 7, HARD), look("c", None, 0, NONE)]
    found = pairs_of_days(looks, DAY - timedelta(days=7), DAY, sign="hardened", regions=["foot pad"])
    assert (found.pairs, found.one_only) == (((1, 0),), 2)
