"""What is denied elsewhere: exceptions, "nothing", "but not the left", verbs without their sign."""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.english import COPULAS
from dictate.extraction.hits import NORMAL, Hit, Ref
from dictate.extraction.mending import Base
from dictate.extraction.regions import opposite
from dictate.extraction.state import Open, State
from dictate.extraction.units import unit_at
from dictate.model import Cue

__all__ = ["Denials"]

MORE = frozenset("more others another few some".split())
# between nothing and its region
NOTHING_OF = frozenset("wrong with on in at the matter to see find report amiss under of note there her his".split())
ANY_MORE = frozenset("any, more, any more, anymore, now".split(", "))
NEW_SUBJECT = frozenset("it she he the so they".split())
BARE_AUXILIARIES = frozenset("do does did ai wo".split())


class Denials(Base):
    """What is denied elsewhere: exceptions, "nothing", verbs without their sign."""

    def exception(self, s: State, i: int) -> int:
        """"except", "bar": what was denied may be there after all; the next unit to look at, or 0."""
        unit = s.units[i]
        follower = unit_at(s.units, i + 1)
        if unit.low in ("bar", "save", "besides") and (follower is None or follower.number or follower.hard):
            return 0
        s.absent = None
        s.doubt = None
        s.exception = True
        ahead = s.units[i + 1 : i + 7]
        end = next((n for n, u in enumerate(ahead) if u.hard or u.low in (",", "and")), len(ahead))
        counted = follower is not None and (follower.number is not None or follower.low in ("one", "a few", "a couple"))
        bare = not any(u.signs or u.region or u.side or u.used for u in ahead[1:end])
        if counted and bare and s.hits and s.hits[-1].presence == "absent" and i - s.hits[-1].end <= 2:
            for hit in s.last_group:  # "no scabs on the comb except one at the tip"
                hit.presence, hit.rule = "present", "exception"
                hit.cues = []
            s.exception = False
        return i + 1

    def but_not(self, s: State, i: int, cue: Cue) -> int:
        """"swollen on the right but not the left": absent at that side; the unit after it, or 0."""
        units, j = s.units, i + 1
        while j < len(units) and units[j].low in ("the", "on", "in", "her", "his"):
            j += 1
        last = s.hits[-1] if s.hits else None
        if last is None or j >= len(units) or units[j].side not in ("left", "right") or last.sign == NORMAL:
            return 0
        after = unit_at(units, j + 1)
        if last.ref.side != opposite(units[j].side) or i - last.end > 3 or (after is not None and after.region):
            return 0
        side = units[j].side
        for hit in s.last_group:
            there = replace(hit.ref, side=side)
            s.hits.append(hit.copy(there, at=i, end=j + 1, rule="not there", presence="absent", grade=0, cues=[cue]))
        return j + 1

    def exception_place(self, s: State, i: int, refs: list[Ref], stop: int) -> bool:
        """"no mites except a few at the vent": the last sign is there after all."""
        if not s.exception or not s.hits:
            return False
        last = s.hits[-1]
        if last.presence != "absent" and last.sign != NORMAL:
            return False
        if (
            last.sign == NORMAL
            and last.ref.side == "both"
            and refs[0].region == last.ref.region
            and refs[0].side in ("left", "right")
        ):
            last.moved(side=opposite(refs[0].side))  # "toes straight bar the left outer"
        between = s.units[last.at + 1 : i]
        cut = next((k for k in range(len(between) - 1, -1, -1) if between[k].is_cue("exception")), None)
        if cut is None or any(u.signs and not u.region for u in between[cut + 1 :]):
            return False
        follower = unit_at(s.units, stop)
        if follower is not None and (
            follower.signs
            or follower.low in COPULAS
            or follower.grade
            or follower.low in (":", "which", "that", "where")
        ):
            return False
        if last.sign == NORMAL:
            return False
        group = s.last_group
        for hit in group:
            for ref in refs:
                region = ref.region
                if hit.ref.side == "both" and region == hit.ref.region and ref.side in ("left", "right"):
                    hit.moved(side=opposite(ref.side))
                s.hits.append(
                    hit.copy(replace(ref, at=i), at=i, end=stop, rule="exception", presence="present", cues=[])
                )
        s.settle(refs, stop)
        return True

    def not_there(self, s: State, i: int, cue: Cue) -> bool:
        """"left wattle swollen, right wattle not": the sign last spoken of is absent there."""
        after = unit_at(s.units, i + 1)
        if not (s.hits and s.topic_open and s.topic_end == i) or not (
            after is None or after.hard or after.gap or after.region or after.side or after.low in (",", "and", "but")
        ):
            return False
        last = s.hits[-1]
        if last.sign == NORMAL or last.ref.region != s.topic[-1].region or last.presence == "absent":
            return False
        for hit in [h for h in s.hits if h.group == last.group]:
            for ref in s.topic:
                s.hits.append(hit.copy(ref, at=i, end=i + 1, rule="not there", presence="absent", grade=0, cues=[cue]))
        s.said = 1
        return True

    def nothing(self, s: State, i: int) -> int:
        """"nothing wrong with either eye", "left foot nothing": normal, unless an exception follows."""
        units = s.units
        j = i + 1
        while j < len(units) and (units[j].low in NOTHING_OF and not units[j].region):
            j += 1
        found = self.regions.read(units, j) if j < len(units) else None
        if found is None and j > i + 1 and j - 1 < len(units):
            found = self.regions.read(units, j - 1)
        ahead = units[i + 1 : i + 14]
        for n, unit in enumerate(ahead):
            if unit.hard:
                break
            but = (
                unit.low == "but"
                and n + 1 < len(ahead)
                and any(m.id != NORMAL for u in ahead[n + 1 : n + 3] for m in u.signs)
            )
            if unit.is_cue("exception") or but:
                if found is not None:
                    s.set_topic(found[0], found[1])
                    return found[1]
                return i + 1
        last = s.hits[-1] if s.hits else None
        if (
            last is not None
            and s.topic_open
            and i - s.topic_end <= 2
            and i - last.at <= 14
            and (
                last.sign != NORMAL
                and last.presence == "present"
                and last.ref.region == s.topic[-1].region
                and last.ref.side != s.topic[-1].side
                and found is None
                and "wrong" not in units[i].low
            )
        ):
            denial = Cue("nothing", "absent", units[i].span)  # "a discharge on the right; on the left, nothing"
            s.hits.append(
                last.copy(s.topic[-1], at=i, end=i + 1, rule="nothing there", presence="absent", grade=0, cues=[denial])
            )
            s.said = 1
            return i + 1
        if found is not None and not found[0][0].weak:
            hits = [Hit(ref, NORMAL, i, found[1], group=s.group, rule="nothing there") for ref in found[0]]
            s.set_topic(found[0], found[1])
            for hit in hits:
                hit.group = s.group
            s.said = 1
            self.add(s, hits, i)
            return found[1]
        pronoun = any(u.low in ("it", "them", "those", "either", "that") for u in units[i + 1 : j + 1])
        if s.topic and not s.topic[-1].weak and ((s.fresh and s.said == 0 and i - s.topic_end <= 2) or pronoun):
            self.add(s, [Hit(ref, NORMAL, i, i + 1, group=s.group, rule="nothing there") for ref in s.topic], i)
            s.said = 1
            return i + 1
        follower = unit_at(units, i + 1)
        if (
            not s.topic
            and not s.hits
            and j - i <= 3
            and (j >= len(units) or units[j].hard or units[j].gap)
            and i - s.clause <= 4
        ):
            s.rest_normal = True  # "Queenie: nowt wrong"
            return i + 1
        if follower is not None and follower.signs and follower.signs[0].id != NORMAL:
            s.absent = Open(Cue("nothing", "absent", units[i].span), i)
        return i + 1

    def ellipsis(self, s: State, i: int, cue: Cue) -> bool:
        """"She was lame. She isn't now.": the sign last spoken of is denied."""
        units = s.units
        before = unit_at(units, i - 1)
        j = i + 1
        while j < len(units) and (units[j].is_cue("now") or units[j].low in ANY_MORE):
            j += 1
        after = unit_at(units, j)
        if not (
            after is None
            or after.hard
            or after.low in (",", "and", "but", ";")
            or (after.gap and not after.signs)
            or (j > i + 1 and after.low.split("'")[0] in NEW_SUBJECT)
        ):
            return False
        if before is None or not ((last_word := before.low.split(" ")[-1]) in COPULAS or last_word in BARE_AUXILIARIES):
            return False
        if s.muted_sign is not None and i - s.muted_sign[1] < 14:
            unit = s.muted_sign[0]
            meaning = next((m for m in unit.signs if not m.regions), unit.signs[0])
            home = self.placer.home(unit)
            taught = s.taught[-1] if s.taught and s.taught[-1].side != "both" else s.topic[-1] if s.topic else None
            ref = Ref(home[1], at=i) if home else taught
            if ref is None:
                return False
            hit = Hit(
                ref, home[0].id if home else meaning.id, i, i + 1, "absent", group=s.group, rule="denied", cues=[cue]
            )
            s.muted_sign = None
            self.add(s, [hit], i)
            return True
        if s.hits and s.hits[-1].when == "past" and s.hits[-1].presence == "present":
            last = s.hits[-1]
            s.hits.append(last.copy(last.ref, at=i, rule="denied", presence="absent", when="now", grade=0, cues=[cue]))
            return True
        return False
