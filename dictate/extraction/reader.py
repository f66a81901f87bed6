"""Reads the units of one exam from left to right and gathers its findings.

State is small: the topic (regions last spoken of), the open cues (absence, doubt, past), the last
hits. Each sign asks the Placer where it belongs; each cue opens, closes or looks back. What mends what
was said before (corrections, ditto, "gone") is in mending.py.
"""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.cueing import Cueing
from dictate.extraction.english import ARTICLES, COPULAS, DETERMINERS, PREPOSITIONS, SUBJECTS
from dictate.extraction.hits import NORMAL, Ref
from dictate.extraction.signing import Signing
from dictate.extraction.state import Open, State
from dictate.extraction.topics import Topics
from dictate.extraction.units import Unit, unit_at
from dictate.model import Cue

__all__ = ["Reader"]

OF_PLACE = frozenset("both upper lower middle outer other".split())  # open a region without an article
BESIDE = frozenset("between under round around above below".split())
WHICH_ONE = frozenset("one two three ones them".split())


class Reader(Topics, Signing, Cueing):
    """Findings of one exam, with one vocabulary."""

    def read(self, units: list[Unit], start: int, end: int, past_tense: bool, state: State | None = None) -> State:
        """Go through units start..end; a given state (the same bird again) is taken up."""
        s = state or State(units)
        s.close()
        s.clause = start
        s.fresh = False
        i = start
        while i < end:
            unit = units[i]
            if unit.used:
                i = self._used(s, i)
            elif unit.muted:
                self._muted(s, unit, i)
                i += 1
            elif unit.hard:
                self._sentence(s, i)
                i += 1
            else:
                i = max(i + 1, self._unit(s, i, end, past_tense))
        return s

    def _used(self, s: State, i: int) -> int:
        unit = s.units[i]
        if unit.used == "action" and unit.signs and not unit.muted and s.topic_open:
            self.sign(s, i)  # "claws need trimming": what is to be done tells what is wrong
        if unit.used in ("bird", "action"):
            s.close()
            s.clause = i
            s.fresh = False
        elif unit.used == "measure":
            s.doubt = None
            s.end_absence()
            region = self.scored_region(unit)
            if region and not (s.topic and s.topic[-1].region == region):
                s.set_topic([Ref(region, at=i)], i + 1, fresh=False)
                s.said = 1
        return i + 1

    def _muted(self, s: State, unit: Unit, i: int) -> None:
        s.close()
        if unit.region:
            found = self.regions.read(s.units, i, muted=True)
            refs = found[0] if found else [Ref(unit.region, "", i)]
            if s.taught and i - s.taught[0].at <= 8:
                if i and s.units[i - 1].low in BESIDE:
                    return  # "the belly, between the legs"
                if refs[0].region == s.taught[0].region and not refs[0].side:
                    refs = s.taught
            s.taught = refs
            if unit.muted in ("teaching", "hypothetical", "question"):
                s.set_topic(list(refs), i + 1, fresh=False)
                s.said = 0
        if unit.signs and unit.muted in ("hypothetical", "teaching"):
            s.muted_sign = (unit, i)

    def _sentence(self, s: State, i: int) -> None:
        if s.units[i].low == "?" and s.hits and i + 2 < len(s.units) and s.units[i + 1].low in ("no", "nope", "nah"):
            after = s.units[i + 2]
            if after.hard or after.low in (",", "it's", "that's", "it", "that"):  # "Swollen? No, that's …"
                for hit in [h for h in s.hits if h.at >= s.clause and h.presence == "present"]:
                    s.hits.remove(hit)
        s.close()
        s.fresh = False
        s.clause = i + 1
        s.exception = False
        if s.units[i].kind == "newline":
            s.topic, s.said = [], 0
        if s.fix and i - s.fix[0] > 12:
            s.fix = None

    def _unit(self, s: State, i: int, end: int, past_tense: bool) -> int:
        unit = s.units[i]
        if unit.cues and (stop := self.cues(s, i, end, past_tense)):
            return stop
        if unit.number is not None and not unit.number.value:
            if self.mender.none_back(s, i, Cue("none-after", "absent", unit.span)):
                return i + 1
            if i + 1 < end and s.units[i + 1].signs:
                s.absent = Open(Cue("no", "absent", unit.span), i)
            return i + 1
        if unit.kind == "plus":
            if i and s.units[i - 1].low in ("was", "were"):
                return i + 1
            named = self.regions.read(s.units, i + 1) if i and s.units[i - 1].low in (",", "&", "and") else None
            if named is not None and s.hits and s.hits[-1].sign != NORMAL:
                return self.mender.graded_there(s, i, named[0], named[1], min(3, len(unit.low)))
            self.mender.grade_back(s, i, min(3, len(unit.low)))
            return i + 1
        if unit.grade:
            self.grade(s, i)
            return i + 1
        if unit.side == "neither" and i + 1 < end and s.units[i + 1].signs and not s.units[i + 1].region:
            s.absent = Open(Cue("neither", "absent", unit.span), i)
            return i + 1
        if unit.side or unit.region or unit.low in DETERMINERS or unit.low in OF_PLACE:
            moved = self.place(s, i)
            if moved:
                return moved
        if unit.low == "both" and len(s.topic) > 1 and s.fresh:
            return i + 1
        if unit.low in PREPOSITIONS and i + 1 < end:
            found = self.regions.read(s.units, i + 1, placed=True)
            if (
                found is not None
                and s.topic
                and s.fresh
                and s.topic[-1].region in self.regions.small
                and (
                    (
                        found[0][0].region in self.regions.whole
                        and found[0][0].side
                        and not self.placer.has_own_predicate(s.units, found[1])
                    )
                    or (
                        found[0][0].region in self.regions.whole
                        and i
                        and s.units[i - 1].low in WHICH_ONE
                        and s.topic
                        and s.topic[-1].region in self.regions.several
                    )
                )
            ):
                return self.take_topic(s, i, [replace(s.topic[-1], side=found[0][0].side)], found[1], fronted=True)
            if i < s.placed_end and found is not None:
                return found[1]
            if found is not None and self.is_detail(s, i, found[1]):
                return found[1]
            if found is not None and self.mender.more_there(s, i, found[0], found[1]):
                return found[1]
            if found is not None and not (found[0][0].weak and s.topic):
                return self.take_topic(s, i, found[0], found[1], fronted=True)
            side = self.side_only(s, i + 1) if unit.low != "to" else None
            if side:
                before = unit_at(s.units, i - 1)
                if (
                    s.paired is not None
                    and (before is None or before.hard or before.low in (",", "and", "but"))
                    and (side[1] < end and not s.units[side[1]].hard)
                ):
                    there = replace(s.paired, side=side[0], at=i, plural=False)
                    return self.take_topic(s, i, [there], side[1], fronted=True)
                if self.mender.more_at_side(s, i, *side):
                    return side[1]
                return self.mender.side_back(s, i, *side)
        if unit.low == "it" and s.muted_sign is not None and (stop := self.mender.has_it(s, i)):
            return stop
        if unit.signs:
            return self.sign(s, i)
        if unit.kind == "punct":
            self._comma(s, i)
        elif unit.low in SUBJECTS or unit.low.split(" ")[0] in ("there's", "she's", "he's"):
            self._subject(s, i)
        elif (
            s.absent is not None
            and not s.absent.signs
            and unit.low in COPULAS
            and i - s.absent.at >= 2
            and (
                s.absent.cue.rule == "not"
                and not any(u.low in ("true", "say", "that") for u in s.units[s.absent.at : i])
            )
        ):
            s.absent = None
        elif s.absent is not None and s.absent.signs and (unit.low in ARTICLES or unit.low in COPULAS):
            if s.units[i - 1].low not in ("or", "nor"):
                s.absent = None
        elif unit.low in ("and",) and s.absent is not None and s.absent.signs and not self.list_follows(s, i):
            s.absent = None
        return i + 1

    def _subject(self, s: State, i: int) -> None:
        """A new subject opens a new clause."""
        if s.absent is not None and (s.absent.signs or (s.absent.cue.rule != "no-belief" and i - s.absent.at >= 2)):
            s.absent = None
        s.end_doubt()
        s.end_past()
        s.clause = i

    def _comma(self, s: State, i: int) -> None:
        if s.units[i].low not in (",", "-", ":", "(", ")"):
            return
        if s.units[i].low in ("-", "("):
            s.end_absence()
            return
        if s.absent is not None and not self.list_follows(s, i) and (s.absent.signs or i - s.absent.at >= 2):
            s.absent = None
        s.end_doubt()
        if s.past is not None and s.past.signs and not self.list_follows(s, i):
            s.past = None
