"""Is something done or planned at one place: by which words, as what kind of action, up to where?"""

from __future__ import annotations

from collections.abc import Mapping

from dictate.extraction.deed import FoundAction
from dictate.extraction.delays import DelayReader, says_again
from dictate.extraction.units import Unit, unit_at
from dictate.vocabulary.entries import Action as ActionEntry

__all__ = ["ActionKinds"]

PLAN = frozenset(
    "i'll 'll to gonna will i need needs should must please and then so let's i've 've we , - & + she's he's "
    "want wants just them it be get going also or have has 'm i'm for with : plan gets got we've we'll".split()
)
SPEECH = frozenset(
    "said says told gave reckons reckoned thinks thought was had 's has came is who prescribed recommended "
    "and or didn't wasn't hasn't does did".split()
)
FROM = frozenset(
    "from, by, like, as, once, if, what, when, is that, that, the, a, my, our, at, or, who's, no, until, "
    "till, said".split(", ")
)
AGAIN_BEHIND = frozenset("in every a one her him it q".split())  # stand before a delay
VET_SUBJECT = frozenset("can will to 'll coming visiting".split())  # "the vet can", "the vet is coming"
CALLED = frozenset("rung rang ring call called phoned phone ringing".split())
BEFORE_STATE = frozenset("the that it up her his out with them off".split())
NOT = frozenset("not n't no don't never isn't aren't".split())
TOO = frozenset("him her them".split())


class ActionKinds:
    """Tells the kind of an action with the lexicon's verbs."""

    def __init__(self, actions: Mapping[str, ActionEntry], delays: DelayReader) -> None:
        self.delays = delays
        self.refused = {entry.id: frozenset(entry.refused) for entry in actions.values()}
        self.near = {entry.id: frozenset(word.lower() for word in entry.near) for entry in actions.values()}

    def kind(self, units: list[Unit], i: int, out: list[FoundAction]) -> tuple[str, str, int]:
        unit = units[i]
        again = self._repeat(units, i, out)
        if again:
            return again
        for meaning in unit.action:
            if meaning.form == "parts":
                stop = self._parts(units, i, meaning.id)
                if stop:
                    return meaning.id, "parts", stop
            elif (_is_predicate(units, i) and not _given(units, i)) or (unit.region and i and units[i - 1].low == "in"):
                continue
            elif meaning.form != "weak":
                return meaning.id, f"action:{meaning.id}", i + 1
            elif meaning.id == "recheck":
                stop = self._look_again(units, i) or (i + 1 if self.delays.before(units, i) is not None else 0)
                if stop and _planned(units, i, loose=True):
                    return "recheck", "look again", stop
            elif meaning.id == "vet":
                if self._is_vet(units, i):
                    return "vet", "the vet", i + 1
            elif _planned(units, i) and not _leads_to_action(units, i) and not self._only_time(units, i):
                return meaning.id, "plan", i + 1
        return "", "", i + 1

    def _only_time(self, units: list[Unit], i: int) -> bool:
        """"I'll give her a month": nothing is given but time."""
        k = i + 1 + (i + 1 < len(units) and units[i + 1].low in ("a", "another"))
        return k < len(units) and units[i].low.startswith("give ") and self.delays.length(units, k) is not None

    def _parts(self, units: list[Unit], i: int, kind: str) -> int:
        """"eggs … held back": the thing and what is done with it in one clause; the end of it, or 0."""
        near = self.near[kind]
        if self.refused[kind]:
            stop = self._refused(units, i, self.refused[kind])
            if stop:
                return stop
        before = unit_at(units, i - 1)
        ahead = units[i + 1 : i + 8]
        for k, u in enumerate(ahead):
            if u.hard or u.used:
                break
            if u.low in near or u.low.split(" ")[0] in near:
                return i + 2 + k
            if (
                before is not None
                and (before.low in ("no", "not") or before.low.split(" ")[0] in near)
                and (u.low in ("for", "until") and i + 2 + k < len(units) and self.delays.length(units, i + 2 + k))
            ):
                return i + 1 + k
        for u in reversed(units[max(0, i - 4) : i]):
            if u.hard or u.used:
                break
            if u.low in near or any(word in near for word in u.low.split()):
                return i + 1
        return 0

    @staticmethod
    def _refused(units: list[Unit], i: int, refused: frozenset[str]) -> int:
        """"not selling her eggs", "eggs not to be eaten": the thing, "not" and what is not done with it."""
        first = last = i
        while first and i - first < 5 and not units[first - 1].hard and not units[first - 1].used:
            first -= 1
        while last + 1 < len(units) and last - i < 5 and not units[last + 1].hard and not units[last + 1].used:
            last += 1
        clause = range(first, last + 1)
        done = next((k for k in clause if set(units[k].low.split()) & refused), -1)
        if done < 0 or not any(w in NOT or w.endswith("n't") for k in clause if k < done for w in units[k].low.split()):
            return 0
        return max(i, done) + 1

    def _repeat(self, units: list[Unit], i: int, out: list[FoundAction]) -> tuple[str, str, int] | None:
        """"… and again in ten days", "repeat in 14d", "do it again in a week": the last action once more."""
        if not out or not says_again(units, i):
            return None
        last = out[-1]
        between = units[last.end : i]
        if len(between) > 8 or last.action.kind in ("recheck", "vet", "report"):
            return None
        if any(u.signs or (u.region and not u.used) or u.used == "bird" for u in between):
            return None
        stop = i + 1 + (units[i].low in ("another", "second", "next", "once"))  # another dose
        found = self.delays.after(units, stop, stop, 0) or self.delays.before(units, i)
        return (last.action.kind, "again", stop) if found is not None else None

    def and_too(self, units: list[Unit], i: int, out: list[FoundAction]) -> tuple[str, str, int] | None:
        """"see her in a week and him in a month", "… and 14 in ten days": the last action, of another bird."""
        last = out[-1] if out else None
        if last is None or last.action.in_days is None or not last.end < i <= last.end + 3 or i + 1 >= len(units):
            return None
        if units[i - 1].low not in ("and", "&", ",") or not (units[i].used == "bird" or units[i].low in TOO):
            return None
        stop = i + 1
        while stop < len(units) and units[stop].used == "bird":
            stop += 1
        if not (stop < len(units) and (units[stop].low in ("in", "after", "not") or units[stop].delay)):
            return None
        return (last.action.kind, "too", stop) if self.delays.after(units, stop, stop, 0) is not None else None

    def _look_again(self, units: list[Unit], i: int) -> int:
        """"look at … again", "see 5d", "weigh her in a month": the end of it, or 0."""
        for k in range(i + 1, min(i + 7, len(units))):
            unit = units[k]
            if (
                unit.hard
                or unit.used
                or (unit.signs and units[k - 1].low.rpartition(" ")[2] not in ("that", "the", "this", "those"))
            ) and unit.used != "bird":
                break
            if unit.low in ("again", "again in", "once more", "next"):
                return k + 1
            if (
                k <= i + 4
                and (self.delays.length(units, k) or (0, 0))[0] is not None
                and (unit.number or units[k - 1].low in AGAIN_BEHIND or k == i + 1)
                and self.delays.length(units, k) is not None
            ):
                return i + 1
        return 0

    @staticmethod
    def _is_vet(units: list[Unit], i: int) -> bool:
        """The vet as someone to be called, not as someone who said something."""
        before = unit_at(units, i - 1)
        after = unit_at(units, i + 1)
        if after is not None and after.low == "'s" and i + 2 < len(units) and units[i + 2].low.endswith("ing"):
            return True
        if after is not None and (after.low in VET_SUBJECT or after.delay):
            return True
        if before is not None and before.low == "'s" and any(u.low in CALLED for u in units[max(0, i - 4) : i]):
            return True  # "I've rung Meg's vet"
        if after is not None and (after.low in SPEECH or after.low == "?"):
            return False
        if before is not None and before.low in FROM and not before.hard:
            return False
        return _planned(units, i) or (
            before is not None and (before.low in ("it's", "the", "that's for", "for", "to") or bool(before.delay))
        )


