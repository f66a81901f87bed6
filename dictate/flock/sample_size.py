"""How many birds to examine, and what it says when none of them had it. Exact, in whole birds.

The birds examined are drawn without putting back from a flock of known size (hypergeometric); where a look
finds the sign only in some of the birds that have it, each of those is found with that chance. A look never
finds it where it is not. Reckoned in whole numbers and fractions: a rounded 0.95 must not ask for one more.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, comb, log
from statistics import NormalDist

from dictate.errors import UsageError

__all__ = ["NoneFound", "birds_to_estimate", "birds_to_find", "chance_to_find", "none_found", "with_share"]


@dataclass(frozen=True, slots=True)
class NoneFound:
    """What none found in `examined` of `flock` birds says: with this confidence it is in at most `at_most`
    birds. `flock` None is a flock so large that drawing does not change it; then `at_most` is None too and
    `share` the bound."""

    examined: int
    flock: int | None
    confidence: float
    at_most: int | None
    share: float


def _fraction(value: float, what: str, *, zero: bool = False) -> Fraction:
    """A chance as it was written (0.95, not the nearest binary number). Raises UsageError outside 0..1."""
    chance = Fraction(str(value))
    if not (0 < chance <= 1 or (zero and chance == 0)):
        raise UsageError("reckoning with", f"{what} {value:g}", "it is no chance", "It lies above 0 and up to 1.")
    return chance


def _whole(value: int, low: int, high: int, what: str) -> None:
    if not low <= value <= high:
        raise UsageError("reckoning with", f"{what} {value}", "it does not fit", f"It may be {low} to {high}.")


def _missed(flock: int, with_it: int, examined: int, finds: Fraction) -> Fraction:
    """The chance that none is found: over k birds with it among those examined, each missed."""
    if finds == 1:
        return Fraction(comb(flock - with_it, examined), comb(flock, examined))
    miss = 1 - finds
    few, many = max(0, examined - (flock - with_it)), min(with_it, examined)
    total = sum(
        comb(with_it, k) * comb(flock - with_it, examined - k)
        * miss.numerator**k * miss.denominator ** (many - k)
        for k in range(few, many + 1)
    )
    return Fraction(total, comb(flock, examined) * miss.denominator**many)


def chance_to_find(flock: int, with_it: int, examined: int, finds: float = 1.0) -> float:
    """The chance to find at least one of `with_it` birds among `examined` of `flock`, where a look at a bird
    that has it finds it with the chance `finds`."""
    _whole(flock, 1, 10**6, "a flock of")
    _whole(with_it, 0, flock, "birds with it:")
    _whole(examined, 0, flock, "birds to examine:")
    return float(1 - _missed(flock, with_it, examined, _fraction(finds, "finding")))


def birds_to_find(
    flock: int | None, with_it: int = 0, *, share: float = 0.0, confidence: float = 0.95, finds: float = 1.0
) -> int | None:
    """The fewest birds to examine to find, with this confidence, something that at least `with_it` of `flock`
    birds have; in a flock without limit (`flock` None), that at least this `share` has. None: not even
    all birds are enough, since a look misses too many."""
    wanted, found = _fraction(confidence, "confidence"), _fraction(finds, "finding")
    if wanted == 1 and flock is None:
        raise UsageError("reckoning with", "confidence 1", "no number of birds makes it certain")
    if flock is None:
        rate = _fraction(share, "share") * found
        if rate == 1:
            return 1
        number = max(1, ceil(log(float(1 - wanted)) / log(float(1 - rate))) - 1)
        while 1 - (1 - rate) ** number < wanted:
            number += 1
        return number
    _whole(flock, 1, 10**6, "a flock of")
    _whole(with_it, 1, flock, "birds with it:")
    low, high = 0, flock  # what is looked for lies in low + 1 .. high
    if 1 - _missed(flock, with_it, high, found) < wanted:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if 1 - _missed(flock, with_it, middle, found) >= wanted:
            high = middle
        else:
            low = middle
    return high


def none_found(examined: int, flock: int | None, *, confidence: float = 0.95, finds: float = 1.0) -> NoneFound:
    """What it says that none of the birds examined had it: the most birds that may have it all the same."""
    wanted, found = _fraction(confidence, "confidence"), _fraction(finds, "finding")
    if flock is None:
        _whole(examined, 1, 10**6, "birds examined:")
        bound = min(1.0, (1 - float(1 - wanted) ** (1 / examined)) / float(found))
        return NoneFound(examined, None, confidence, None, bound)
    _whole(flock, 1, 10**6, "a flock of")
    _whole(examined, 0, flock, "birds examined:")
    low, high = 0, flock  # that `low` have it would be missed too often to be ruled out
    if _missed(flock, flock, examined, found) > 1 - wanted:
        low = flock
    while high - low > 1:
        middle = (low + high) // 2
        if _missed(flock, middle, examined, found) > 1 - wanted:
            low = middle
        else:
            high = middle
    return NoneFound(examined, flock, confidence, low, low / flock)


def birds_to_estimate(
    flock: int | None, margin: float, *, expected: float = 0.5, confidence: float = 0.95
) -> int:
    """Birds to examine to tell a share to within `margin` either way, about `expected` (0.5 is the safest).
    The usual normal approximation, corrected for a small flock."""
    _fraction(margin, "margin")
    p = float(_fraction(expected, "share", zero=True))
    wanted = float(_fraction(confidence, "confidence"))
    if wanted >= 1:
        raise UsageError("reckoning with", "confidence 1", "only the whole flock makes it certain")
    z = NormalDist().inv_cdf(0.5 + wanted / 2)
    number = z * z * p * (1 - p) / margin**2
    if flock is None:
        return max(1, ceil(number))
    _whole(flock, 1, 10**6, "a flock of")
    return min(flock, max(1, ceil(number / (1 + (number - 1) / flock)))) if number > 0 else 1


def with_share(flock: int, share: float) -> int:
    """The whole number of birds that a share means: at least so many, one at the least."""
    return max(1, ceil(_fraction(share, "share") * flock))
