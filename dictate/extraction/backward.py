"""Words that look back at the sign before them: nil, gone, last spring, I think, grades and sides."""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.english import DETERMINERS, PREPOSITIONS
from dictate.extraction.hits import NORMAL, SKIN, Hit
from dictate.extraction.mending import Base
from dictate.extraction.regions import opposite
from dictate.extraction.state import Open, State
from dictate.extraction.units import unit_at
from dictate.model import Cue

__all__ = ["Backward"]
NONE = frozenset("none, nothing, nil, not a one, none at all".split(", "))  # said behind a topic
NONE_AT = frozenset("none, nothing, not a one, nil, not one, none at all, no".split(", "))  # said before a place
TURNED_AWAY = frozenset("blue a in off down over".split())  # after gone: "gone blue", "gone down"
SINCE_SAID = frozenset("that they it 've all now it's they've since".split())
AFTER_STILL = frozenset("is there has , got are does do have".split())
NO_TIME_BEFORE = frozenset("since than from until till as like".split())
# past only beside another word of the past
WEAK_PAST = frozenset("before, previously, yesterday, last night, prev".split(", "))
HAD_OF_OTHERS = frozenset("i we i've just 's has have 've".split())  # "I had", "has had": no past of the bird
# "maybe just", "I think because"
CAUSE_FOLLOWS = frozenset("just, only, because, from, the cold, time, we".split(", "))
GRADE_ENDS = frozenset(", and ) then so but".split())
MORE_OF = frozenset("worse more mostly mainly especially bigger".split())


