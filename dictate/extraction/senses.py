"""Takes away the senses of a unit that cannot be meant where it stands.

left as a verb, right as a filler, back as an adverb, "okay" said to go on: every later rule may trust
what is left.
"""

from __future__ import annotations

from dictate.extraction.english import COPULAS, DETERMINERS, POSSESSIVE
from dictate.extraction.units import Unit, unit_at

__all__ = ["disambiguate"]

VERB_BEFORE_LEFT = frozenset(
    "i we he she they you have has had 've 'd who 's what nothing not all that nobody just".split()
)
ADVERB_BACK = frozenset(
    "put go went come came keep kept hold held get got look grown growing pulled fall fell bring brought "
    "step turn turned turning fold folds folding sent going move moved straight".split()
)
QUESTIONS = frozenset("what who which how why when where is are was were does do did has have can could would".split())
GOOD_BEFORE = frozenset(
    "all both very quite looks look feel feels still also too just pretty perfectly really nice and or not "
    "n't as otherwise absolutely ' no now there each one ones".split()
)
SPEAKER_BEFORE = frozenset("i we to i'll we'll you i've".split())  # the speaker acts: "so I cut it"
YES = frozenset("yep check yup yes n".split())
PLAIN_GOOD = frozenset(
    "okay, ok, fine, good, nice, lovely, clear, perfect, all right, alright, clean, excellent, beautiful, lively".split(
        ", "
    )
)
NO_OR_YES = frozenset("no yes nope yep yeah".split())
BEFORE_SIDE = frozenset(
    "the on her his its under that and or from in no to of nor this sorry not just only extreme for".split()
)
BEFORE_FILLER = frozenset("that and no not just this in to only".split())  # "and right, …": no side
BEGINS_ANEW = frozenset("so now then okay ok next well".split())
SAID_AFTER_FILLER = frozenset("she he i i'll let that".split())  # "right, I'll …"
BEHIND_SIDE = frozenset("one side hand : - =".split())
# never between a side and its region
NOT_IN_A_PHRASE = frozenset("the her his so now and she he then okay let well starting a an on next i".split())
# "back to", "back up": no region unless possessed
AFTER_ADVERB = frozenset("to up in at down again into from out inside over home for with".split())
BEFORE_BACK = frozenset("on a lower upper and no across over along of 's".split())
PART_BEHIND = frozenset("edge end half part parts one ones tip tips side corner row blade point points third".split())
OKAY = frozenset("okay, ok, all right, alright".split(", "))
OPENERS = frozenset("okay, ok, good, all right, alright, right".split(", "))


def disambiguate(units: list[Unit]) -> None:
    """Take away senses that cannot be meant where the unit stands."""
    _stutters(units)
    for i, unit in enumerate(units):
        before = unit_at(units, i - 1)
        after = unit_at(units, i + 1)
        if unit.low in ("?", "??") and _is_query(units, i):
            unit.kind, unit.hard = "query", False
        if unit.low in ("left", "right") and unit.side == unit.low and not _is_side(units, i, before, after):
            unit.side = ""
        if (
            unit.adverb
            and unit.region
            and (
                not _is_back(before, after)
                or (i > 1 and before is not None and before.low == "the" and units[i - 2].low == "at")
            )
        ):
            unit.region = ""
        if (
            unit.signs
            and before is not None
            and before.low in SPEAKER_BEFORE
            and all(m.form.startswith("noun") for m in unit.signs)
        ):
            unit.signs = ()  # "needs cutting, so I cut it"
        if (
            unit.low in YES
            and unit.signs
            and not (
                before is not None
                and (before.region or before.side)
                and not before.weak
                and not unit.gap
                and (after is None or after.region or after.side or after.gap or after.kind in ("punct", "newline"))
            )
        ):
            unit.signs = ()
        if unit.signs and unit.low in PLAIN_GOOD:
            _plain_good(units, i, before, after)


def _stutters(units: list[Unit]) -> None:
    """"in the in the right leg": words said twice in a row count once."""
    lows = [u.low for u in units]
    for size in (3, 2):
        for i in range(len(units) - 2 * size + 1):
            if (
                lows[i] == lows[i + size]
                and lows[i : i + size] == lows[i + size : i + 2 * size]
                and all(u.kind == "word" and not u.signs and not u.used for u in units[i : i + size])
                and not any(
                    u.birds and u.region == "" and u.side == "" and u.low not in DETERMINERS
                    for u in units[i : i + size]
                )
            ):
                for u in units[i : i + size]:
                    u.used = "stutter"


