"""What was done or is planned, with its delay or length in days.

An action takes its object with it ("trimmed the beak"), so that the beak is not examined by it. What is
only advised, hangs on a condition, was left undone or stopped gives none.
"""

from __future__ import annotations

from dataclasses import dataclass

from dictate.extraction.units import Unit
from dictate.model import Action, Penalty, Span
from dictate.vocabulary import Vocabulary

__all__ = ["ActionFinder", "FoundAction"]

PLAN = frozenset("i'll 'll to gonna will i need needs should must please and then so let's i've 've we , - & + she's he's want wants just them it be get going also or have has 'm i'm".split())
OBJECT = frozenset("hot clean dry the her his it them that those these both out up down off with in on to for of from some a an again warm salt water saline him my this its over into all each w / c . under little bit by hand at and well round around onto gently lightly taken sent two three drop drops cream powder oil left right spray dressing soap soapy vinegar more fresh cold mild c. w/ lots plenty every old new few".split())
DELAY_LINK = frozenset("in for x every another after over within about next again and then the a of at around × or : ( - rpt repeat on or say until".split())
PRONOUNS = frozenset(["it", "them", "him", "those", "these", "herself", "himself", "itself", "own"])
STEPS = 9


@dataclass(slots=True)
class FoundAction:
    """An action and the unit it stands at."""

    at: int
    end: int
    action: Action


