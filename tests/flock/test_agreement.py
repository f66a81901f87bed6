"""Agreement of two looks, against printed tables."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.errors import UsageError
from dictate.flock.agreement import Weights, agreement, agreement_of_pairs

# SAS/STAT User's Guide, PROC FREQ, agreement study (SkinCondition); found. SAS prints .3449 and .5082 (from memory);
# errors and the quadratic value reckoned with statsmodels 0.15.0.
SKIN = [[10, 4, 1, 0], [5, 10, 12, 2], [2, 4, 12, 5], [0, 2, 6, 13]]
# Cohen, Psychological Bulletin 1968, 70:213; counts, and .492 in the paper, from memory; reckoned .4915.
COHEN = [[88, 14, 18], [10, 40, 10], [2, 6, 12]]
# Landis and Koch's pathologists, in Agresti (from memory); reckoned .493, linear .649, quadratic .784.
SLIDES = [[22, 2, 2, 0], [5, 7, 14, 0], [0, 2, 36, 0], [0, 1, 17, 10]]


@pytest.mark.parametrize(("table", "weights", "kappa"), [
    (SKIN, "none", 0.3449), (SKIN, "linear", 0.5082), (SKIN, "quadratic", 0.6607), (COHEN, "none", 0.4915),
])
def test_kappa_of_printed_tables(table: list[list[int]], weights: Weights, kappa: float) -> None:
    assert agreement(table, weights=weights).kappa == pytest.approx(kappa, abs=5e-5)


@pytest.mark.parametrize(("weights", "kappa"), [("none", 0.493), ("linear", 0.649), ("quadratic", 0.784)])
def test_kappa_of_the_slides(weights: Weights, kappa: float) -> None:
    assert agreement(SLIDES, weights=weights).kappa == pytest.approx(kappa, abs=5e-4)


@pytest.mark.parametrize(("weights", "error", "low", "high"), [
    ("none", 0.0724, 0.2030, 0.4868), ("linear", 0.0655, 0.3798, 0.6366),
])
def test_the_error_and_the_interval(weights: Weights, error: float, low: float, high: float) -> None:
    found = agreement(SKIN, weights=weights)
    assert (found.error, found.low, found.high) == (
        pytest.approx(error, abs=5e-5), pytest.approx(low, abs=2e-4), pytest.approx(high, abs=2e-4),
    )
    assert found.weights == weights


@pytest.mark.parametrize("weights", ["none", "linear", "quadratic"])
def test_where_both_gave_every_bird_the_same_kappa_is_undefined(weights: Weights) -> None:
    found = agreement([[12, 0], [0, 0]], weights=weights)
    assert (found.kappa, found.agreed) == (None, 1)
    assert found.why
    assert agreement([[0, 0], [0, 0]]).kappa is None


def test_whole_agreement_is_one_and_whole_disagreement_of_two_minus_one() -> None:
    assert agreement([[5, 0], [0, 7]]).kappa == pytest.approx(1)
    assert agreement([[0, 6], [6, 0]]).kappa == pytest.approx(-1)


@given(st.lists(st.lists(st.integers(0, 20), min_size=3, max_size=3), min_size=3, max_size=3))
def test_it_does_not_matter_who_looked_first(table: list[list[int]]) -> None:
    turned = [list(row) for row in zip(*table, strict=True)]
    one, other = agreement(table, weights="linear"), agreement(turned, weights="linear")
    assert one.kappa == (None if other.kappa is None else pytest.approx(other.kappa))
    if one.kappa is not None:
        assert -1 <= one.kappa <= 1 + 1e-12


def test_pairs_are_counted_into_the_table() -> None:
    pairs = [(0, 0)] * 5 + [(0, 1)] * 2 + [(2, 2)] * 3
    assert agreement_of_pairs(pairs, [0, 1, 2]) == agreement([[5, 2, 0], [0, 0, 0], [0, 0, 3]])


def test_what_is_no_table_of_agreement_is_told() -> None:
    with pytest.raises(UsageError):
        agreement([[1, 2], [3]])
    with pytest.raises(UsageError):
        agreement_of_pairs([(0, 9)], [0, 1])