class Backward(Base):
    """Words that look back at the sign before them: nil, gone, last spring, I think, grades and sides."""

    def none_back(self, s: State, i: int, cue: Cue) -> bool:
        """"mites nil"; "none under the right": the last sign is absent, here or at the place named."""
        units = s.units
        if units[i].low == "no" and not (i and units[i - 1].low in (":", "-")):
            return False
        if units[i].low == "-":  # a dash denies only what it follows at once, before a comma or an end
            after = unit_at(units, i + 1)
            if not s.hits or s.hits[-1].at != i - 1 or not (after is None or after.hard or after.low in (",", ")")):
                return False
        if not s.hits:
            return False
        last = s.hits[-1]
        if (
            s.topic_open
            and s.topic[0].at > last.at
            and i - s.topic_end <= 2
            and last.sign != NORMAL
            and units[i].low in NONE
        ):
            for ref in s.topic:  # "under the right, none"
                s.hits.append(
                    last.copy(
                        replace(ref, at=i),
                        at=i,
                        end=i + 1,
                        rule="none there",
                        presence="absent",
                        when="now",
                        grade=0,
                        cues=[cue],
                    )
                )
            s.said = 1
            return True
        if i + 1 < len(units) and units[i + 1].signs and s.fresh and s.said == 0 and i - s.topic_end <= 2:
            s.absent = Open(cue, i)  # "wing feathers: none broken"
            return True
        j = i + 1
        if j + 1 < len(units) and units[j].low in PREPOSITIONS:
            found = self.regions.read(units, j + 1)
            refs, stop = found if found is not None else ([], 0)
            if not refs:
                k = j + 1
                while k < len(units) and units[k].low in DETERMINERS:
                    k += 1
                if k < len(units) and units[k].side and s.paired is not None:
                    refs = [
                        replace(s.paired, side=units[k].side if units[k].side in ("left", "right") else "both", at=k)
                    ]
                    stop = k + 1
            if refs and units[i].low in NONE_AT:
                s.hits.append(
                    last.copy(
                        refs[-1], at=i, end=stop, rule="none there", presence="absent", when="now", grade=0, cues=[cue]
                    )
                )
                s.topic, s.topic_end, s.fresh, s.said = refs, stop, False, 1
                for unit in units[i + 1 : stop]:
                    unit.used = unit.used or "place"
                return True
        if i - last.at > 5 or last.sign == "normal":
            return False
        if any(u.hard for u in units[last.at + 1 : i]) and not (i + 1 < len(units) and units[i + 1].is_cue("now")):
            return False
        if units[i].low in ("x", "0", "-ve", "neg") and last.presence == "absent":
            return True
        after = unit_at(units, i + 1)
        if (units[i].low in ("none", "nil") and last.when == "past") or (
            last.when == "past" and after is not None and after.is_cue("now")
        ):
            s.hits.append(last.copy(last.ref, at=i, presence="absent", when="now", grade=0, cues=[cue]))
            return True
        if units[i].low == "x" and after is not None and after.number:
            return False
        for hit in s.last_group:
            if s.absent is not None and hit.presence == "absent":
                continue
            hit.presence, hit.grade = "absent", 0
            hit.cues.append(cue)
            if hit.sign in self.placer.parasites and hit.rule == "region carried":
                hit.moved(region=SKIN, side="")
        return True

    def gone(self, s: State, i: int, cue: Cue) -> int:
        """"the lump has gone": past. Under a denial ("hasn't gone") it is there still."""
        if s.absent is not None and i - s.absent.at <= 4:
            s.absent = None
            self.still(s, i)
            return i + 1
        if not s.hits:
            return 0
        last = s.hits[-1]
        unit = s.units[i]
        if (
            i - last.at > 12
            or last.sign == NORMAL
            or (
                any(u.hard for u in s.units[last.at + 1 : i])
                and not any(u.low in SINCE_SAID for u in s.units[max(0, i - 3) : i])
                and s.units[i - 1].kind != "punct"
            )
        ):
            return 0
        if unit.signs and i - last.at > 3:
            return 0
        after = unit_at(s.units, i + 1)
        if (
            unit.low in ("gone", "has gone", "have gone", "is gone")
            and after is not None
            and ((after.signs and not after.region) or after.grade or after.low in TURNED_AWAY)
        ):
            return 0
        if last.presence == "absent":
            return i + 1
        for hit in s.last_group:
            hit.when = "past"
            hit.cues.append(cue)
        return i + 1

    @staticmethod
    def still(s: State, i: int) -> None:
        """What was there and is there still is a finding of now."""
        s.past = None
        unit = s.units[i]
        if (
            unit.low == "still"
            and not (i + 1 >= len(s.units) or s.units[i + 1].hard or s.units[i + 1].low in AFTER_STILL)
            and not (i and s.units[i - 1].low in ("is", "it", "she"))
        ):
            return
        if not s.hits or s.hits[-1].when != "past" or i - s.hits[-1].at > 14:
            return
        if s.topic_open and s.topic[0].at > s.hits[-1].at and s.topic[-1] != s.hits[-1].ref:
            if s.topic[-1].region == s.hits[-1].ref.region and i - s.topic_end <= 2:
                # "the left has gone, the right's still got a little"
                s.hits.append(s.hits[-1].copy(s.topic[-1], at=i, end=i + 1, rule="still there", when="now"))
                s.said = 1
            return
        for hit in s.last_group:
            hit.when = "now"

    @staticmethod
    def any_more(s: State, i: int, cue: Cue) -> None:
        """"isn't swollen any more": it was, and now it is not."""
        if not s.hits or i - s.hits[-1].at > 4 or s.hits[-1].presence != "absent":
            return
        for hit in s.last_group:
            s.hits.append(hit.copy(hit.ref, rule="no more", presence="present", when="past", cues=[cue]))

    def past_back(self, s: State, i: int, cue: Cue, past_tense: bool) -> bool:
        """"… last spring", "… in March" behind a sign."""
        before = s.units[i - 1].low if i else ""
        if before in NO_TIME_BEFORE or not s.hits:
            return False
        last = s.hits[-1]
        if (
            i - last.at > 9
            or last.sign == NORMAL
            or last.presence == "absent"
            or any(u.hard or u.used for u in s.units[last.at + 1 : i])
        ):
            return False
        if (
            s.units[i].low in WEAK_PAST
            and last.when != "past"
            and not any(u.is_cue("past") or u.low in ("been", "was", "were") for u in s.units[max(0, last.at - 4) : i])
        ):
            return False
        for hit in s.last_group:
            hit.when = "past"
            hit.cues.append(cue)
        return True

    @staticmethod
    def is_past(s: State, i: int) -> bool:
        """had/was + sign is past, unless it is "has had a look" or "I had to hold her"."""
        units = s.units
        after = unit_at(units, i + 1)
        before = unit_at(units, i - 1)
        if after is None or after.hard or after.low in ("to", "a look", "him", "it"):
            return False
        if units[i].low.startswith("had") and before is not None and before.low in HAD_OF_OTHERS:
            return False
        reach = units[i + 1 : i + 7]
        for unit in reach:
            if unit.hard or unit.used or unit.low in ("she", "he", "it", ",", ")"):
                break
            if unit.signs:
                return unit.signs[0].id != NORMAL or units[i].low.startswith("had")
        return False

    def is_doubt_ahead(self, s: State, i: int) -> bool:
        """False if the doubt belongs to what stands before ("frost nipped I think, spurs neat")."""
        units = s.units
        after = unit_at(units, i + 1)
        unit = units[i]
        if any(cue.direction == "backward" for cue in unit.cues):
            if self._backward_doubt(s, i):
                return False
        if after is None or after.hard:
            return False
        return not (unit.low in ("i think", "might be", "maybe", "could be") and after.low in CAUSE_FOLLOWS)

    def _backward_doubt(self, s: State, i: int) -> bool:
        units = s.units
        before = unit_at(units, i - 1)
        after = unit_at(units, i + 1)
        close = bool(s.hits) and i - s.hits[-1].end <= 1 and s.hits[-1].at >= s.clause
        close = close or bool(
            before is not None and before.low in (",", "too", "there", "maybe") and s.hits and i - s.hits[-1].end <= 2
        )
        if not close:
            return False
        if units[i].low in ("?", "??") and before is not None:
            spaced = before.span.end < units[i].span.start
            joined = after is not None and after.span.start == units[i].span.end and after.kind == "word"
            return not (spaced and joined)
        if after is None or after.hard or after.gap or after.used or after.low in (",", "and", "but", ")", "no"):
            return True
        if units[i].gap:
            return False
        return (bool(after.region) and not after.signs) or (
            after.is_cue("absent") and before is not None and before.low == "too"
        )

    def doubt_back(self, s: State, i: int, cue: Cue) -> bool:
        """Doubt said behind a sign: "a lump, I think", "mites?"."""
        if (s.doubt is not None and s.doubt.at == i) or not self._backward_doubt(s, i):
            return False
        for hit in s.last_group:
            hit.certainty = "possible"
            hit.cues.append(cue)
        return True

    def grade_back(self, s: State, i: int, step: int) -> bool:
        """A grade behind its sign: "mites round the vent, heavy"."""
        if not s.hits:
            return False
        last = s.hits[-1]
        if s.topic_open and s.topic[0].at > last.at:
            named = [
                h
                for h in s.hits
                if any(
                    h.ref.region == r.region and (h.ref.side == r.side or not r.side or h.ref.side in ("both", ""))
                    for r in s.topic
                )
            ]
            if (
                not named
                and last.sign != NORMAL
                and last.presence == "present"
                and i - last.at <= 9
                and (
                    i + 1 >= len(s.units)
                    or s.units[i + 1].hard
                    or s.units[i + 1].low in GRADE_ENDS
                    or s.units[i + 1].gap
                    or s.units[i + 1].region
                    or s.units[i + 1].side
                )
            ):
                for ref in s.topic:  # "the comb's very pale, the wattles only a little"
                    s.hits.append(last.copy(ref, at=i, end=i + 1, rule="graded there", grade=step))
                s.fresh, s.said = False, 1
                return True
            if named and named[-1].sign != NORMAL and i - s.topic_end <= 6 and s.units[i].kind != "plus":
                topic = s.topic[-1]
                hit = named[-1]
                if hit.ref.side == "both" and topic.side in ("left", "right"):
                    self._split(s, hit, topic.side, step)
                else:
                    hit.grade = step if hit.presence == "present" else 0
                return True
            return False
        if last.sign == NORMAL or last.presence == "absent" or (i - last.end > 6 and i - last.at > 6):
            return False
        between = s.units[last.end : i]
        if any(u.kind == "newline" or u.used == "bird" or (u.signs and not u.region) for u in between):
            return False
        if any(u.hard for u in between) and len(between) > 3:
            return False
        for hit in s.last_group:
            if not hit.grade or s.units[i].kind == "plus" or any(u.is_cue("correction") for u in between) or hit.at < i:
                hit.grade = (
                    step if not hit.grade or s.fix or s.units[i].kind == "plus" or hit.grade < step else hit.grade
                )
        return True

    def grade_at_side(self, s: State, i: int, step: int) -> bool:
        """"heavy on the right, just a touch on the left": a grade for each side."""
        units, j = s.units, i + 1
        if not s.hits or j >= len(units) or units[j].low not in ("on", "in", "at"):
            return False
        j += 1
        while j < len(units) and units[j].low in DETERMINERS:
            j += 1
        last = s.hits[-1]
        if j >= len(units) or units[j].side not in ("left", "right") or last.sign == NORMAL or units[j].used:
            return False
        after = unit_at(units, j + 1)
        if (after is not None and after.region) or i - last.at > 12:
            return False
        side = units[j].side
        units[j].used = "side"
        if last.ref.side == "both":
            self._split(s, last, side, step)
            return True
        if last.ref.side == side or not last.ref.side:
            last.moved(side=side)
            last.grade = step
            return True
        ref = replace(last.ref, side=side)
        there = next((h for h in s.hits if (h.sign, h.ref.region, h.ref.side) == (last.sign, ref.region, side)), None)
        if there is None:
            s.hits.append(last.copy(ref, grade=step))
        else:
            there.grade = step
        return True

    @staticmethod
    def _split(s: State, hit: Hit, side: str, step: int) -> None:
        other = hit.copy(replace(hit.ref, side=opposite(side)))
        place = s.hits.index(hit)
        hit.moved(side=side)
        hit.grade = step
        s.hits.insert(place, other)

    def side_back(self, s: State, i: int, side: str, stop: int) -> int:
        """A side behind what it belongs to: "swollen on both sides", "early bumble L"."""
        if side not in ("left", "right", "both"):
            return stop
        if not s.hits or (s.topic_open and s.topic[0].at > s.hits[-1].at):
            s.topic = [
                replace(r, side=side)
                if r.region in self.regions.paired and (not r.side or (r.plural and r.side == "both"))
                else r
                for r in s.topic
            ]
            return stop
        last = s.hits[-1]
        if s.exception and side != "both" and last.sign == NORMAL and last.ref.side == "both":
            last.moved(side=opposite(side))
            s.exception = False
            s.set_topic([replace(last.ref, side=side, at=i)], stop)
            return stop
        if s.exception and side != "both" and last.presence == "absent" and last.ref.side == "both":
            for hit in s.last_group:  # "no scabs on either wing bar the left"
                there = replace(hit.ref, side=side, at=i)
                hit.moved(side=opposite(side))
                s.hits.append(hit.copy(there, at=i, end=stop, rule="exception", presence="present", cues=[]))
            s.exception = False
            return stop
        near = 10 if s.fix is not None else 4
        if (
            last.ref.region not in self.regions.paired
            or (i - last.end > near and i - last.at > near)
            or any(u.kind == "newline" for u in s.units[last.at : i])
        ):
            if (
                s.topic
                and s.fresh
                and s.topic[-1].region in self.regions.paired
                and (not s.topic[-1].side or (s.topic[-1].plural and side != "both"))
            ):
                s.topic = [replace(r, side=side) if r.region in self.regions.paired else r for r in s.topic]
            return stop
        if last.ref.side == "both" and i and s.units[i - 1].low in MORE_OF:
            return stop
        after = unit_at(s.units, stop)
        if after is not None and after.low in ("too", "also", "as well") and side == opposite(last.ref.side):
            for hit in s.last_group:
                certainty = "possible" if s.doubt is not None else hit.certainty
                there = replace(hit.ref, side=side, at=i)
                s.hits.append(hit.copy(there, at=i, end=stop + 1, rule="too", certainty=certainty))
            return stop + 1
        explicit = last.ref.side in ("left", "right") and side != last.ref.side and side != "both"
        for hit in s.last_group:
            if hit.ref.region in self.regions.paired and not explicit:
                hit.moved(side=side)
        if explicit and side == opposite(last.ref.side) and s.units[i - 1].low in ("and", ",", "or", "&", "nor"):
            for hit in s.last_group:
                hit.moved(side="both")
        s.topic = [replace(r, side=side) if r.region == last.ref.region and not explicit else r for r in s.topic]
        s.paired = replace(last.ref, side=side)
        return stop
