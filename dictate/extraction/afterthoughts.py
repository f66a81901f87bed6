"""What is added behind a sign: doubt, a grade, a side ("a lump, I think", "mites, heavy", "swollen, both")."""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.english import DETERMINERS
from dictate.extraction.hits import NORMAL, Hit
from dictate.extraction.mending import Base
from dictate.extraction.regions import opposite
from dictate.extraction.state import State
from dictate.extraction.units import unit_at
from dictate.model import Cue

__all__ = ["Afterthoughts"]

# "maybe just", "I think because"
CAUSE_FOLLOWS = frozenset("just, only, because, from, the cold, time, we".split(", "))
GRADE_ENDS = frozenset(", and ) then so but".split())
MORE_OF = frozenset("worse more mostly mainly especially bigger".split())


class Afterthoughts(Base):
    """What is added behind a sign: doubt, a grade, a side."""

    def is_doubt_ahead(self, s: State, i: int) -> bool:
        """False if the doubt belongs to what stands before ("frost nipped I think, spurs neat")."""
        units = s.units
        after = unit_at(units, i + 1)
        unit = units[i]
        if any(cue.direction == "backward" for cue in unit.cues) and self._backward_doubt(s, i):
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
