"""In talk to listeners: is a clause about the bird at hand, or about any bird?

The talk is cut into clauses, and what they speak of is carried from one to the next: no bird yet, any bird ("a sick
hen …"), or the one at hand ("this one", a name). A clause without a subject of its own is about what the one before was
about; so is "she", which may be the hen at hand or one that was only thought of.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from dictate.extraction.english import COPULAS, DETERMINERS, PREPOSITIONS
from dictate.extraction.units import Unit, unit_at

__all__ = ["clauses", "lesson"]

OPENERS = frozenset(
    "if when so but now then okay because well look what who how why where while whereas although though unless "
    "she he they you i we there it this that these those hers mine here see next once until since and or people folk "
    "never always don't".split()
)
SUBJECT = frozenset("she he they you i we there it this that these hers if when her his the a an any some".split())
# before a word that would open a clause: it goes on
HOLDS = PREPOSITIONS | frozenset(
    "if when that because so but and or than as like is are was were n't not to with what how where who look "
    "let do does did can".split()
)
WEAK_OPENERS = frozenset("and or it that this these those there".split())
CLAUSE_MARKS = frozenset(", : ( ) -".split())
INDEFINITE = frozenset("a an any some your another most many every each one".split())
BEFORE_INDEFINITE = frozenset(
    "if when like does do would will can should and but so or now then say with because".split()
)
LISTENERS = frozenset("you your people they folk someone somebody anyone we".split())
WOULD = frozenset("'d 'll will would should can could might may must wo ca ought tend tends".split())
CONDITION = frozenset("if when unless whenever suppose supposing imagine whether".split())
AT_HAND = frozenset("her his hers this here she he mine these".split())
POINTERS = frozenset("hers mine here".split())
OWN = frozenset("i we hers mine this here".split())  # what opens so is not supposed
SPEAKER = frozenset("i we".split())
CATEGORIES = ("teaching", "hypothetical")


class Clause(NamedTuple):
    """Units start..end of a text."""

    start: int
    end: int


def clauses(units: list[Unit]) -> list[Clause]:
    """The text in clauses, in order, covering every unit."""
    out: list[Clause] = []
    start = 0
    for k in range(1, len(units)):
        if _opens(units, start, k):
            out.append(Clause(start, k))
            start = k
    if start < len(units):
        out.append(Clause(start, len(units)))
    return out


def _first(unit: Unit | None) -> str:
    """The first word of the unit without what is joined to it by an apostrophe."""
    return unit.low.partition(" ")[0].partition("'")[0] if unit is not None else ""


def _opens(units: list[Unit], start: int, k: int) -> bool:
    """Does unit k begin a clause, if the one before it began at `start`?"""
    unit, before = units[k], units[k - 1]
    if before.hard:
        return not unit.hard
    if unit.hard:
        return False
    first = _first(unit)
    if unit.used == "bird":
        return before.used != "bird" and before.low not in HOLDS
    if _points(units, k) and before.low not in HOLDS and k - start >= 2:
        return True
    if before.low in CLAUSE_MARKS:
        return k - start >= 3 and (first in OPENERS or first in SUBJECT)
    if k - start < 2 or before.low.split(" ")[-1] in HOLDS or before.low in SUBJECT or before.low in WOULD:
        return bool(unit.gap and k - start >= 3)
    if unit.gap:
        return True
    if first in ("and", "or"):
        return _first(unit_at(units, k + 1)) in SUBJECT
    if first in ("that", "which") and units[start].low in ("a", "an"):
        return False  # "a comb that goes blue"
    if first in WEAK_OPENERS:
        return bool(before.signs or before.region or before.low in ("on", "it"))
    if first in OPENERS:
        return True
    named = any(u.region for u in units[start : k - 1])
    return named and bool(before.signs) and (bool(unit.region) or first in DETERMINERS)


def _points(units: list[Unit], k: int) -> bool:
    """"this hen …", "in this one …": the talk comes back to the bird from unit k on."""
    at = k + (units[k].low in PREPOSITIONS and k + 1 < len(units))
    return any(cue.rule == "back-to-the-bird" for cue in units[at].cues) and _first(units[at]) in ("this", "our", "on")


@dataclass(slots=True)
class _Said:
    """What the words of one clause tell about its subject."""

    bird: bool = False
    points: bool = False
    strong: bool = False
    measured: bool = False
    modal: bool = False
    indefinite: bool = False
    listeners: bool = False
    condition: bool = False
    taught: bool = False
    hand: bool = False


def _said(units: list[Unit], part: Clause, birds: frozenset[str]) -> _Said:
    inside = units[part.start : part.end]
    out = _Said()
    speaker = False
    for n, unit in enumerate(inside):
        first = _first(unit)
        after = unit_at(units, part.start + n + 1)
        out.bird = out.bird or unit.used == "bird"
        out.measured = out.measured or unit.used == "measure"
        pointing = first != "that" and any(cue.rule == "back-to-the-bird" for cue in unit.cues)
        asked = after is not None and _first(unit_at(units, part.start + n + 2)) in ("how", "what", "why", "where")
        out.points = out.points or (first in POINTERS and not asked) or pointing
        out.strong = out.strong or pointing or first in ("hers", "mine")
        if first == "this" and after is not None:
            out.points = out.points or after.low in COPULAS or bool(after.region or after.birds or after.side)
        taught = any(cue.category in CATEGORIES and cue.rule != "reported" for cue in unit.cues)
        taught = taught and not (first == "if" and after is not None and after.low == "anything")
        out.taught = out.taught or (taught and not pointing)
        out.listeners = out.listeners or first in LISTENERS
        if first in CONDITION and n <= 2 and not (after is not None and after.low == "anything"):
            out.condition = True
        speaker = speaker or first in SPEAKER
        out.modal = out.modal or unit.low in WOULD
        mine = first in SPEAKER and after is not None and after.low in ("'ve", "'m")
        out.hand = out.hand or first in AT_HAND or mine
        out.indefinite = out.indefinite or any(cue.rule == "anothers-bird" for cue in unit.cues)
        if first in INDEFINITE:
            at = part.start + n
            before = units[at - 1] if at else None
            named = any(u.used == "bird" for u in units[max(0, at - 8) : at])
            led = n == 0 or before is None or before.kind == "punct" or bool(before.region)
            led = led or inside[n - 1].low in BEFORE_INDEFINITE
            if not named and (taught and first in ("a", "an", "any", "some", "most")):
                out.indefinite = True
            elif led and not named:
                out.indefinite = out.indefinite or _is_bird(units, at, birds) or _is_part(units, at)
    out.modal = out.modal and not (speaker or out.hand)
    return out


def _is_bird(units: list[Unit], i: int, birds: frozenset[str]) -> bool:
    """"a sick hen", "your old layers", "a poorly hen'll": from unit i, a bird within a few words."""
    if units[i].low.partition(" ")[2]:
        return any(cue.category == "teaching" for cue in units[i].cues)
    for unit in units[i + 1 : i + 5]:
        if unit.hard or unit.used or unit.low in COPULAS or unit.low in PREPOSITIONS:
            return False
        if any(meaning.id in birds for meaning in unit.birds):
            return True
    return False


def _is_part(units: list[Unit], i: int) -> bool:
    """"a comb that goes blue", "a clean vent means": any one's, if a verb of its own follows."""
    if units[i].low not in ("a", "an", "any"):
        return False
    for k in range(i + 1, min(i + 5, len(units) - 1)):
        if units[k].hard or units[k].used or units[k].low in COPULAS or units[k].low in PREPOSITIONS:
            return False
        if units[k].region:
            after = units[k + 1]
            return _first(after) in ("that", "which") or after.low in WOULD or after.is_cue("teaching")
    return False


