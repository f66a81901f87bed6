"""Who of several birds something is done to: "both soaked", "dust them all", "nine and ten were powdered"."""

from __future__ import annotations

from dictate.extraction.units import Unit, unit_at

__all__ = ["ALL", "of_all", "subject", "subjects"]

SUBJECT_WORDS = frozenset(
    "were been are birds three four get got of on go to going getting shut kept put now will be being have had need "
    "for into in : the".split()
) | {"have been", "of them"}
WHOLE = frozenset("both all everyone everybody".split())
ALL = 99
COUNTED = {"both": 2, "two": 2, "pair": 2, "three": 3, "four": 4, "five": 5}
BETWEEN = frozenset(
    "both all each now today tonight also then were was been have has had got get gets are is being be to need needs "
    "go goes going in the into : - –".split()
)
JOINED = frozenset(", and & + plus".split())


def of_all(units: list[Unit], i: int, end: int) -> int:
    """How many birds the clause of the action at i..end is said of together: 2 for "both", ALL for "all", else 0."""
    subject = _subject(units, i)
    if subject:
        return subject
    for part in (list(reversed(units[max(0, i - 4) : i])), units[i : end + 3]):
        for unit in part:
            if unit.hard:
                break
            if unit.low in ("everyone", "everybody") or (" " in unit.low and any(m.id == "group" for m in unit.birds)):
                return _number(unit.low)
    return 2 if _ends_with_both(units, i, end) else 0


def _number(words: str) -> int:
    return next((COUNTED[w] for w in words.split() if w in COUNTED), ALL)


def _subject(units: list[Unit], i: int) -> int:
    """"Both soaked", "all three were dusted": the birds open the clause."""
    k = i - 1
    while k >= 0 and (units[k].low in SUBJECT_WORDS or units[k].number):
        k -= 1
    if k < 0 or units[k].low.partition(" ")[0] not in WHOLE or units[k].region:
        return 0
    opens = (
        k == 0
        or units[k - 1].hard
        or units[k - 1].low in ("so", "and", ",", "-", "then", "they", "they've", "they're", "'ve")
    )
    if units[k].low == "both" and _pair_of_parts(units, k):
        return 0
    return _number(" ".join(u.low for u in units[k:i])) if opens or units[k - 1].signs else 0


def _ends_with_both(units: list[Unit], i: int, end: int) -> bool:
    """"wormed both", "dust both today"; not "soaked both feet"."""
    k = next((k for k in range(i, min(len(units), i + 3)) if units[k].low.split()[-1:] == ["both"]), -1)
    after = unit_at(units, k + 1)
    if k < 0 or k > end or (after is not None and (after.region or after.low in ("the", "her", "his"))):
        return False
    return not _pair_of_parts(units, i)


def _pair_of_parts(units: list[Unit], i: int) -> bool:
    """"Spurs long; trimmed both": two parts of one bird were spoken of just before."""
    for unit in reversed(units[max(0, i - 8) : i]):
        if unit.used == "bird":
            return False
        if unit.region and (unit.plural or unit.side):
            return True
    return False


def subject(units: list[Unit], i: int) -> bool:
    """Does one bird or more stand as subject before an action at i ("three got dusted, four …")?"""
    k = i - 1
    while k >= 0 and k > i - 5 and units[k].used != "bird" and units[k].low in BETWEEN:
        k -= 1
    return k >= 0 and units[k].used == "bird"


def subjects(units: list[Unit], i: int) -> list[int]:
    """The mentions of two or more birds that stand as subject before an action at i: "nine and ten got powdered"."""
    k = i - 1
    while k >= 0 and k > i - 6 and units[k].used != "bird" and units[k].low in BETWEEN:
        k -= 1
    out: list[int] = []
    while k >= 0 and units[k].used == "bird":
        while k and units[k - 1].used == "bird":
            k -= 1
        out.append(k)
        if not (k > 1 and units[k - 1].low in JOINED):
            break
        k -= 2 if units[k - 2].used == "bird" or k < 3 else 3  # ", and"
    return out[::-1] if len(out) > 1 else []
