"""Whether a row of values rises or falls: Mann-Kendall, exact, with ties; and how fast, by Theil and Sen.

The distribution of S is counted, not approximated: of n values of which m1, m2 … are equal, all orders
are as likely under no trend, S = T - 2 I with T the pairs that differ and I the inversions, and the number
of orders with I inversions is the coefficient of q^I in the q-multinomial n!_q / (m1!_q m2!_q …).
Mann 1945, Econometrica 13:245-259; Kendall, Rank Correlation Methods, for the ties.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import combinations
from statistics import median
from typing import Literal

__all__ = ["Trend", "mann_kendall", "s_of", "slope_per_day", "trend"]

Verdict = Literal["too few", "direction only", "rising", "falling", "no trend shown"]

ENOUGH = 5
"""Values from which a verdict is given: with four even a perfect rise has a two-sided p of 1/12."""
DIRECTION = 4
LEVEL = 0.05


@dataclass(frozen=True, slots=True)
class Trend:
    """`p` is two-sided and exact. `direction`: 1, 0 or -1, the sign of S. `slope` is the median of the
    slopes of all pairs, in units a day (None with fewer than two days)."""

    n: int
    s: int
    p: float
    verdict: Verdict
    direction: int
    slope: float | None


def s_of(values: Sequence[float]) -> int:
    """S: pairs that rise less pairs that fall; equal ones count for nothing."""
    return sum((later > earlier) - (later < earlier) for earlier, later in combinations(values, 2))


def mann_kendall(values: Sequence[float]) -> tuple[int, Fraction]:
    """S and its exact two-sided p, the chance of an |S| as great where no order is likelier."""
    s = s_of(values)
    counts = _orders_by_s(tuple(sorted(Counter(values).values())))
    whole = sum(counts.values())
    return s, Fraction(sum(count for at, count in counts.items() if abs(at) >= abs(s)), whole)


def _orders_by_s(equal: tuple[int, ...]) -> dict[int, int]:
    """How many orders give each S, for values of which so many each are equal."""
    n = sum(equal)
    row = _q_factorial(n)
    for count in equal:
        row = _divided(row, _q_factorial(count))
    pairs = len(row) - 1
    return {pairs - 2 * inversions: count for inversions, count in enumerate(row)}


def _q_factorial(n: int) -> list[int]:
    """Coefficients of (1)(1 + q)(1 + q + q²) … with n factors."""
    row = [1]
    for size in range(2, n + 1):
        longer = [0] * (len(row) + size - 1)
        for place, value in enumerate(row):
            for step in range(size):
                longer[place + step] += value
        row = longer
    return row


def _divided(row: Sequence[int], by: Sequence[int]) -> list[int]:
    """A polynomial divided by one that goes into it and begins with 1."""
    rest, result = list(row), []
    for place in range(len(row) - len(by) + 1):
        value = rest[place]
        result.append(value)
        for step, part in enumerate(by):
            rest[place + step] -= value * part
    return result


def slope_per_day(points: Sequence[tuple[date, float]]) -> float | None:
    """The median slope of all pairs of different days (Theil 1950, Sen 1968), in units a day."""
    slopes = [
        (value - before) / (day - earlier).days
        for (earlier, before), (day, value) in combinations(sorted(points), 2)
        if day != earlier
    ]
    return median(slopes) if slopes else None


def trend(points: Sequence[tuple[date, float]]) -> Trend:
    """The trend of values over days; of several on one day the last counts."""
    by_day = sorted(dict(points).items())
    values = [value for _, value in by_day]
    s, p = mann_kendall(values)
    direction = (s > 0) - (s < 0)
    verdict: Verdict
    if len(values) < DIRECTION:
        verdict = "too few"
    elif len(values) < ENOUGH:
        verdict = "direction only"
    elif p <= LEVEL:
        verdict = "rising" if direction > 0 else "falling"
    else:
        verdict = "no trend shown"
    return Trend(len(values), s, float(p), verdict, direction, slope_per_day(by_day))
