"""How far two looks at the same birds agree: Cohen's kappa, plain or weighted, with its interval.

The standard error is that of Fleiss, Cohen and Everitt (Psychological Bulletin 1969, 72:323-327), for a kappa
that is not nothing. Where both looks gave one and the same grade to every bird, kappa is undefined, not 0.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist
from typing import Literal, TypeVar

from dictate.errors import UsageError

__all__ = ["Agreement", "Weights", "agreement", "agreement_of_pairs"]

Weights = Literal["none", "linear", "quadratic"]
Grade = TypeVar("Grade", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Agreement:
    """`kappa` (None: undefined), its standard error and interval; `agreed`: the share of birds given the same;
    `weights` says how much a near miss counted; `why` says why kappa is undefined."""

    birds: int
    agreed: float | None
    kappa: float | None
    error: float | None
    low: float | None
    high: float | None
    weights: Weights
    confidence: float
    why: str = ""


def agreement(
    table: Sequence[Sequence[int]], *, weights: Weights = "none", confidence: float = 0.95
) -> Agreement:
    """Agreement in a square table of counts: row, the grade of the first look; column, of the second.

    With weights the order of the rows is the order of the grades. Raises UsageError for a table that is not
    square, or holds less than nothing.
    """
    size = len(table)
    if any(len(row) != size for row in table) or any(n < 0 for row in table for n in row):
        found = "it is not square, or has negative counts"
        raise UsageError("reckoning agreement of", f"a table of {size} rows", found)
    total = sum(map(sum, table))
    if total == 0:
        return Agreement(0, None, None, None, None, None, weights, confidence, "no bird was looked at twice")
    share = [[n / total for n in row] for row in table]
    rows = [sum(row) for row in share]
    columns = [sum(row[j] for row in share) for j in range(size)]
    counts = [[_weight(i, j, size, weights) for j in range(size)] for i in range(size)]
    cells = [(i, j) for i in range(size) for j in range(size)]
    agreed = sum(share[i][i] for i in range(size))
    seen = sum(counts[i][j] * share[i][j] for i, j in cells)
    chance = sum(counts[i][j] * rows[i] * columns[j] for i, j in cells)
    if chance >= 1 - 1e-12:
        return Agreement(total, agreed, None, None, None, None, weights, confidence,
                         "both gave every bird the same grade, so that chance alone agrees as well")
    kappa = (seen - chance) / (1 - chance)
    across = [sum(counts[i][j] * columns[j] for j in range(size)) for i in range(size)]
    down = [sum(counts[i][j] * rows[i] for i in range(size)) for j in range(size)]
    spread = sum(share[i][j] * (counts[i][j] - (across[i] + down[j]) * (1 - kappa)) ** 2 for i, j in cells)
    variance = (spread - (kappa - chance * (1 - kappa)) ** 2) / (total * (1 - chance) ** 2)
    error = sqrt(max(0.0, variance))
    z = NormalDist().inv_cdf(0.5 + confidence / 2)
    return Agreement(
        total, agreed, kappa, error, max(-1.0, kappa - z * error), min(1.0, kappa + z * error), weights, confidence
    )


def agreement_of_pairs(
    pairs: Iterable[tuple[Grade, Grade]], grades: Sequence[Grade], *, weights: Weights = "none",
    confidence: float = 0.95,
) -> Agreement:
    """Agreement of pairs (first look, second look), with all grades that may be given, in their order."""
    place = {grade: number for number, grade in enumerate(grades)}
    counted = Counter(pairs)
    unknown = {grade for pair in counted for grade in pair} - set(place)
    if unknown:
        found = f"{', '.join(sorted(map(str, unknown)))} is none of them"
        raise UsageError("reckoning agreement of", f"{len(grades)} grades", found)
    table = [[counted[a, b] for b in grades] for a in grades]
    return agreement(table, weights=weights, confidence=confidence)


def _weight(i: int, j: int, size: int, weights: Weights) -> float:
    """How far two grades agree, 1 for the same: nothing between, or by steps apart, or by their square."""
    if weights == "none" or size == 1:
        return float(i == j)
    apart = abs(i - j) / (size - 1)
    return 1 - apart if weights == "linear" else 1 - apart * apart
