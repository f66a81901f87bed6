"""How many to examine: exact values. They were reckoned with scipy 1.17.1 (exact hypergeometric, whole birds);
399 of 1600 is printed by Cannon and Roe, Livestock Disease Surveys (1982)."""

from __future__ import annotations

from itertools import combinations
from math import comb, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.errors import UsageError
from dictate.flock.sample_size import birds_to_estimate, birds_to_find, chance_to_find, none_found, with_share


@pytest.mark.parametrize(("flock", "with_it", "birds"), [
    (20, 2, 16), (30, 3, 19), (50, 5, 22), (100, 1, 95), (100, 2, 78), (100, 5, 45), (100, 10, 25), (100, 20, 13),
    (100, 50, 5), (200, 2, 155), (200, 4, 105), (200, 10, 51), (200, 20, 27), (500, 5, 225), (500, 10, 129),
    (500, 25, 56), (500, 50, 28), (1000, 10, 258), (1000, 20, 138), (1000, 50, 57), (1000, 100, 29),
    (50, 13, 9), (20, 10, 4), (30, 2, 23),
])
def test_birds_to_find_at_95_in_100(flock: int, with_it: int, birds: int) -> None:
    assert birds_to_find(flock, with_it) == birds


@pytest.mark.parametrize(("flock", "with_it", "birds"), [
    (100, 1, 99), (100, 2, 90), (100, 5, 59), (100, 10, 36), (1600, 16, 399),
])
def test_birds_to_find_at_99_in_100(flock: int, with_it: int, birds: int) -> None:
    assert birds_to_find(flock, with_it, confidence=0.99) == birds


@pytest.mark.parametrize(("confidence", "birds"), [
    (0.95, (299, 149, 59, 29, 14)), (0.99, (459, 228, 90, 44, 21)), (0.90, (230, 114, 45, 22, 11)),
])
def test_birds_to_find_in_a_flock_without_limit(confidence: float, birds: tuple[int, ...]) -> None:
    shares = (0.01, 0.02, 0.05, 0.10, 0.20)
    assert tuple(birds_to_find(None, share=share, confidence=confidence) for share in shares) == birds


@pytest.mark.parametrize(("flock", "with_it", "examined", "chance"), [
    (30, 3, 10, 0.7192), (12, 1, 6, 0.5), (50, 5, 22, 0.9536), (20, 2, 16, 0.9684),
])
def test_the_chance_to_find(flock: int, with_it: int, examined: int, chance: float) -> None:
    assert chance_to_find(flock, with_it, examined) == pytest.approx(chance, abs=5e-5)


@given(st.integers(1, 9), st.data())
def test_the_chance_is_that_of_all_ways_to_draw(flock: int, data: st.DataObject) -> None:
    with_it, examined = data.draw(st.integers(0, flock)), data.draw(st.integers(0, flock))
    finds = data.draw(st.sampled_from([0.25, 0.5, 0.8, 1.0]))
    ways = combinations(range(flock), examined)
    missed = sum((1 - finds) ** sum(bird < with_it for bird in drawn) for drawn in ways) / comb(flock, examined)
    assert chance_to_find(flock, with_it, examined, finds) == pytest.approx(1 - missed, abs=1e-12)


@given(st.integers(1, 60), st.data())
def test_one_bird_fewer_would_not_be_enough(flock: int, data: st.DataObject) -> None:
    with_it = data.draw(st.integers(1, flock))
    finds = data.draw(st.sampled_from([0.6, 0.9, 1.0]))
    birds = birds_to_find(flock, with_it, finds=finds)
    if birds is None:
        assert chance_to_find(flock, with_it, flock, finds) < 0.95
        return
    assert chance_to_find(flock, with_it, birds, finds) >= 0.95 - 1e-12
    assert birds == 1 or chance_to_find(flock, with_it, birds - 1, finds) < 0.95


def test_a_look_that_misses_asks_for_more_birds_or_all_are_not_enough() -> None:
    found = birds_to_find(100, 10, finds=0.8)
    assert found is not None
    assert found > 25
    assert birds_to_find(10, 1, finds=0.9) is None


@pytest.mark.parametrize(("examined", "share"), [(10, 0.2589), (30, 0.0950), (59, 0.0495)])
def test_none_found_in_a_flock_without_limit(examined: int, share: float) -> None:
    assert none_found(examined, None).share == pytest.approx(share, abs=5e-5)


@given(st.integers(1, 50), st.data())
def test_none_found_rules_out_just_what_would_have_been_found(flock: int, data: st.DataObject) -> None:
    examined = data.draw(st.integers(0, flock))
    most = none_found(examined, flock).at_most
    assert most is not None
    assert chance_to_find(flock, most, examined) < 0.95
    assert most == flock or chance_to_find(flock, most + 1, examined) >= 0.95 - 1e-12


def test_all_examined_and_none_found_is_none() -> None:
    assert none_found(24, 24).at_most == 0
    assert none_found(0, 24).at_most == 24
    assert none_found(24, 24, finds=0.9).at_most == 1


def test_birds_to_estimate_a_share() -> None:
    # 1.96² · 0.25 / 0.05² = 384.1 (a textbook's 385); corrected for 1000 birds 278
    assert birds_to_estimate(None, 0.05) == 385
    assert birds_to_estimate(1000, 0.05) == 278
    assert birds_to_estimate(30, 0.1, expected=0.2) <= 30
    assert birds_to_estimate(None, 0.1, expected=0.1) == 35  # 1.96² · 0.09 / 0.1² = 34.6
    assert 1.96 * sqrt(0.25 / 385) <= 0.05 < 1.96 * sqrt(0.25 / 384)


def test_a_share_means_at_least_so_many_birds() -> None:
    assert [with_share(30, 0.05), with_share(30, 0.1), with_share(8, 0.01), with_share(25, 0.1)] == [2, 3, 1, 3]


@pytest.mark.parametrize("call", [
    lambda: birds_to_find(0, 1), lambda: birds_to_find(10, 11), lambda: birds_to_find(10, 1, confidence=1.5),
    lambda: birds_to_find(10, 1, finds=0), lambda: birds_to_find(None, share=0.1, confidence=1),
    lambda: none_found(11, 10), lambda: birds_to_estimate(10, 0), lambda: birds_to_estimate(10, 0.1, confidence=1),
])
def test_what_makes_no_sense_is_told(call: object) -> None:
    with pytest.raises(UsageError):
        call()  # type: ignore[operator]