def _planned(units: list[Unit], i: int, loose: bool = False) -> bool:
    """Does a weak word stand where a plan or an order stands?"""
    before = unit_at(units, i - 1)
    after = unit_at(units, i + 1)
    if after is not None and after.signs and not after.action and after.kind != "plus" and not loose:
        return False
    if before is None or before.hard or before.low.endswith(".") or before.gap or units[i].gap:
        return True
    if before.used == "action" or _given(units, i):
        return True
    if before.low in PLAN or before.low.split(" ")[-1] in PLAN:
        return True
    if before.used == "bird" or (loose and before.low in ("a", "/", "–")):
        return True
    return loose and any(u.low in ("i", "we", "i'll", "'ll", "want") for u in units[max(0, i - 4) : i])


def _given(units: list[Unit], i: int) -> bool:
    """"gave it a spray", "gave her claws a trim", "wants her claws cutting": the deed as a thing given or wanted."""
    noun = units[i - 1].low in ("a", "a good", "a quick", "another", "good", "quick", "wee", "bit of")
    back = [u.low.partition(" ")[0] for u in units[max(0, i - 5) : i] if not u.hard]
    if units[i].low.endswith("ing"):
        return bool({"needs", "wants", "need", "want"} & set(back))
    return noun and bool({"gave", "give", "given", "giving", "gives", "having"} & set(back))


def _leads_to_action(units: list[Unit], i: int) -> bool:
    """"ring (the) vet …": the weak word belongs to the action after it."""
    k = i + 1 + (i + 1 < len(units) and units[i + 1].low in ("the", "a"))
    return k < len(units) and any(m.form != "weak" for m in units[k].action) and not units[i + 1].low.startswith("her")


def _is_predicate(units: list[Unit], i: int) -> bool:
    """clean, dry, ring: a predicate of a region ("vent clean") is no action."""
    unit = units[i]
    if not unit.signs or " " in unit.low or unit.low == "massage":
        return False
    after = unit_at(units, i + 1)
    if after is not None and after.low in BEFORE_STATE:
        return False
    if (
        after is not None
        and after.low in ("and", "&")
        and i + 2 < len(units)
        and units[i + 2].action
        and (i == 0 or units[i - 1].low in PLAN or units[i - 1].hard)
    ):
        return False
    return i > 0
