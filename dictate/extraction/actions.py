"""What was done or is planned, with its delay or length in days.

An action takes its object with it ("trimmed the beak"), so that the beak is not examined by it. What is
only advised, hangs on a condition, was left undone or stopped gives none.
"""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.action_kinds import ActionKinds
from dictate.extraction.deed import FoundAction
from dictate.extraction.delays import MAY_SAY_AGAIN, DelayReader, says_again
from dictate.extraction.groups import of_all, subject, subjects
from dictate.extraction.not_done import is_not_done
from dictate.extraction.objects import object_end
from dictate.extraction.units import Unit
from dictate.model import Action, Penalty
from dictate.vocabulary import Vocabulary

__all__ = ["ActionFinder", "FoundAction"]

CARE = frozenset("clean dress treat".split())  # done together, at the same times


class ActionFinder:
    """Finds actions with the lexicon's verbs and delays."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.delays = DelayReader(vocabulary.delays)
        self.kinds = ActionKinds(vocabulary.actions, self.delays)

    def find(self, units: list[Unit], text: str) -> list[FoundAction]:
        """All actions, in the order of the text; marks the units they take."""
        out: list[FoundAction] = []
        advised = -9  # the end of the last action that was only advised or left undone
        i = 0
        while i < len(units):
            unit = units[i]
            too = self.kinds.and_too(units, i, out)
            if not too and (
                unit.used
                or unit.muted
                or not (unit.action or (unit.low in MAY_SAY_AGAIN and says_again(units, i)))
                or _is_subject(units, i)
            ):
                i += 1
                continue
            kind, rule, stop = too or self.kinds.kind(units, i, out)
            if not kind:
                i += 1
                continue
            end, birds = object_end(units, stop)
            if birds[:1] == [stop] and subject(units, i):
                end, birds = stop, []  # "six in the crate, eight to the vet"
            birds = [k for k in range(i, stop) if units[k].used == "bird" and units[k - 1].used != "bird"] + birds
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
                and rule != "again"
                and {kind, out[-1].action.kind} <= CARE
                and out[-1].action.in_days is None
                and ([u.low for u in units[out[-1].end : i]] in (["and"], ["&"]))
                and out[-1].end - out[-1].at == 1
            ):
                out[-1] = replace(out[-1], action=replace(out[-1].action, in_days=days))
            if kind == "recheck" and out and out[-1].action.kind == "vet" and self._vets_look(units, out[-1].end, i):
                last = out[-1]
                days = last.action.in_days if last.action.in_days is not None else days
                out[-1] = replace(last, end=end, action=replace(last.action, in_days=days))
                i = max(end, i + 1)
                continue
            if rule == "again":
                birds = birds or out[-1].birds
            birds = birds or subjects(units, i)
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
                    self._joint(units, i, end, rule, out),
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

    @staticmethod
    def _vets_look(units: list[Unit], end: int, i: int) -> bool:
        """"the vet's coming to see her on Friday": seeing her is what the vet is called for."""
        between = [u.low for u in units[end:i]]
        return len(between) <= 4 and (not between or between[-1] in ("to", "for", "a", "out to", "having", "have"))

    @staticmethod
    def _joint(units: list[Unit], i: int, end: int, rule: str, out: list[FoundAction]) -> int:
        """Of how many birds together the action at i..end is said; what is joined to such a one is too."""
        last = out[-1].joint if out else 0
        if rule == "again" and last:
            return last
        together = of_all(units, i, end)
        joined = bool(last) and [u.low for u in units[out[-1].end : i]] in (["and"], ["&"], [","])
        return together or (last if joined else 0)

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

    def _same(self, units: list[Unit], last: FoundAction, new: FoundAction) -> bool:
        kind, days = new.action.kind, new.action.in_days
        if new.action.rule == "too":
            return False
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


def _is_subject(units: list[Unit], i: int) -> bool:
    """A region of which something is said ("the saddle is bare") is no action."""
    if not units[i].region or i + 2 >= len(units):
        return False
    return bool(units[i + 1].signs) or (units[i + 1].low in ("'s", "is") and bool(units[i + 2].signs))


def _dated(units: list[Unit], i: int, stop: int) -> bool:
    """"wormed 12/7": a day and a month after something done, not a length of time."""
    k = stop - 1
    if not units[i].low.endswith("ed") or k < 2 or not (units[k].low.startswith("/") or units[k - 1].low == "/"):
        return False
    k -= units[k - 1].low == "/"
    number = units[k - 1].number
    return number is not None and number.value <= 31 and units[k - 2].low not in ("x", "for", "×", "-", ",")
