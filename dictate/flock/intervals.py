"""Confidence intervals of a share."""

from __future__ import annotations

import math
from statistics import NormalDist

from dictate.errors import UsageError

__all__ = ["wilson"]


def wilson(positive: int, examined: int, *, level: float = 0.95) -> tuple[float, float]:
    """The Wilson score interval of `positive` of `examined`, as two shares from 0 to 1.

    Exactly 0 below where none is positive and exactly 1 above where all are. Of none examined
    nothing is known: 0 to 1. Formula: Wilson 1927, as in Newcombe 1998, Statistics in
    Medicine 17:857-872 (method 3, without continuity correction).
    Raises UsageError where the numbers make no share.
    """
    if not 0 <= positive <= examined:
        raise UsageError("reckoning an interval", found=f"{positive} of {examined} is no share")
    if not 0 < level < 1:
        raise UsageError("reckoning an interval", found=f"a level of {level} does not lie between 0 and 1")
    if examined == 0:
        return 0.0, 1.0
    z = NormalDist().inv_cdf(0.5 + level / 2)
    share = positive / examined
    middle = share + z * z / (2 * examined)
    half = z * math.sqrt(share * (1 - share) / examined + z * z / (4 * examined * examined))
    whole = 1 + z * z / examined
    low = 0.0 if positive == 0 else (middle - half) / whole
    high = 1.0 if positive == examined else (middle + half) / whole
    return low, high