def lesson(units: list[Unit], birds: frozenset[str], whole: bool) -> None:
    """Mark what is of any bird, and free what was marked and is of the one at hand.

    `birds`: ids of the words for a bird of any kind. `whole`: the whole text is talk to listeners, and begins with
    no bird at hand; else only what speaks of any bird is marked."""
    referent = "none" if whole else "hand"
    supposed = any_bird = False
    for part in clauses(units):
        said = _said(units, part, birds)
        opens = _first(units[part.start])
        own = referent == "hand" and opens in ("her", "his", "she", "he")
        generic = said.taught or said.condition or (whole and ((said.listeners and not own) or said.modal))
        if not whole and opens in ("her", "his"):
            referent = "hand"
        if said.indefinite and not (said.strong or said.bird):
            referent, any_bird = "any", True
        elif (said.bird or said.points) and not said.condition:
            referent, any_bird = "hand", said.taught and not (said.strong or said.bird)
        elif generic or (supposed and opens not in OWN) or (opens in ("that", "it") and any_bird):
            any_bird = True
        elif referent == "none":
            any_bird = not (said.hand or said.measured) or opens in ("what", "how", "who", "why", "where")
            referent = referent if any_bird else "hand"
        else:
            any_bird = referent == "any"
        supposed = (said.condition or (supposed and generic)) and not units[part.end - 1].hard
        _mark(units[part.start : part.end], any_bird)


def _mark(inside: list[Unit], any_bird: bool) -> None:
    aside = any(u.is_cue("aside") for u in inside)
    for unit in inside:
        if any_bird and not unit.muted and unit.used not in ("bird", "measure"):
            unit.muted, unit.mute_rule = "teaching", "of any bird"
        freed = unit.muted in CATEGORIES or (unit.muted == "aside" and not aside)
        if not any_bird and freed and unit.mute_rule != "reported":
            unit.muted = unit.mute_rule = ""
