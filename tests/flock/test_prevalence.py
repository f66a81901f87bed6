"""Prevalence counts birds that were examined for the region, and says who was not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from itertools import count
from typing import Any

import pytest

from dictate.flock.prevalence import Prevalence, prevalence
from dictate.model import Bird, Finding, Span
from dictate.record import BirdRecord, Item, Source, StoredExam

MAY, JUNE, JULY = date(2031, 5, 1), date(2031, 6, 1), date(2031, 7, 1)
FLOCK = [BirdRecord(name, name, pen="Orchard" if name in "ab" else "Yard") for name in "abcd"]
NUMBERS = count()
HARD = Finding("foot pad", "hardened", "right")
NORMAL = Finding("foot pad", "normal", "both")


def exam(bird: str | None, on: date | None, *findings: Finding, **more: Any) -> StoredExam:
    number = next(NUMBERS)
    items = tuple(Item(f"{number}-{n}", "finding", "confirmed", f, f) for n, f in enumerate(findings))
    stored = StoredExam(
        id=str(number), draft_id="d", kind="live", status="confirmed", bird=Bird(name=bird),
        bird_status="confirmed", items=items, rest_normal=False, text="", span=Span(0, 0), source=Source(),
        on=on, bird_id=bird,
    )
    return replace(stored, **more)


def of(*exams: StoredExam, birds: list[BirdRecord] = FLOCK, **more: Any) -> Prevalence:
    asked: dict[str, Any] = {"sign": "hardened", "regions": ["foot pad"], "until": JULY} | more
    return prevalence(exams, birds, **asked)


def test_birds_not_examined_are_no_denominator() -> None:
    found = of(
        exam("a", MAY, HARD), exam("b", MAY, NORMAL), exam("c", MAY, Finding("eye", "normal", "both"))
    )
    assert (found.positive, found.examined, found.not_examined) == (1, 2, 2)
    assert found.share == 0.5
    assert found.positive_birds == ("a",)
    assert found.low < 0.5 < found.high


@pytest.mark.parametrize(
    ("finding", "examined", "positive", "possible"),
    [
        (HARD, 1, 1, 0),
        (replace(HARD, presence="absent"), 1, 0, 0),
        (NORMAL, 1, 0, 0),
        (Finding("foot pad", "scab", "left"), 1, 0, 0),
        (replace(HARD, certainty="possible"), 1, 0, 1),
        (replace(HARD, when="past"), 0, 0, 0),
        (Finding("hock", "hardened", "left"), 0, 0, 0),
    ],
)
def test_what_one_finding_says(finding: Finding, examined: int, positive: int, possible: int) -> None:
    found = of(exam("a", MAY, finding))
    assert (found.examined, found.positive, found.possible) == (examined, positive, possible)


def test_each_bird_counts_once_by_her_last_look_at_the_region() -> None:
    exams = [exam("a", MAY, HARD), exam("a", JUNE, NORMAL), exam("a", JULY, Finding("eye", "foam"))]
    for order in (exams, exams[::-1]):
        found = of(*order)
        assert (found.examined, found.positive) == (1, 0)
    assert of(*exams, until=MAY).positive == 1
    assert of(*exams, since=date(2031, 6, 15)).examined == 0


def test_of_two_looks_on_a_day_the_later_counts() -> None:
    assert of(exam("a", MAY, HARD, at=time(18)), exam("a", MAY, NORMAL, at=time(7))).positive == 1
    assert of(exam("a", MAY, NORMAL), exam("a", MAY, HARD)).positive == 1


def test_the_rest_being_normal_is_told_apart() -> None:
    exams = [exam("a", MAY, HARD), exam("b", MAY, rest_normal=True)]
    found = of(*exams)
    assert (found.examined, found.rest_only, found.not_examined) == (1, 1, 2)
    found = of(*exams, rest_counts=True)
    assert (found.examined, found.positive, found.rest_only, found.not_examined) == (2, 1, 1, 2)


def test_that_the_rest_is_normal_says_nothing_of_what_was_named() -> None:
    found = of(exam("a", MAY, HARD, rest_normal=True), rest_counts=True)
    assert (found.examined, found.positive) == (1, 1)
    later = exam("a", JUNE, rest_normal=True)
    assert of(exam("a", MAY, HARD), later, rest_counts=True).positive == 0
    assert of(exam("a", MAY, HARD), later).positive == 1


def test_a_bird_that_has_left_is_not_counted_from_that_day() -> None:
    gone = [replace(FLOCK[0], left_on=JUNE, left_how="died"), *FLOCK[1:]]
    exams = [exam("a", MAY, HARD), exam("b", MAY, NORMAL)]
    found = of(*exams, birds=gone)
    assert (found.examined, found.positive, found.left, found.not_examined) == (1, 0, 1, 2)
    assert of(*exams, birds=gone, until=date(2031, 5, 31)).positive == 1


def test_what_cannot_be_counted_is_told() -> None:
    found = of(exam(None, MAY, HARD), exam("a", None, HARD), exam("b", MAY, NORMAL))
    assert (found.examined, found.unidentified, found.undated) == (1, 1, 1)


@pytest.mark.parametrize("more", [{"status": "withdrawn"}, {"kind": "post-mortem"}])
def test_what_does_not_count(more: dict[str, Any]) -> None:
    assert of(exam("a", MAY, HARD, **more)).examined == 0


def test_only_confirmed_findings_count() -> None:
    stored = exam("a", MAY, HARD)
    assert of(replace(stored, items=(replace(stored.items[0], status="draft"),))).examined == 0


def test_one_pen() -> None:
    found = of(exam("a", MAY, HARD), exam("c", MAY, HARD), pen="Orchard")
    assert (found.examined, found.positive, found.not_examined) == (1, 1, 1)


@pytest.mark.parametrize(("side", "positive"), [(None, 2), ("right", 2), ("left", 1)])
def test_one_side(side: str | None, positive: int) -> None:
    exams = [exam("a", MAY, HARD), exam("b", MAY, replace(HARD, side="both"))]
    assert of(*exams, side=side).positive == positive


def test_several_regions() -> None:
    exams = [exam("a", MAY, replace(HARD, region="toe")), exam("b", MAY, NORMAL), exam("c", MAY)]
    found = of(*exams, regions=["foot pad", "toe"])
    assert (found.examined, found.positive) == (2, 1)


def test_nobody_examined() -> None:
    found = of()
    assert (found.share, found.low, found.high, found.not_examined) == (None, 0.0, 1.0, 4)
