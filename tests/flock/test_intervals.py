"""Wilson intervals against printed values and against what must always hold."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.errors import UsageError
from dictate.flock.intervals import wilson

# Newcombe 1998, Statistics in Medicine 17:857-872, Table I, method 3 (score, no continuity correction).
# The four pairs and their printed rows are from memory; each was also computed apart from this code.
NEWCOMBE = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0, 0.1611),
    (1, 29, 0.0061, 0.1718),
]
# 23 of 60 is the example of an open calculator (vassarstats.net/prop1.html); the result is computed.
COMPUTED = [(23, 60, 0.2709, 0.5098)]


@pytest.mark.parametrize(("positive", "examined", "low", "high"), NEWCOMBE + COMPUTED)
def test_printed_values(positive: int, examined: int, low: float, high: float) -> None:
    found = wilson(positive, examined)
    assert [round(bound, 4) for bound in found] == [low, high]


PAIRS = st.integers(1, 100_000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@given(PAIRS)
def test_bounds_are_the_roots_of_the_score_equation(pair: tuple[int, int]) -> None:
    """Each bound p solves |share - p| = z sqrt(p (1 - p) / n): what the interval is by definition."""
    positive, examined = pair
    low, high = wilson(positive, examined)
    share = positive / examined
    assert 0 <= low <= share <= high <= 1
    for bound in (low, high):
        gap = 1.959963984540054 * math.sqrt(bound * (1 - bound) / examined)
        assert math.isclose(abs(share - bound), gap, abs_tol=1e-9)


@given(PAIRS)
def test_the_other_share_has_the_mirrored_interval(pair: tuple[int, int]) -> None:
    positive, examined = pair
    low, high = wilson(positive, examined)
    other_low, other_high = wilson(examined - positive, examined)
    assert math.isclose(low, 1 - other_high, abs_tol=1e-12)
    assert math.isclose(high, 1 - other_low, abs_tol=1e-12)


def test_the_edges() -> None:
    assert wilson(0, 7)[0] == 0.0
    assert wilson(7, 7)[1] == 1.0
    assert wilson(0, 1)[0] == 0.0
    assert wilson(1, 1)[1] == 1.0
    assert wilson(0, 0) == (0.0, 1.0)


def test_a_higher_level_is_wider() -> None:
    narrow, wide = wilson(15, 148, level=0.9), wilson(15, 148, level=0.99)
    assert wide[0] < narrow[0] < narrow[1] < wide[1]


@pytest.mark.parametrize(("positive", "examined", "level"), [(3, 2, 0.95), (-1, 2, 0.95), (1, 2, 1.0)])
def test_what_is_no_share(positive: int, examined: int, level: float) -> None:
    with pytest.raises(UsageError):
        wilson(positive, examined, level=level)
