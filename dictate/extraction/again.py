"""A band said by its number alone, once it is known: "powder for twelve", "nine and ten got dusted"."""

from __future__ import annotations

from collections.abc import Mapping

from dictate.extraction.bands import digits_of
from dictate.extraction.units import Unit, unit_at

__all__ = ["is_known_number"]

DOES = frozenset(
    "is 's has had got gets goes wants needs was were weighs stays can will i i've i'll looks went comes came both "
    "should wasn't isn't hasn't in have get need to "
    "tonight today again all also".split()
)
LENGTHS = frozenset("day hour week month year fortnight".split())  # what a number before them counts
OPENS = frozenset("and but so then now , - – : plus while".split())
LINKS = frozenset("and & + , or".split())
HANDLES = frozenset("put pop popped move moved keep see seen check catch get give giving take".split())
NO_BIRD = frozenset("x about point another every next last than score by at within".split())
NO_COUNT = frozenset("of points % percent or to - / x times point out more".split())


def is_known_number(units: list[Unit], i: int, known: Mapping[str, str]) -> bool:
    """Does the number at i, which is that of a known band, stand for that bird?"""
    unit, before, after = units[i], unit_at(units, i - 1), unit_at(units, i + 1)
    if unit.number is None or unit.number.bare_one or unit.number.several:
        return False
    if after is not None and (
        (after.unit and after.low != "in")
        or after.delay in LENGTHS
        or after.low in NO_COUNT
        or (after.signs and after.low.endswith("s"))
        or after.number
        or (after.region and after.plural)
    ):
        return False
    if before is not None and (before.measures or before.low in NO_BIRD or before.number or before.unit):
        return False
    if before is not None and (
        before.action or before.low in HANDLES or (before.low in ("for", "to") and _acts(units, i - 1))
    ):
        return True
    if before is not None and before.low == "of" and i > 1 and (units[i - 2].measures or units[i - 2].region):
        return True
    if before is not None and before.low in LINKS and units[i - 2 : i - 1] and units[i - 2].used == "bird":
        return after is None or after.kind != "word" or after.low in DOES | LINKS or bool(after.action)
    opens = before is None or before.hard or before.gap or before.low in OPENS or unit.gap or before.used == "bird"
    if after is None or not (opens or bool(before and (before.signs or before.used in ("measure", "action")))):
        return False
    if after.low in LINKS and i + 2 < len(units):
        follow = units[i + 2]
        return follow.used == "bird" or (follow.number is not None and digits_of(follow) in known)
    if after.low == "in":
        return not bool(units[i + 2 : i + 3] and units[i + 2].delay)
    return after.low in DOES or bool(after.action and not after.region)


def _acts(units: list[Unit], k: int) -> bool:
    """Something is done in the units before k, or the number just before did it ("powder for 12, oil for 13")."""
    return any(u.action for u in units[max(0, k - 3) : k])
