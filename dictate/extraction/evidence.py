"""Names by what is said of them in the whole text: a word that again and again does or has what birds do and have.

"titch is her chick … titch's feet are perfect": one place alone would not show it, two do. What people do
("tom's holding her") is no evidence; it must be something of a bird's.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

from dictate.extraction.names import NameReader
from dictate.extraction.told_by_name import ADJECTIVES
from dictate.extraction.units import Unit, unit_at

__all__ = ["evident"]

DOES = frozenset(
    "is 's was has had got gets looks feels weighs needs wants goes isn't hasn't wasn't had comes doesn't".split()
)
SMALL = frozenset(
    "a an the her his got still only about just at good very nearly around one both been all our my on up down to over "
    "in also now quite a bit really not so no she he she's he's".split()
)
NOT_BEFORE = frozenset(
    "a an the her his my our your this that these those some any every each no of in on at from with like by to for "
    "and's all other another more mr mrs".split()
)
TITLES = frozenset(
    "mrs mr mister missus ms miss lady lord sir dame madam captain doctor major colonel sergeant general queen king "
    "princess prince duke duchess count baron granny auntie aunt uncle master private professor".split()
)
REACH = 4
ENOUGH = 2


def evident(names: NameReader, units: list[Unit], text: str, cased: bool, named: bool) -> dict[str, list[int]]:
    """The words that are names by the whole text, each with the units where they stand as one; where birds are
    told by name already (`named`), one such place is enough for a word that is no adjective."""
    places: dict[str, list[int]] = defaultdict(list)
    for i, unit in enumerate(units):
        if unit.used or not names.possible(units, i, text, cased):
            continue
        titled = i > 0 and units[i - 1].low in TITLES and not units[i - 1].hard
        if (names.plain(unit) or titled) and _is_subject(names, units, i, titled):
            places[unit.low].append(i)
    out = {}
    behind = _behind_sexes(names, units)
    for word, at in places.items():
        counted = len(at) + names.given(units[at[0]]) + (word in behind)
        if counted + (named and not word.endswith(ADJECTIVES)) >= ENOUGH:
            out[word] = at
    return out


def _behind_sexes(names: NameReader, units: list[Unit]) -> set[str]:
    """The words that stand right after a sex or breed somewhere: "brahma cockerel pippin"."""
    return {
        u.low
        for before, u in pairwise(units)
        if before.birds
        and not before.hard
        and not before.low.endswith("s")
        and (names.role(before, "sex") or names.role(before, "breed"))
    }


def _is_subject(names: NameReader, units: list[Unit], i: int, titled: bool) -> bool:
    """Is something of a bird's said of the word at i, as of a subject or owner?"""
    before = unit_at(units, i - 1 - titled)
    if before is not None and not before.hard and (before.low in NOT_BEFORE or names.role(before, "kin")):
        return False
    if before is not None and (before.side or before.region or before.grade or before.is_cue("other-bird")):
        return False
    k = i + 1
    if k < len(units) and units[k].low == "," and [u.low for u in units[k + 2 : k + 3]] == [","]:
        k += 3  # Custard, though, is …
    if not (k < len(units) and units[k].low in DOES):
        return False
    for unit in units[k + 1 : k + 1 + REACH]:
        if unit.hard:
            return False
        if unit.region or unit.signs or unit.number or unit.measures or unit.grade:
            return True
        if unit.birds and any(names.role(unit, r) for r in ("sex", "breed", "no-band", "band", "colour")):
            return True
        if unit.low not in SMALL:
            return False
    return False
