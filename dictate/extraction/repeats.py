"""What is said again elsewhere: ditto, "too", "more there", exceptions, verbs without their sign."""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.english import COPULAS
from dictate.extraction.hits import GENERAL, NORMAL, Ref
from dictate.extraction.mending import Base
from dictate.extraction.regions import opposite
from dictate.extraction.state import State
from dictate.extraction.units import Unit, unit_at

__all__ = ["Repeats"]

SAME = frozenset("the same, same, just the same, exactly the same, identical".split(", "))
SAME_OF = frozenset("as old thing way day time size".split())  # "same as", "the same old": no ditto
BEFORE_OTHER = frozenset("on the for with in her his side at of".split())
NOR_THERE = frozenset("from on in at under round around".split())
MORE = frozenset("more others another few some".split())
BARE_VERBS = frozenset("is are does has do have was".split())
CLAUSE_ENDS = frozenset(", | and | but | so | though | ) | too | also | as well".split(" | "))
LATE_ENDS = frozenset(") , and so but i".split())


class Repeats(Base):
    """What is said again elsewhere: ditto, "too", "more there", exceptions, verbs without their sign."""

    def ditto(self, s: State, i: int) -> int:
        """"same on the right", "ditto": what was said last, on the other side; the next unit to look at, or 0."""
        units, unit = s.units, s.units[i]
        follower = unit_at(units, i + 1)
        if unit.low in SAME and follower is not None and (follower.low in SAME_OF or follower.number):
            return i + 1
        if unit.low in ("same", "the same", "do") and not (
            follower is None
            or follower.hard
            or follower.low in (",", "on", "for", "and", ")")
            or follower.side
            or (s.topic and s.fresh)
        ):
            return 0
        side, stop = self._ditto_side(units, i)
        target = s.topic[-1] if s.topic_open else None
        pool = [h for h in s.hits if h.ref.region in self.regions.paired and h.ref.side in ("left", "right", "both")]
        if target is not None and target.region in self.regions.paired:
            same = [h for h in pool if h.ref.region == target.region]
            pool, side = (same or pool), side or target.side
        elif target is not None and s.hits:  # "comb pale, wattles the same"
            last = s.hits[-1]
            for hit in s.last_group:
                self.add(s, [hit.copy(replace(ref, at=i)) for ref in s.topic], i)
            return stop
        if not pool:
            pool = [h for h in s.hits if h.ref.region in self.regions.paired][-1:]
        if not pool:
            return stop
        last = pool[-1]
        source = [h for h in pool if h.group == last.group and h.ref.side == last.ref.side] or [last]
        wanted = side or opposite(last.ref.side)
        for hit in source:
            if last.ref.side == wanted and wanted != "both":
                continue
            region = target.region if target is not None and target.region in self.regions.paired else hit.ref.region
            if wanted == "both":
                hit.moved(side="both")
                continue
            self.add(s, [hit.copy(Ref(region, wanted or "", i), at=i, end=i + 1, rule="ditto")], i)
        if wanted and wanted != "both":
            s.paired = Ref(last.ref.region, wanted, i)
        return stop

    def _ditto_side(self, units: list[Unit], i: int) -> tuple[str, int]:
        """The side named in the ditto at i or behind it, and the unit after it; no side: the other one."""
        words = units[i].low.split()
        for side in ("left", "right"):
            if side in words:
                return side, i + 1
        if "other" in words or "both" in words or "partner" in words:
            return "", i + 1
        k = i + 1
        while k < len(units) and units[k].low in BEFORE_OTHER:
            k += 1
        if k >= len(units):
            return "", i + 1
        stop = k + 1
        if units[k].side in ("left", "right", "both"):
            return units[k].side, stop + (stop < len(units) and units[stop].low in ("side", "one"))
        if units[k].low != "other":
            return "", i + 1
        while stop < len(units) and (units[stop].low in ("side", "one") or units[stop].region in self.regions.paired):
            stop += 1
        return "", stop

    def more_there(self, s: State, i: int, refs: list[Ref], stop: int) -> bool:
        """"ticks on the neck, four of them, and two more under the left wing": the same sign there too."""
        units = s.units
        before = unit_at(units, i - 1)
        if before is None or not s.hits or s.hits[-1].sign == NORMAL or i - s.hits[-1].at > 14:
            return False
        after = unit_at(units, stop)
        if before.low in ("nor", "or") and units[i].low in NOR_THERE:
            if after is None or after.hard or after.low in (",", "and", "but") or after.gap:
                self.repeat(s, s.last_group, refs, i, stop, "nor there")
                return True
            return False
        if not (before.low in MORE or before.number is not None):
            return False
        if before.low not in ("more", "another", "others") and (before.unit or (after is not None and after.signs)):
            return False
        last = s.hits[-1]
        if last.presence == "absent":
            return False
        self.repeat(s, [last], refs, i, stop, "more there", grade=0)
        s.settle(refs, stop)
        return True

    def more_at_side(self, s: State, i: int, side: str, stop: int) -> bool:
        """"three broken feathers in the left wing and one in the right": the same sign at the other side."""
        before = unit_at(s.units, i - 1)
        if before is None or not s.hits or not (before.low in MORE or before.number is not None):
            return False
        last = s.hits[-1]
        if last.sign == NORMAL or last.presence == "absent" or last.ref.side != opposite(side) or i - last.at > 12:
            return False
        self.repeat(s, [last], [replace(last.ref, side=side)], i, stop, "more there", grade=0)
        return True

    def late_place(self, s: State, i: int, refs: list[Ref], stop: int) -> bool:
        """"raised scales, mild, both shanks": the side of what was just said, named afterwards."""
        after = unit_at(s.units, stop)
        if not s.hits or not (after is None or after.hard or after.low in LATE_ENDS or after.is_cue("certain")):
            return False
        last = s.hits[-1]
        limb = self.placer.limb_of(last.sign) if last.ref.region == GENERAL else ""
        if limb and refs[0].region == limb and refs[0].side and i - last.at <= 16 and last.presence == "present":
            last.moved(region=limb, side=refs[0].side)  # "limping, I'd say it's the right leg"
            s.settle(refs, stop)
            return True
        of_limb = last.rule == "natural home" and self.regions.limb.get(last.ref.region) == refs[0].region
        if (
            len(refs) != 1
            or last.ref.side
            or not (last.ref.region == refs[0].region or of_limb)
            or not refs[0].side
            or i - last.at > 6
            or any(u.hard for u in s.units[last.at + 1 : i])
        ):
            return False
        for hit in s.last_group:
            hit.moved(side=refs[0].side)
        s.topic, s.topic_end, s.fresh, s.said = refs, stop, False, 1
        return True

    def verb_ellipsis(self, s: State, i: int, refs: list[Ref], stop: int) -> bool:
        """"the face isn't swollen, only the comb is": the last sign, there or not there."""
        units = s.units
        j = stop
        if not s.hits or j >= len(units) or units[j].low not in BARE_VERBS:
            return False
        denied = j + 1 < len(units) and units[j + 1].low in ("n't", "not")
        k = j + 1 + denied
        after = unit_at(units, k)
        if not (
            after is None
            or after.hard
            or after.low in CLAUSE_ENDS
            or (denied and (after.region or after.side or after.gap))
        ):
            return False
        last = s.hits[-1]
        if last.sign == NORMAL or i - last.at > 12 or units[j].low == "was":
            return False
        self.repeat(
            s,
            [last],
            refs,
            i,
            k,
            "said of another",
            presence="absent" if denied else "present",
            when="now",
            grade=0,
            cues=[],
        )
        s.settle(refs, k)
        return True

    def too(self, s: State, i: int, refs: list[Ref], stop: int) -> bool:
        """"… and the beak too": the last sign there as well."""
        units = s.units
        if not s.hits or stop >= len(units) or units[stop].low not in ("too", "as well", "also", "likewise"):
            return False
        after = unit_at(units, stop + 1)
        if after is not None and (after.signs or after.low in COPULAS or after.low in ("has", "a")):
            return False
        last = s.hits[-1]
        if i - last.at > 12 or (last.sign == NORMAL and last.ref.region == refs[0].region):
            return False
        self.repeat(s, s.last_group, refs, i, stop + 1, "too", grade=0)
        s.settle(refs, stop + 1)
        return True

    def graded_there(self, s: State, i: int, refs: list[Ref], stop: int, step: int) -> int:
        """"NFM + vent, ++ R wing": the last sign there, with its own grade."""
        self.repeat(s, s.last_group, refs, i, stop, "graded there", grade=step)
        s.settle(refs, stop)
        return stop

    def so_is(self, s: State, i: int) -> int:
        """"… and so are her shanks": the sign last spoken of, there as well."""
        found = self.regions.read(s.units, i + 1)
        at = i + 1
        while at < len(s.units) and s.units[at].low in ("the", "her", "his"):
            at += 1
        if found is None and at < len(s.units) and s.units[at].side in ("left", "right") and s.paired is not None:
            found = [replace(s.paired, side=s.units[at].side, plural=False)], at + 1  # "and so does the right"
        if found is None or not s.hits or i - s.hits[-1].at > 10:
            return 0
        refs, stop = found
        after = unit_at(s.units, stop)
        if after is not None and (after.signs or after.low in COPULAS):
            return 0
        self.repeat(s, s.last_group, refs, i, stop, "so is")
        s.settle(refs, stop)
        return stop
