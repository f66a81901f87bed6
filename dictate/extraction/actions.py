"""What was done or is planned, with its delay or length in days.

An action takes its object with it ("trimmed the beak"), so that the beak is not examined by it. What is
only advised, hangs on a condition, was left undone or stopped gives none.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from dictate.extraction.delays import MAY_SAY_AGAIN, DelayReader, says_again
from dictate.extraction.groups import of_all
from dictate.extraction.not_done import is_not_done
from dictate.extraction.objects import object_end
from dictate.extraction.units import Unit, unit_at
from dictate.model import Action, Penalty
from dictate.vocabulary import Vocabulary

__all__ = ["ActionFinder", "FoundAction"]

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
CARE = frozenset("clean dress treat".split())  # done together, at the same times
AGAIN_BEHIND = frozenset("in every a one her him it q".split())  # stand before a delay
VET_SUBJECT = frozenset("can will to 'll coming visiting".split())  # "the vet can", "the vet is coming"
CALLED = frozenset("rung rang ring call called phoned phone ringing".split())
BEFORE_STATE = frozenset("the that it up her his out with them off".split())


@dataclass(slots=True)
class FoundAction:
    """An action, the units it takes, and the places of the birds named as its object ("dust Clover")."""

    at: int
    end: int
    action: Action
    birds: list[int] = field(default_factory=list)
    joint: bool = False  # said of several birds together ("both soaked")


class ActionFinder:
    """Finds actions with the lexicon's verbs and delays."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.delays = DelayReader(vocabulary.delays)
        self.near = {entry.id: frozenset(word.lower() for word in entry.near) for entry in vocabulary.actions.values()}

    def find(self, units: list[Unit], text: str) -> list[FoundAction]:
        """All actions, in the order of the text; marks the units they take."""
        out: list[FoundAction] = []
        advised = -9  # the end of the last action that was only advised or left undone
        i = 0
        while i < len(units):
            unit = units[i]
            if (
                unit.used
                or unit.muted
                or not (unit.action or (unit.low in MAY_SAY_AGAIN and says_again(units, i)))
                or _is_subject(units, i)
            ):
                i += 1
                continue
            kind, rule, stop = self._kind(units, i, out)
            if not kind:
                i += 1
                continue
            end, birds = object_end(units, stop)
            if is_not_done(units, i, end, kind, rule, advised):
                advised = end
                unit.notes.append("advised, left undone or on a condition")
                for u in units[i:end]:
                    u.used = u.used or "undone"
                i = end
                continue
            days, delay_end, known = self._delay(units, i, stop, end, len(birds))
            end = max(end, delay_end)
            if (
                days is not None
                and out
                and {kind, out[-1].action.kind} <= CARE
                and out[-1].action.in_days is None
                and ([u.low for u in units[out[-1].end : i]] in (["and"], ["&"]))
                and out[-1].end - out[-1].at == 1
            ):
                out[-1] = replace(out[-1], action=replace(out[-1].action, in_days=days))
            if rule == "again":
                birds = birds or out[-1].birds
            self._put(
                units,
                out,
                FoundAction(
                    i,
                    end,
                    Action(
                        kind,
                        days,
                        None,
                        unit.span,
                        "",
                        rule,
                        () if known or days is None else (Penalty("delay from context", 0.1),),
                    ),
                    birds,
                    (rule == "again" and out[-1].joint)
                    or of_all(units, i, end)
                    or bool(
                        out and out[-1].joint and [u.low for u in units[out[-1].end : i]] in (["and"], ["&"], [","])
                    ),
                ),
                text,
            )
            second = self.delays.once_more(units, end) if kind in CARE else None
            if second is not None:
                first, end = out[-1], second[1]
                out.append(replace(first, end=end, action=replace(first.action, in_days=second[0], rule="again")))
            for u in units[i:end]:
                u.used = u.used or "action"
            i = max(end, i + 1)
        return out

    def _put(self, units: list[Unit], out: list[FoundAction], new: FoundAction, text: str) -> None:
        """Add the action, or join it to the last one where both are one."""
        last = out[-1] if out else None
        action = new.action
        span = units[new.at].span.cover(units[new.end - 1].span)
        if last is not None and self._same(units, last, new):
            span = last.action.span.cover(span)
            days = last.action.in_days if last.action.in_days is not None else action.in_days
            out[-1] = FoundAction(
                last.at,
                new.end,
                Action(
                    action.kind,
                    days,
                    last.action.detail,
                    span,
                    span.quote(text),
                    last.action.rule,
                    last.action.penalties,
                ),
                last.birds + new.birds,
                last.joint,
            )
            return
        detail = text[span.start : span.end].strip() or None
        out.append(
            FoundAction(
                new.at,
                new.end,
                Action(action.kind, action.in_days, detail, span, span.quote(text), action.rule, action.penalties),
                new.birds,
                new.joint,
            )
        )

    # -- is it an action?

    def _kind(self, units: list[Unit], i: int, out: list[FoundAction]) -> tuple[str, str, int]:
        unit = units[i]
        again = self._repeat(units, i, out)
        if again:
            return again
        for meaning in unit.action:
            if meaning.form == "parts":
                stop = self._parts(units, i, meaning.id)
                if stop:
                    return meaning.id, "parts", stop
            elif _is_predicate(units, i) or (unit.region and i and units[i - 1].low == "in"):
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
            elif _planned(units, i) and not _leads_to_action(units, i):
                return meaning.id, "plan", i + 1
        return "", "", i + 1

    def _parts(self, units: list[Unit], i: int, kind: str) -> int:
        """"eggs … held back": the thing and what is done with it in one clause; the end of it, or 0."""
        near = self.near[kind]
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
        found = self.delays.after(units, i + 1, i + 1, 0)
        return (last.action.kind, "again", i + 1) if found is not None else None

    def _look_again(self, units: list[Unit], i: int) -> int:
        """"look at … again", "see 5d", "weigh her in a month": the end of it, or 0."""
        for k in range(i + 1, min(i + 7, len(units))):
            unit = units[k]
            if (
                unit.hard
                or unit.used
                or (unit.signs and units[k - 1].low.rpartition(" ")[2] not in ("that", "the", "this", "those"))
            ):
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
        if after is not None and after.low in VET_SUBJECT:
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

    def _same(self, units: list[Unit], last: FoundAction, new: FoundAction) -> bool:
        kind, days = new.action.kind, new.action.in_days
        if last.action.kind != kind or (new.birds and new.birds != last.birds):
            return False
        between = units[last.end : new.at]
        low = units[new.at].low
        if says_again(units, new.at) or low.endswith(" again"):
            return kind == "recheck" and len(between) <= 4 and not any(u.hard for u in between)
        if any(u.used == "bird" for u in between):
            return False
        if units[last.at].low.partition(" ")[0].rstrip("s") in ("need", "want") and len(between) <= 40:
            return True  # "needs cutting, so I cut it"
        if any(u.hard for u in between) or len(between) > 6:
            return False
        if any(u.is_cue("correction") for u in between):
            return True
        if last.action.in_days is not None and days is not None and days != last.action.in_days:
            return False
        if (
            days is not None
            and last.action.in_days is None
            and (units[last.at].low.endswith("ed") and not low.endswith("ed"))
        ):
            return False
        joined = any(u.low in ("and", ",", "then", "&") for u in between)
        if kind in ("treat", "clean", "trim", "dress", "other") and joined:
            close = not any(u.low in (",", "then") for u in between) and len(between) <= 2
            return kind in ("treat", "other") and close and not low.endswith("ed")
        return True

    def _delay(self, units: list[Unit], i: int, stop: int, end: int, birds: int) -> tuple[int | None, int, bool]:
        """Days from the words after the action, else before it: (days, end, said with the action)."""
        within, days = self.delays.inside(units[i].low)
        if within:
            return days, stop, True
        found = self.delays.after(units, stop, end, birds)
        if found is not None:
            if _dated(units, i, found[1]):
                return None, end, True
            return found[0], found[1], True
        before = self.delays.before(units, i)
        return (before, stop, False) if before is not None else (None, stop, True)


