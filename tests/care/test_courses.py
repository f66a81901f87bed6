"""The last day of withholding: by the label, the vet and the law of the place; else a vet is asked."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from dictate.care.courses import end_of, regime_on
from dictate.keeping import PRODUCE, Course, Produce
from dictate.vocabulary import load_vocabulary
from dictate.vocabulary.entries import Regime

LAST = date(2026, 2, 24)


@pytest.fixture(scope="module")
def regimes() -> list[Regime]:
    return list(load_vocabulary().entries("regime").values())


def course(**more: Any) -> Course:
    facts: dict[str, Any] = {
        "id": "c", "product": "the blue bottle", "bird_id": "p", "first_on": LAST - timedelta(days=4), "last_on": LAST,
        "regime": "great-britain", "use": "label",
    }
    return Course(**(facts | more))


def days(of: Course, produce: Produce, regimes: list[Regime]) -> int | str:
    end = end_of(of, produce, regimes)
    if end.until is not None:
        assert of.last_on is not None
        return (end.until - of.last_on).days
    return "ask a vet" if end.ask else 0


@pytest.mark.parametrize(
    ("place", "label", "expected"),
    [
        ("great-britain", 7, 7), ("eu", 7, 7), ("usa", 7, 7), ("great-britain", 0, 0), ("eu", 0, 0),
        ("great-britain", None, "ask a vet"), (None, 7, "ask a vet"), ("atlantis", 7, "ask a vet"),
        (None, 0, "ask a vet"), ("atlantis", 0, "ask a vet"),
    ],
)
def test_used_as_its_label_says_the_label_decides(
    regimes: list[Regime], place: str | None, label: int | None, expected: int | str
) -> None:
    """A product whose label has 0 days for eggs is held 0 days, not 10 or 14; no place, no day."""
    said: tuple[tuple[Produce, int], ...] = () if label is None else (("eggs", label),)
    assert days(course(label_days=said, regime=place), "eggs", regimes) == expected


@pytest.mark.parametrize(
    ("place", "label", "produce", "expected"),
    [
        # Great Britain: the longest on the label for any animal x 1.5 (VMR 2013 as amended, Sch. 4 para. 2),
        # 5 d -> 7.5 -> 8 d; that it is rounded up is our own safe reading.
        ("great-britain", 5, "eggs", 8), ("great-britain", 4, "eggs", 6), ("great-britain", 1, "meat", 2),
        ("great-britain", 28, "meat", 42), ("great-britain", 0, "eggs", 0),
        # EU: x 1.5, rounded up (Regulation (EU) 2019/6, Article 115(1)); 1 day for meat where it is none (memory).
        ("eu", 5, "eggs", 8), ("eu", 0, "meat", 1), ("eu", 0, "eggs", 0),
        # USA: no factor in the law; a vet sets the interval (AMDUCA, 21 CFR 530).
        ("usa", 5, "eggs", "ask a vet"), ("usa", 0, "meat", "ask a vet"), ("usa", None, "eggs", "ask a vet"),
        # No days for such produce on any label: the law has a least, the vet must set the days.
        ("great-britain", None, "eggs", "ask a vet"), ("eu", None, "meat", "ask a vet"),
        (None, 5, "eggs", "ask a vet"), ("atlantis", 5, "eggs", "ask a vet"),
    ],
)
def test_off_its_label_under_a_vet(
    regimes: list[Regime], place: str | None, label: int | None, produce: Produce, expected: int | str
) -> None:
    said: tuple[tuple[Produce, int], ...] = () if label is None else ((produce, label),)
    of = course(label_days=said, regime=place, use="off-label", prescriber="Dr Fenn")
    assert days(of, produce, regimes) == expected


@pytest.mark.parametrize("place", ["great-britain", "eu", "usa", None])
@pytest.mark.parametrize("produce", PRODUCE)
@pytest.mark.parametrize("label", [None, 0, 7])
def test_off_its_label_without_a_vet_nothing_is_worked_out(
    regimes: list[Regime], place: str | None, produce: Produce, label: int | None
) -> None:
    said: tuple[tuple[Produce, int], ...] = () if label is None else ((produce, label),)
    end = end_of(course(label_days=said, regime=place, use="off-label"), produce, regimes)
    assert (end.until, end.ask, end.free) == (None, True, False)
    assert end.why.startswith("ask a vet")


@pytest.mark.parametrize(
    ("place", "produce", "vet", "expected"),
    [
        # The least where the label has none for such produce: GB 14 and 28 days; EU 10 (memory) and 28.
        ("great-britain", "eggs", 10, 14), ("great-britain", "eggs", 20, 20), ("great-britain", "meat", 10, 28),
        ("eu", "eggs", 7, 10), ("eu", "eggs", 12, 12), ("eu", "meat", 28, 28), ("usa", "eggs", 7, 7),
        (None, "eggs", 7, "ask a vet"),
    ],
)
def test_what_a_vet_set_counts_but_no_less_than_the_law_has(
    regimes: list[Regime], place: str | None, produce: Produce, vet: int, expected: int | str
) -> None:
    of = course(vet_days=((produce, vet),), regime=place, use="off-label", prescriber="Dr Fenn")
    assert days(of, produce, regimes) == expected


@pytest.mark.parametrize(
    ("last", "expected"), [(date(2024, 5, 16), 7), (date(2024, 5, 17), 14), (date(2006, 9, 30), "ask a vet")]
)
def test_the_law_of_the_day_of_the_last_dose_counts(
    regimes: list[Regime], last: date, expected: int | str
) -> None:
    """7 and 28 days are the old law (VMR 2006, Sch. 4 para. 2), 14 and 28 the present one; their days are
    from memory."""
    of = course(last_on=last, first_on=None, vet_days=(("eggs", 1),), use="off-label", prescriber="Dr Fenn")
    assert days(of, "eggs", regimes) == expected


def test_on_the_label_the_longer_of_label_and_vet(regimes: list[Regime]) -> None:
    of = course(label_days=(("eggs", 5),), vet_days=(("eggs", 9),))
    assert days(of, "eggs", regimes) == 9
    assert days(replace(of, vet_days=(("eggs", 2),)), "eggs", regimes) == 5


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"last_on": None}, "still being given"), ({"use": "not said", "label_days": (("eggs", 5),)}, "as its label"),
        ({"label_days": (("meat", 5),)}, "label's days for eggs were not said"), ({"regime": None}, "name no place"),
    ],
)
def test_what_is_not_known_is_asked_and_the_reason_told(
    regimes: list[Regime], more: dict[str, Any], why: str
) -> None:
    end = end_of(course(**more), "eggs", regimes)
    assert (end.until, end.ask) == (None, True)
    assert why in end.why


def test_a_vets_days_for_a_use_that_was_not_told_are_read_the_strict_way(regimes: list[Regime]) -> None:
    of = course(use="not said", vet_days=(("eggs", 5),), prescriber="Dr Fenn")
    assert days(of, "eggs", regimes) == 14
    assert days(replace(of, prescriber=None), "eggs", regimes) == "ask a vet"


def test_the_working_is_told(regimes: list[Regime]) -> None:
    end = end_of(course(label_days=(("eggs", 5),), use="off-label", prescriber="Dr Fenn"), "eggs", regimes)
    assert end.until == date(2026, 3, 4)
    for part in ("2026-02-24", "5 days of its label × 1.5 = 7.5", "rounded up to 8", "Great Britain"):
        assert part in end.why
    assert "2013/2033" in end.source


def test_the_laws_of_a_place_do_not_overlap_and_name_their_source(regimes: list[Regime]) -> None:
    for one in regimes:
        assert one.source
        for day in (one.since, one.until or date(2026, 11, 25)):
            assert [r for r in regimes if r.place == one.place and regime_on([r], one.place, day)] == [one]
    assert {one.place for one in regimes} == {"great-britain", "eu", "usa"}