class ActionFinder:
    """Finds actions with the lexicon's verbs and delays."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.delays = vocabulary.delays

    def find(self, units: list[Unit], text: str) -> list[FoundAction]:
        out: list[FoundAction] = []
        i, size = 0, len(units)
        while i < size:
            unit = units[i]
            if unit.used or unit.muted or (unit.region and i + 2 < size and (
                units[i + 1].signs or (units[i + 1].low in ("'s", "is") and units[i + 2].signs))):
                i += 1
                continue
            kind, rule, stop = self._kind(units, i, out)
            if not kind or self._undone(units, i, stop) or self._conditional(units, stop):
                i += 1
                continue
            end = self._object(units, stop, kind)
            days, delay_end, known = self._delay(units, i, stop, end)
            end = max(end, delay_end)
            last = out[-1] if out else None
            if last is not None and self._same(units, last, i, kind, days):
                merged = last.action
                span = merged.span.cover(units[end - 1].span)
                out[-1] = FoundAction(last.at, end, Action(
                    kind, merged.in_days if merged.in_days is not None else days, merged.detail, span,
                    span.quote(text), merged.rule, merged.penalties))
            else:
                span = unit.span.cover(units[end - 1].span)
                out.append(FoundAction(i, end, Action(
                    kind, days, _detail(units, i, end, text), span, span.quote(text), rule,
                    () if known or days is None else (Penalty("delay from context", 0.1),))))
            for u in units[i:end]:
                if u.used != "bird":
                    u.used = u.used or "action"
            i = max(end, i + 1)
        return out

    # -- is it an action?

    def _kind(self, units: list[Unit], i: int, out: list[FoundAction]) -> tuple[str, str, int]:
        unit = units[i]
        again = self._repeat(units, i, out)
        if again:
            return again
        for meaning in unit.action:
            if meaning.form == "weak":
                if meaning.id == "recheck":
                    stop = self._again(units, i)
                    if stop and self._planned(units, i, loose=True):
                        return "recheck", "look again", stop
                    continue
                if self._planned(units, i) and not self._is_predicate(units, i):
                    return meaning.id, "plan", i + 1
                continue
            if self._is_predicate(units, i):
                continue
            return meaning.id, f"action:{meaning.id}", i + 1
        return "", "", i + 1

    def _repeat(self, units: list[Unit], i: int, out: list[FoundAction]) -> tuple[str, str, int] | None:
        """"… and again in ten days", "repeat in 14d", "do it again in a week": the last action once more."""
        unit = units[i]
        if not out or unit.low not in ("again", "repeat", "rpt", "repeated", "repeating", "and repeat", "rept"):
            return None
        last = out[-1]
        if i - last.end > 7 or last.action.kind in ("recheck", "vet", "report"):
            return None
        if any(u.signs or (u.region and not u.used) for u in units[last.end : i]):
            return None
        days, end, _ = self._delay(units, i, i + 1, i + 1)
        if days is None:
            return None
        return last.action.kind, "again", i + 1

    @staticmethod
    def _again(units: list[Unit], i: int) -> int:
        """look at … again: the end of it, or 0."""
        for k in range(i + 1, min(i + 7, len(units))):
            unit = units[k]
            if unit.hard or unit.used or (unit.signs and unit.low not in ("swelling",)):
                return 0
            if unit.low in ("again", "again in", "once more"):
                return k + 1
        return 0

    @staticmethod
    def _planned(units: list[Unit], i: int, loose: bool = False) -> bool:
        before = units[i - 1] if i else None
        if before is None or before.hard or before.gap or units[i].gap or before.used in ("action",):
            return True
        if before.low in PLAN or before.low.split()[-1] in PLAN:
            return True
        return loose and any(u.low in ("i", "we", "i'll", "'ll", "want") for u in units[max(0, i - 4) : i])

    @staticmethod
    def _is_predicate(units: list[Unit], i: int) -> bool:
        """clean, dry, ring: a predicate of a region ("vent clean") is no action."""
        unit = units[i]
        if not unit.signs or unit.low in ("massage",):
            return False
        before = units[i - 1] if i else None
        after = units[i + 1] if i + 1 < len(units) else None
        if after is not None and after.low in ("the", "that", "it", "up", "her", "his", "out", "with", "them", "off"):
            return False
        return before is not None

    def _undone(self, units: list[Unit], i: int, stop: int) -> bool:
        back = units[max(0, i - 5) : i]
        for k in range(len(back) - 1, -1, -1):
            unit = back[k]
            if unit.hard or unit.used or (unit.low in ("but", "so", ",") and k < len(back) - 1):
                break
            if unit.is_cue("not-done") and not unit.is_cue("exception") and not (
                unit.low == "no" and k < len(back) - 3
            ):
                return not (unit.low in ("no", "not") and any(u.signs for u in back[k:]))
            if unit.signs or (unit.region and k < len(back) - 2):
                break
        ahead = units[stop : stop + 2]
        words = [u.low for u in ahead]
        return words[:2] == [":", "no"] or words[:1] in (["kit"], ["stopped"], ["finished"], ["?"]) or (
            bool(words) and words[0] in ("isn't", "wasn't") )

    @staticmethod
    def _conditional(units: list[Unit], stop: int) -> bool:
        for unit in units[stop : stop + 5]:
            if unit.hard or unit.used:
                return False
            if unit.is_cue("condition") or unit.low in ("if", "unless") or unit.low.startswith("if "):
                return True
            if unit.delay or unit.action or unit.signs or (unit.region and unit.low not in ("vet",)):
                return False
        return False

    def _same(self, units: list[Unit], last: FoundAction, i: int, kind: str, days: int | None) -> bool:
        if last.action.kind != kind:
            return False
        between = units[last.end : i]
        if units[i].low in ("again", "repeat", "rpt", "repeated", "rept") or units[i].low.endswith(" again"):
            return kind == "recheck" and i - last.end <= 4 and not any(u.hard for u in between)
        if any(u.hard for u in between) or len(between) > 6:
            return False
        if any(u.is_cue("correction") for u in between):
            return True
        if last.action.in_days is not None and days is not None and days != last.action.in_days:
            return False
        if kind in ("treat", "clean", "trim", "dress", "other") and any(u.low in ("and", ",", "then", "&") for u in between):
            return kind == "treat" and not any(u.low in (",", "then") for u in between) and len(between) <= 2 and \
                "again" not in units[i].low and not units[i].low.endswith("ed")
        return True

    # -- how far it goes

    def _object(self, units: list[Unit], at: int, kind: str) -> int:
        """The end of the words that belong to the action."""
        k, size = at, len(units)
        end = at
        named = False
        while k < size and k < at + STEPS:
            unit = units[k]
            if unit.hard or unit.kind == "newline" or unit.used == "bird" or unit.used == "measure":
                break
            if unit.region or unit.side:
                linked = k == at or units[k - 1].low in OBJECT or units[k - 1].side or units[k - 1].used == "action"
                if (named and units[k - 1].low not in ("and", "the", "her", "his", "on", "of", "both", "from", "under", "&", "to")) or not linked:
                    break
                follower = units[k + 1] if k + 1 < size else None
                if k > at and units[k - 1].low == "and" and follower is not None and (follower.signs or follower.side):
                    break
                if k == at and follower is not None and (follower.signs or follower.low in ("is", "'s", "are", "has")):
                    break
                if unit.region:
                    named = True
                end = k + 1
            elif unit.signs and unit.low not in ("warm", "hot", "clean", "dry"):
                if units[k - 1].low.split()[-1] in ("for", "that", "the", "of", "against") and (
                        k > at or units[k - 1].low.endswith(" the")):
                    end = k + 1
                    k += 1
                    continue
                break
            elif unit.action and unit.low not in ("drops", "powder", "saline in", "spray", "oil on"):
                break
            elif unit.low in OBJECT:
                if unit.low in ("and", "in", "on", "for", "with", "to", "at", ".", "/", "over", "under", "of", "from", "c", "w", "left"):
                    pass
                else:
                    end = k + 1
            elif unit.number or unit.delay or unit.cues or unit.measures or unit.grade or unit.low in (",", "-", "but", "she", "he", "she's", "he's", "there's", "weight", "there"):
                break
            elif unit.kind == "word":
                if (k > at and units[k - 1].low in ("with", "in", "on", "for", "to", "some", "of", "a", "the", "her", "his")) \
                        or k == at:
                    end = k + 1
                else:
                    break
            else:
                break
            k += 1
        return end

    def _delay(self, units: list[Unit], i: int, at: int, end: int) -> tuple[int | None, int, bool]:
        """Days from the words after the action, else before it; (days, end, said with the action)."""
        k, size = at, len(units)
        commas = 0
        while k < size and k < max(end, at) + 8:
            unit = units[k]
            if unit.hard and not (unit.low == "." and units[k - 1].span.end - units[k - 1].span.start <= 3 and k == at):
                break
            if unit.used == "bird" or (unit.action and k >= end and not unit.delay) or (unit.region and k >= end + 3):
                break
            if unit.low in (",", "-"):
                commas += 1
                if commas > 1:
                    break
            days = self._length(units, k)
            if days is not None:
                value, stop = days
                if value is not None or units[k].delay:
                    return value, stop, True
            if k >= end and unit.signs and not unit.used:
                break
            k += 1
        back = i - 1
        while back >= max(0, i - 5):
            unit = units[back]
            if unit.hard or unit.used in ("bird", "measure", "action") or unit.region or unit.signs:
                break
            if unit.low in ("in", "for", "another", "after", "every", "x"):
                days = self._length(units, back + 1)
                if days is not None and days[0] is not None:
                    return days[0], at, False
            if unit.delay and self.delays[unit.delay].whole and not self.delays[unit.delay].unknown:
                return int(self.delays[unit.delay].days), at, False
            if unit.number and back + 1 < i and units[back + 1].delay:
                days = self._length(units, back)
                if days is not None and days[0] is not None:
                    return days[0], at, False
            back -= 1
        return None, at, True

    def _length(self, units: list[Unit], k: int) -> tuple[int | None, int] | None:
        """A length of time at unit k: (days or None if it is not counted, end)."""
        unit = units[k]
        if unit.delay:
            delay = self.delays[unit.delay]
            if delay.whole:
                return (None if delay.unknown else int(delay.days)), k + 1
            before = units[k - 1].low if k else ""
            if before in ("a", "one", "another", "next", "1", "each", "every", "per") and delay.days:
                if before in ("per", "each") or (before == "a" and k > 1 and (
                    units[k - 2].low in ("twice", "times", "once") or units[k - 2].number
                )):
                    return None
                return int(delay.days), k + 1
            if delay.id == "fortnight":
                return 14, k + 1
            return None
        number = unit.number
        if number is None:
            return None
        value, stop = number.value, k + 1
        if stop + 1 < len(units) and units[stop].low in ("to", "or", "-") and units[stop + 1].number:
            other = units[stop + 1].number
            if other:
                value, stop = (value + other.value) / 2, stop + 2
        if stop < len(units) and units[stop].low in ("more", "full", "clear", "whole", "good", "-"):
            stop += 1
        if stop < len(units) and units[stop].low == "/" and stop + 1 < len(units) and units[stop + 1].low in ("52", "7", "12"):
            return int(value * {"52": 7, "7": 1, "12": 30}[units[stop + 1].low]), stop + 2
        if stop < len(units) and units[stop].delay and not self.delays[units[stop].delay].whole:
            after = units[stop + 1].low if stop + 1 < len(units) else ""
            if after in ("old", "ago", "of age"):
                return None
            return round(value * self.delays[units[stop].delay].days), stop + 1
        return None


def _detail(units: list[Unit], i: int, end: int, text: str) -> str | None:
    words = text[units[i].span.start : units[end - 1].span.end].strip()
    return words or None


def span_of(units: list[Unit], start: int, end: int) -> Span:
    """The characters of units start..end."""
    return units[start].span.cover(units[end - 1].span)