def _planned(units: list[Unit], i: int, loose: bool = False) -> bool:
    """Does a weak word stand where a plan or an order stands?"""
    before = unit_at(units, i - 1)
    after = unit_at(units, i + 1)
    if after is not None and after.signs and not after.action and not loose:
        return False
    if before is None or before.hard or before.low.endswith(".") or before.gap or units[i].gap:
        return True
    if before.used == "action":
        return True
    if before.low in PLAN or before.low.split(" ")[-1] in PLAN:
        return True
    if before.used == "bird" or (loose and before.low in ("a", "/", "–")):
        return True
    return loose and any(u.low in ("i", "we", "i'll", "'ll", "want") for u in units[max(0, i - 4) : i])


def _leads_to_action(units: list[Unit], i: int) -> bool:
    """"ring (the) vet …": the weak word belongs to the action after it."""
    k = i + 1 + (i + 1 < len(units) and units[i + 1].low in ("the", "a"))
    return k < len(units) and any(m.form != "weak" for m in units[k].action) and not units[i + 1].low.startswith("her")


def _is_subject(units: list[Unit], i: int) -> bool:
    """A region of which something is said ("the saddle is bare") is no action."""
    if not units[i].region or i + 2 >= len(units):
        return False
    return bool(units[i + 1].signs) or (units[i + 1].low in ("'s", "is") and bool(units[i + 2].signs))


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


def _dated(units: list[Unit], i: int, stop: int) -> bool:
    """"wormed 12/7": a day and a month after something done, not a length of time."""
    k = stop - 1
    if not units[i].low.endswith("ed") or k < 2 or not (units[k].low.startswith("/") or units[k - 1].low == "/"):
        return False
    k -= units[k - 1].low == "/"
    number = units[k - 1].number
    return number is not None and number.value <= 31 and units[k - 2].low not in ("x", "for", "×", "-", ",")