def _is_query(units: list[Unit], i: int) -> bool:
    """"?lice" and "mites?" are doubt; the mark of a whole question ends a sentence."""
    after = unit_at(units, i + 1)
    if after is not None and after.kind in ("word", "number") and after.span.start == units[i].span.end:
        return True
    k = i - 1
    while k >= 0 and not units[k].hard and units[k].low not in (",", "-", ":"):
        k -= 1
    inside = units[k + 1 : i]
    if after is not None and after.low in NO_OR_YES:
        return False
    return bool(inside) and len(inside) <= 4 and inside[0].low not in QUESTIONS and any(u.signs for u in inside)


def _is_side(units: list[Unit], i: int, before: Unit | None, after: Unit | None) -> bool:
    low = units[i].low
    if after is not None and (after.region or after.side) and after.kind != "newline":
        return not (
            before is not None
            and low == "left"
            and (before.low in VERB_BEFORE_LEFT or before.weak)
            and not after.region
        )
    prev = before.low if before is not None and not (units[i].gap and low == "right") else ""
    if low == "left" and (prev in VERB_BEFORE_LEFT or (before is not None and before.weak)):
        return False
    if prev in BEFORE_SIDE:
        return not (
            low == "right"
            and prev in BEFORE_FILLER
            and (after is None or not (after.low in COPULAS or after.low in ("one", "side", "'s")))
        )
    if before is not None and before.region and not before.weak:
        return after is None or (
            after.low not in BEGINS_ANEW and not (low == "right" and after.low in SAID_AFTER_FILLER)
        )
    if before is not None and (before.side or before.is_cue("correction") or before.is_cue("ditto")):
        return True
    if after is not None and after.low in COPULAS and (low == "left" or not units[i].gap):
        return low == "left" or (  # "left's fine right's hard"
            before is not None and (before.kind in ("punct", "newline") or bool(before.signs or before.grade))
        )
    if after is not None and after.is_cue("ditto") and not units[i].gap:
        return True
    if after is not None and after.low in BEHIND_SIDE:
        return True
    for j in range(i + 1, min(i + 4, len(units))):  # left upper eyelid, right big toe
        other = units[j]
        if other.region:
            return all(
                units[k].kind == "word"
                and (units[k].signs or units[k].grade or not units[k].cues)
                and units[k].low not in NOT_IN_A_PHRASE
                for k in range(i + 1, j)
            )
        if other.kind != "word":
            break
    if (
        low == "right"
        and before is not None
        and before.kind == "punct"
        and after is not None
        and after.signs
        and any(u.low == "left" for u in units[max(0, i - 9) : i])
    ):
        return True
    if after is not None and after.signs and before is not None and (before.kind == "punct" or before.signs):
        return low == "left" and not before.weak
    return before is not None and before.kind == "punct" and low == "left"


def _is_back(before: Unit | None, after: Unit | None) -> bool:
    if before is not None and before.low in ADVERB_BACK:
        return False
    if after is not None and after.low in AFTER_ADVERB:
        return before is not None and before.low in POSSESSIVE
    if after is not None and after.low in PART_BEHIND:
        return False  # "the back edge of the comb"
    if before is not None and (before.low in POSSESSIVE or before.low in BEFORE_BACK):
        return True
    if after is not None and (
        after.signs or after.grade or after.low in COPULAS or after.low in (":", "-", "and") or after.side
    ):
        return True
    return before is None or before.kind in ("punct", "newline") or bool(before.signs or before.region)


def _plain_good(units: list[Unit], i: int, before: Unit | None, after: Unit | None) -> None:
    """A plain good word counts when something is called good, not when the speaker says "okay" to go on."""
    unit = units[i]
    if before is None or unit.gap or before.hard:
        attributive = after is not None and (after.region or after.side) and unit.low not in OKAY
        if not (
            attributive
            or (before is not None and before.hard and after is not None and after.hard and unit.low not in OPENERS)
        ):
            unit.signs = ()
        return
    discourse = unit.low in OKAY
    if (
        before.region
        or before.side
        or before.low in COPULAS
        or before.low in GOOD_BEFORE
        or (before.grade and not discourse)
    ):
        if before.low == "right" and not before.side:
            unit.signs = ()
        return
    if before.kind in ("punct", "number") or before.cues or before.signs:
        if unit.low in OKAY and (before.signs or before.low == ","):
            unit.signs = ()
        return
    if after is not None and (after.region or after.side):
        if unit.low in OKAY:
            unit.signs = ()
        return
    if unit.low in OKAY:
        far = units[max(0, i - 4) : i]
        if not any(u.region or u.low in COPULAS for u in far) or any(u.signs for u in far):
            unit.signs = ()
