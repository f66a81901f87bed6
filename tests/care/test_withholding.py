"""Eggs and meat held back: as long as the keeper said, and never a day of our own."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from dictate.care.withholding import holds
from dictate.model import Action, Bird, Span
from dictate.record import BirdRecord, Item, Source, StoredExam

DAY = date(2031, 5, 1)
PEPPER = BirdRecord("p", "Pepper")


def exam(in_days: int | None, on: date | None = DAY, **more: object) -> StoredExam:
    action = Action("withhold", in_days, quote="keep her eggs back", detail="eggs")
    stored = StoredExam(
        id="e", draft_id="d", kind="live", status="confirmed", bird=Bird(name="Pepper"),
        bird_status="confirmed", items=(Item("i", "action", "confirmed", action, action),),
        rest_normal=False, text="", span=Span(0, 0), source=Source(), on=on, bird_id="p",
    )
    return replace(stored, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("on", "held"),
    [(date(2031, 4, 30), 0), (DAY, 1), (date(2031, 5, 11), 1), (date(2031, 5, 12), 0)],
)
def test_the_last_day_counts_as_held(on: date, held: int) -> None:
    assert len(holds([exam(10)], [PEPPER], on)) == held


def test_it_is_told_in_the_keepers_words() -> None:
    (hold,) = holds([exam(10)], [PEPPER], DAY)
    assert hold.until == date(2031, 5, 11)
    assert hold.sentence == (
        'Pepper: keeper said "keep her eggs back" on 2031-05-01: hold until 2031-05-11'
    )


@pytest.mark.parametrize("stored", [exam(None), exam(10, None)])
def test_where_no_end_is_known_none_is_made_up(stored: StoredExam) -> None:
    (hold,) = holds([stored], [PEPPER], date(2033, 1, 1))
    assert hold.until is None
    assert hold.sentence.endswith("no end was said")


def test_known_ends_come_first() -> None:
    found = holds([exam(None), exam(20), exam(10)], [PEPPER], DAY)
    assert [hold.until for hold in found] == [date(2031, 5, 11), date(2031, 5, 21), None]


@pytest.mark.parametrize(("how", "held"), [("died", 0), ("lost", 0), ("sold", 1), ("culled", 1)])
def test_what_may_still_be_eaten_is_still_held(how: str, held: int) -> None:
    gone = replace(PEPPER, left_on=date(2031, 5, 3), left_how=how)
    assert len(holds([exam(10)], [gone], date(2031, 5, 4))) == held


def test_a_bird_of_no_register_is_held_too() -> None:
    (hold,) = holds([exam(10, bird_id=None)], [], DAY)
    assert (hold.bird_id, hold.bird) == (None, "Pepper")


@pytest.mark.parametrize("more", [{"status": "withdrawn"}, {"kind": "post-mortem"}, {"items": ()}])
def test_what_does_not_count(more: dict[str, object]) -> None:
    assert holds([exam(10, **more)], [PEPPER], DAY) == []
