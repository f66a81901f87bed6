"""Birds drawn by chance, and the order to go round."""

from __future__ import annotations

from collections import Counter
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.errors import UsageError
from dictate.flock.drawing import draw, in_order
from dictate.record import BirdRecord


def bird(name: str, pen: str | None = "Barn", hatched: date | None = None) -> BirdRecord:
    return BirdRecord(name, name, pen=pen, hatched=hatched)


FLOCK = [bird(f"b{n}", "Barn" if n % 2 else "Orchard") for n in range(10)]


@given(st.integers(0, 10), st.integers(0, 99))
def test_the_same_number_draws_the_same_birds_each_once(number: int, seed: int) -> None:
    one, other = draw(FLOCK, number, seed), draw(list(reversed(FLOCK)), number, seed)
    assert one == other
    assert len({b.id for b in one.birds}) == number == len(one.birds)


def test_each_bird_is_as_likely_as_another() -> None:
    drawn = Counter(b.id for seed in range(2000) for b in draw(FLOCK, 3, seed).birds)
    assert all(abs(drawn[b.id] - 600) < 5 * (2000 * 0.3 * 0.7) ** 0.5 for b in FLOCK)


def test_birds_asked_for_come_before_any_is_drawn() -> None:
    found = draw(FLOCK, 4, 1, first=["b7", "b2", "unknown", "b7"])
    assert {"b7", "b2"} <= {b.id for b in found.birds}
    assert [b.id for b in found.first] == ["b7", "b2"]
    assert [b.id for b in draw(FLOCK, 1, 1, first=["b7", "b2"]).birds] == ["b7"]


def test_the_young_and_well_come_first_and_quarantine_last() -> None:
    old, young = bird("old", "Barn", date(2020, 1, 1)), bird("young", "Chicks", date(2026, 4, 1))
    ill, mate = bird("ill", "Shed", date(2026, 5, 1)), bird("mate", "Shed", date(2019, 1, 1))
    new, unknown = bird("new", "Barn", date(2026, 5, 1)), bird("unknown", None)
    stops = in_order([new, ill, mate, unknown, old, young], {"ill": "sick", "new": "quarantine"})
    assert [[b.id for b in stop.birds] for stop in stops] == [["young"], ["old"], ["unknown"], ["mate", "ill"], ["new"]]
    assert [stop.state for stop in stops] == ["well", "well", "well", "sick", "quarantine"]


def test_a_pen_counts_as_sick_though_its_sick_bird_was_not_drawn() -> None:
    ill, mate, well = bird("ill", "Shed"), bird("mate", "Shed"), bird("well", "Barn")
    stops = in_order([mate, well], {"ill": "sick"}, [ill, mate, well])
    assert [(stop.pen, stop.state) for stop in stops] == [("Barn", "well"), ("Shed", "sick")]


def test_more_birds_than_there_are_cannot_be_drawn() -> None:
    with pytest.raises(UsageError, match="there are 10"):
        draw(FLOCK, 11, 1)
