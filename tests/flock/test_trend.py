"""Mann-Kendall: published values, every order counted one by one, and what is said of few points."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta
from fractions import Fraction
from itertools import permutations
from random import Random

import pytest

from dictate.flock.trend import _orders_by_s, mann_kendall, s_of, slope_per_day, trend

FIRST = date(2031, 1, 5)


def weekly(*values: float) -> list[tuple[date, float]]:
    return [(FIRST + timedelta(weeks=number), value) for number, value in enumerate(values)]


def test_the_example_of_gilbert() -> None:
    # Gilbert, Statistical Methods for Environmental Pollution Monitoring, 1987: 10, 15, 14, 20 has S = 4
    # (from memory); the chance of S >= 4 is 4 of 24 orders (counted).
    assert mann_kendall([10, 15, 14, 20]) == (4, Fraction(8, 24))


@pytest.mark.parametrize(
    ("values", "s", "one_sided"),
    # Exact upper tails for n = 5, as computed with scipy 1.17.1: S >= 6, 8, 10.
    [((1, 2, 4, 5, 3), 6, 0.1167), ((1, 2, 3, 5, 4), 8, 0.0417), ((1, 2, 3, 4, 5), 10, 0.0083)],
)
def test_the_tails_for_five_values(values: tuple[int, ...], s: int, one_sided: float) -> None:
    found, p = mann_kendall(values)
    assert found == s
    assert float(p) / 2 == pytest.approx(one_sided, abs=5e-5)


@pytest.mark.parametrize(
    "values",
    [
        (1, 1, 2), (1, 1, 1, 1), (1, 2, 2, 3), (0, 0, 1, 1, 2), (3, 3, 3, 1, 2, 2), (1, 2, 3, 4, 5, 6),
        (5, 5, 1, 1, 1, 9, 9),
    ],
)
def test_with_ties_every_order_is_counted(values: tuple[int, ...]) -> None:
    orders = Counter(s_of(order) for order in permutations(values))
    for order in set(permutations(values)):
        s, p = mann_kendall(order)
        extreme = sum(count for at, count in orders.items() if abs(at) >= abs(s))
        assert p == Fraction(extreme, orders.total())


def test_the_variance_is_the_published_one_with_its_correction_for_ties() -> None:
    """var S = (n (n-1) (2n+5) - sum of t (t-1) (2t+5)) / 18 (Kendall); for n = 4 without ties 8.667."""
    for values in ([1, 2, 3, 4], [1, 1, 2, 2, 2, 3], [4, 4, 4, 4, 1], list(range(9))):
        equal = tuple(sorted(Counter(values).values()))
        counts = _orders_by_s(equal)
        n = len(values)
        variance = Fraction(sum(s * s * count for s, count in counts.items()), sum(counts.values()))
        published = Fraction(n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in equal), 18)
        assert variance == published


def test_turned_round_it_falls_and_the_chance_is_the_same() -> None:
    chance = Random(5)
    for _ in range(50):
        values = [chance.randrange(6) for _ in range(chance.randrange(1, 12))]
        s, p = mann_kendall(values)
        assert mann_kendall(values[::-1]) == (-s, p)
        assert 0 < p <= 1


@pytest.mark.parametrize(
    ("values", "verdict"),
    [
        ((), "too few"), ((2100,), "too few"), ((2100, 2000, 1900), "too few"),
        ((1, 2, 3, 4), "direction only"), ((1, 2, 3, 4, 5), "rising"), ((5, 4, 3, 2, 1), "falling"),
        ((1, 2, 3, 5, 4), "no trend shown"),  # S = 8: two-sided .083
        ((2, 2, 2, 2, 2), "no trend shown"), ((1, 2, 2, 3, 4, 5), "rising"),
    ],
)
def test_what_is_said(values: tuple[float, ...], verdict: str) -> None:
    assert trend(weekly(*values)).verdict == verdict


def test_with_four_only_the_direction_is_told() -> None:
    found = trend(weekly(10, 15, 14, 20))
    assert (found.verdict, found.direction, found.s, found.n) == ("direction only", 1, 4, 4)


def test_of_several_values_on_a_day_the_last_counts() -> None:
    twice = [(FIRST, 9.0), *weekly(1, 2, 3, 4, 5)]
    assert trend(twice).n == 5
    assert trend(twice).verdict == "rising"


def test_the_slope_is_the_median_of_all_pairs() -> None:
    assert slope_per_day(weekly(100, 107, 114)) == pytest.approx(1)
    # Pairs: 1, 64.3, 1, 127.6, 1, -125.6: one wild value moves the median little.
    assert slope_per_day(weekly(100, 107, 1000, 121)) == pytest.approx(1)
    assert slope_per_day(weekly(100)) is None
    assert slope_per_day([(FIRST, 1.0), (FIRST, 2.0)]) is None


def test_many_values_are_quick_and_whole() -> None:
    s, p = mann_kendall([float(n % 7) for n in range(60)])
    assert isinstance(p, Fraction)
    assert 0 < p < 1
    assert s == s_of([float(n % 7) for n in range(60)])
