"""Names of birds where birds are told by name: a new one in running talk, at the head of a sentence or line, or in it.

These patterns are weaker than those in names.py: they count only where no bands are used, and in speech only once
a bird was named in the same text.
"""

from __future__ import annotations

from dictate.extraction.english import SHE_OR_HE
from dictate.extraction.names import NOT_BEFORE, NameReader
from dictate.extraction.units import Unit, unit_at

__all__ = ["ADJECTIVES", "heads", "in_running_talk", "inside", "led_in", "likely_name"]

# ends of words that are rather adjectives or verbs than names
ADJECTIVES = ("y", "ed", "ing", "ly", "ish", "ous", "ful", "less", "al", "ic", "able", "s", "est")
NEXT_UP = (["is", "next"], ["'s", "next"], ["you're", "next"], ["is", "up"], ["'s", "up"])
NOBLE = frozenset("mrs mister mr lady lord sir dame queen king princess prince captain major colonel".split())
LIST_MARKS = frozenset(") * - • > / . :".split())
HEAD_MARKS = frozenset(". : - ; / ( , = ! – |".split())
MARKED = frozenset(": - ( / = | ;".split())
AFTER_HEAD = frozenset("again next first too now then here also ok okay not fine is was has came".split())
LEAD = frozenset(
    "last lastly finally and here is then it was came comes with the other one up out of on turn 's it's that's so "
    "her his now first second third next , : - also in weighed did had do done me to got".split()
)
NOT_INSIDE = frozenset("from by mr mrs ms dr to at in near for says said tell told ask asked like than unlike".split())
SPEAKS = frozenset("says said say reckons thinks told gets got and or holding helped".split())
FIRST_UNITS = 24


def in_running_talk(names: NameReader, units: list[Unit], i: int, text: str, cased: bool) -> bool:
    """Does a new bird's name stand at i of unpunctuated talk: "… two kilos moppet comb pale", "now bramley hen …",
    "zebedee no band", "thimble she's a pullet"?"""
    after, before = unit_at(units, i + 1), unit_at(units, i - 1)
    if cased or after is None or before is None or not names.fresh(units, i, text, cased):
        return False
    kin = names.role(before, "kin") or (before.is_cue("other-bird") and before.low.startswith(("her ", "his ")))
    if kin:
        return names.begins_report(after) and not any(u.low in NOT_BEFORE for u in units[max(0, i - 3) : i - 1])
    if before.low in NOBLE and names.plain(units[i]):
        return after.low in SHE_OR_HE or after.low in ("has", "is", "'s") or names.begins_report(after)
    if (
        before.low in NOT_BEFORE - {"our"}
        or before.low in ("n't", "not", "never")
        or before.is_cue("other-bird")
        or before.grade
    ):
        return False
    if not names.given(units[i]) and units[i].low.endswith(ADJECTIVES) and not units[i].low.endswith("ey"):
        return False
    if after.low in ("now", "then", "here") and i + 2 < len(units):
        after = units[i + 2]
    elif names.role(before, "title"):
        return False
    if (names.role(after, "sex") and not after.low.endswith("s")) or names.role(after, "no-band"):
        return True
    if names.is_a(units, i) or after.low in ("next", "first") or [u.low for u in units[i + 1 : i + 3]] in NEXT_UP:
        return True
    closed = (
        before.gap or before.hard or before.used in ("measure", "action", "bird") or bool(before.signs or before.action)
    )
    closed = (
        closed
        or before.low in ("at", "our", "old", "little")
        or names.intro(before) == "perhaps"
        or bool(before.unit)
        or before.low in ("it", "that", "today")
    )
    weighed = after.number is not None and units[i + 2 : i + 3] and bool(units[i + 2].unit)
    return closed and bool(after.region or after.side or after.measures or weighed)


def _nameish(names: NameReader, units: list[Unit], i: int, text: str, cased: bool) -> bool:
    """A word unknown to the lexicon (but as a name) that looks like no adjective or verb."""
    unit = units[i]
    if unit.used or not names.possible(units, i, text, cased) or not names.plain(unit):
        return False
    return names.given(unit) or not unit.low.endswith(("ed", "ing", "ly", "ous", "ful", "less", "able"))


def likely_name(names: NameReader, units: list[Unit], i: int, text: str, cased: bool) -> bool:
    """A word unknown to the lexicon that looks like no adjective or verb, or one known for a name."""
    unit = units[i]
    if unit.used or not names.fresh(units, i, text, cased):
        return False
    return names.given(unit) or not unit.low.endswith(ADJECTIVES) or unit.low.endswith("ey")


def heads(names: NameReader, units: list[Unit], i: int, text: str, cased: bool = True) -> bool:
    """In written text, does a name head a sentence or line: "Moppet. Comb pale.", "1) Bramley: …", "Thimble 2.1kg …"?
    Without capitals there must be a mark: "moppet: comb pale"."""
    if not _nameish(names, units, i, text, cased) or i + 1 >= len(units):
        return False
    if not _heads(units, i) and not (cased and _in_list(names, units, i)):
        return False
    after, follow = units[i + 1], unit_at(units, i + 2)
    if not cased and after.low not in MARKED:
        return False
    if after.low in HEAD_MARKS:
        return follow is not None and (names.begins_report(follow) or bool(follow.signs) or names.is_a(units, i))
    return names.begins_report(after) or bool(after.signs) or after.low in AFTER_HEAD or after.kind == "newline"


def _heads(units: list[Unit], i: int) -> bool:
    """Does i begin a sentence or a line, apart from a list's mark, a number or a date before it?"""
    k = i - 1
    while k >= 0 and not units[k].hard and i - k < 6:
        unit = units[k]
        if not (unit.low in LIST_MARKS or unit.number or unit.kind == "date" or unit.delay or _is_month(unit)):
            return False
        k -= 1
    return True


def _in_list(names: NameReader, units: list[Unit], i: int) -> bool:
    """"Toffee 1.92, Fudge 2.05": a name after the number of the one before, with a number of its own."""
    after, number = unit_at(units, i + 1), units[i - 2].number if i > 1 else None
    return units[i - 1].low == "," and number is not None and after is not None and after.number is not None


def _is_month(unit: Unit) -> bool:
    return any(m.id in ("not-a-name", "no-name-either") for m in unit.birds) and len(unit.low) <= 9


def led_in(names: NameReader, units: list[Unit], i: int, text: str) -> bool:
    """In written text, is a name led in by small words alone: "Lastly Moppet.", "Then it was Bramley's turn"?"""
    if not _nameish(names, units, i, text, True):
        return False
    k = i - 1
    while k >= 0 and not units[k].hard and i - k < 8:
        unit = units[k]
        light = (
            unit.low in LEAD
            or names.intro(unit)
            or any(names.role(unit, r) for r in ("kin", "title", "sex", "breed", "colour", "next", "start", "again"))
        )
        if not light:
            return False
        k -= 1
    after = unit_at(units, i + 1)
    return i - k > 1 and (
        after is None
        or after.kind != "word"
        or names.begins_report(after)
        or after.low in ("'s", "has", "is", "here", "now")
    )


def inside(names: NameReader, units: list[Unit], i: int, text: str) -> bool:
    """The last resort in written text: an unknown word with a capital inside one of the first sentences."""
    before, after = unit_at(units, i - 1), unit_at(units, i + 1)
    if i > FIRST_UNITS or before is None or before.hard or not _nameish(names, units, i, text, True):
        return False
    if before.low in NOT_INSIDE or (before.kind != "word" and before.low != ","):
        return False
    return after is None or after.low not in SPEAKS
