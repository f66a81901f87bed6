"""Is something said of several birds together: "both soaked", "dust them all", "all 3 are kept apart"?"""

from __future__ import annotations

from dictate.extraction.units import Unit

__all__ = ["of_all"]

SUBJECT_WORDS = frozenset(
    "were been are birds three four get got of on go to going getting shut kept put now will be being have had need "
    "for into in : the".split()
) | {"have been", "of them"}
WHOLE = frozenset("both all everyone everybody".split())


def of_all(units: list[Unit], i: int, end: int) -> bool:
    """Do the words in the clause of the action at i..end make it one of several birds?"""
    if _is_subject(units, i):
        return True
    for part in (list(reversed(units[max(0, i - 4) : i])), units[i : end + 3]):
        for unit in part:
            if unit.hard:
                break
            if unit.low in ("everyone", "everybody") or (" " in unit.low and any(m.id == "group" for m in unit.birds)):
                return True
    return False


def _is_subject(units: list[Unit], i: int) -> bool:
    """"Both soaked", "all three were dusted": the birds open the clause."""
    k = i - 1
    while k >= 0 and (units[k].low in SUBJECT_WORDS or units[k].number):
        k -= 1
    if k < 0 or units[k].low.partition(" ")[0] not in WHOLE or units[k].region:
        return False
    return k == 0 or units[k - 1].hard or units[k - 1].low in ("so", "and", ",", "-", "then")
