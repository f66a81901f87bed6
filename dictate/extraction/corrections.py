"""Corrections and withdrawals: what is said replaces what was said."""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.english import COPULAS
from dictate.extraction.hits import NORMAL, Hit, Ref
from dictate.extraction.mending import Base
from dictate.extraction.regions import opposite
from dictate.extraction.state import State
from dictate.extraction.units import Unit, unit_at

__all__ = ["Corrections"]

STRONG = frozenset(
    "correction | no i mean | i mean | make that | no make that | or rather | no correction | i meant | "
    "no wait | no sorry | sorry no | no hang on | no actually | actually no | i should say | sorry i mean | "
    "sorry i meant | no hold on | change that to | tell a lie | i tell a lie | no i tell a lie | no it's | "
    "no that's | no i meant | let me correct that | that's wrong | my mistake | wait no | oh no wait | "
    "no , wait | no , sorry | wait , no | hang on , no | sorry , no | no , i mean | no , make that | er no | "
    "or no | no , hang on | no no | no , no | amend that to | i said | rather".split(" | ")
)
SKIPPED = frozenset("i mean the it's that is was a an to her his its in on of so , all : should be now this -".split())
AFTER_NO = frozenset(", wait sorry i it that hang hold she he they it's they're".split())


class Corrections(Base):
    """Corrections and withdrawals: what is said replaces what was said."""

    def correction(self, s: State, i: int) -> int:
        """A correcting word: what follows within a few units may replace what was said."""
        unit = s.units[i]
        strong = unit.low in STRONG or unit.low == "no"
        s.fix = (i, "strong" if strong else "weak")
        s.close()
        j = i + 1
        size = len(s.units)
        while j < size and j < i + 4 and (s.units[j].low in SKIPPED or s.units[j].is_cue("correction")):
            j += 1
        if j < size and s.units[j].grade and s.hits and not self._sign_after(s.units, j + 1):
            last = s.last_group
            for hit in last:
                if hit.sign != NORMAL and hit.presence == "present":
                    hit.grade = s.units[j].grade
            s.fix = None
            return j + 1
        return i + 1

    @staticmethod
    def _sign_after(units: list[Unit], j: int) -> bool:
        return (j < len(units) and bool(units[j].signs)) or (
            j + 1 < len(units) and units[j].low in ("of", "a") and bool(units[j + 1].signs)
        )

    def is_correction_no(self, s: State, i: int) -> bool:
        """"left, no, right": a no that takes back instead of denying."""
        units = s.units
        after = unit_at(units, i + 1)
        if units[i].low != "no" or after is None or not (s.hits or s.topic):
            return False
        if after.low in AFTER_NO:
            return i > 0
        if (
            after.number is not None
            and s.hits
            and i + 2 < len(units)
            and s.hits[-1].sign in {m.id for m in units[i + 2].signs}
        ):
            return True
        if after.grade and i and units[i - 1].grade:
            return True
        if after.low == "the" and i + 2 < len(units) and units[i + 2].side in ("left", "right") and s.topic and s.fresh:
            return True
        if after.low == "the" and i + 2 < len(units) and units[i + 2].side in ("left", "right") and s.hits:
            named = self.regions.read(units, i + 1)
            last = s.hits[-1]
            if named is not None and i - last.end <= 1 and last.ref.side == opposite(named[0][-1].side):
                return named[0][-1].region == last.ref.region
        if after.side in ("left", "right") and (s.topic or s.hits):
            found = self.regions.read(units, i + 1)
            return found is None or (bool(s.topic) and found[0][0].region == s.topic[-1].region)
        return False

    def contradict(self, s: State, hits: list[Hit], i: int) -> None:
        """A new sign after a correcting word takes the place of the one it contradicts."""
        assert s.fix is not None
        at, strength = s.fix
        before = [h for h in s.hits if h.at < at]
        if not before or i - at > 14:
            s.fix = None
            return
        new, last = hits[-1], before[-1]
        same_place = new.ref.region == last.ref.region and (
            new.ref.side == last.ref.side or not new.ref.side or not last.ref.side
        )
        group = [h for h in before if h.at == last.at]
        if same_place and new.sign == last.sign:
            if strength == "strong" and i - at <= 5:
                for hit in group:
                    s.take_back(hit, "corrected")
        elif (
            same_place
            and (
                NORMAL in (new.sign, last.sign)
                or (self.placer.signs[new.sign].state and self.placer.signs[last.sign].state)
                or (strength == "strong" and i - at <= 5)
            )
        ) or (
            new.sign == last.sign
            and (
                new.ref.region == last.ref.region or last.rule in ("parasite on skin", "natural home", "region carried")
            )
            and strength == "strong"
            and i - at <= 6
        ):
            for hit in group:
                s.take_back(hit, "corrected")
        s.fix = None

    def correct_place(self, s: State, i: int, refs: list[Ref], stop: int) -> int:
        """After a correcting word, a region or side with no new sign moves the last finding there."""
        assert s.fix is not None
        at, strength = s.fix
        before = [h for h in s.hits if h.at < at]
        if not before or i - at > 14 or any(u.signs and not u.region for u in s.units[at + 1 : i]):
            return 0
        last = before[-1]
        if s.topic_open and s.topic[0].at > last.at:
            s.fix = None
            return 0  # nothing was said of the topic yet: it is simply replaced
        j = stop
        while j < len(s.units) and (
            s.units[j].low in COPULAS
            or s.units[j].low in ("sorry", ",", "i", "mean")
            or s.units[j].is_cue("correction")
        ):
            j += 1
        follower = unit_at(s.units, j)
        ref = refs[-1]
        if moved := self._earlier(s, before, ref, stop):
            return moved
        whole = any(u.low in ("all", "those", "both") or u.low.startswith("all of") for u in s.units[at + 1 : i])
        said_again = follower is not None and (
            bool(follower.signs) or bool(follower.grade) or follower.is_cue("absent")
        )
        if said_again and follower is not None:
            repeated = any(m.id == last.sign for m in follower.signs)
            if not repeated and not (
                strength == "strong"
                and last.ref.region == ref.region
                and last.ref.side
                and opposite(last.ref.side) == ref.side
                and follower.region == ""
                and not follower.signs
            ):
                return 0
        elif strength == "weak" and not (last.ref.region == ref.region or whole):
            if follower is not None and not follower.hard:
                return 0
            whole = True
        if not (ref.region == last.ref.region or strength == "strong" or whole):
            return 0
        for hit in s.hits:
            if (
                hit.group == last.group
                and (whole or hit.ref.region == last.ref.region)
                and hit.at < at
                and (whole or hit.ref == last.ref or hit.ref.side == last.ref.side)
            ):
                hit.moved(region=ref.region, side=ref.side or (hit.ref.side if ref.region == hit.ref.region else ""))
        s.fix = None
        s.set_topic(refs, stop)
        s.said = 1
        return stop

    def _earlier(self, s: State, before: list[Hit], ref: Ref, stop: int) -> int:
        """"… Sorry, it was the right hock": what was said of the other side before the last statement."""
        last, limb = before[-1], self.regions.limb.get(ref.region, "")
        if ref.side not in ("left", "right") or (last.ref.region == ref.region and last.ref.side != ref.side):
            return 0
        across = [
            h
            for h in before
            if h.ref.side == opposite(ref.side)
            and h.sign != NORMAL
            and (h.ref.region == ref.region or (limb and self.regions.limb.get(h.ref.region) == limb))
        ]
        end = stop
        while end < len(s.units) and (s.units[end].low in SKIPPED or s.units[end].low in COPULAS):
            end += 1
        again = unit_at(s.units, end)
        if again is not None and again.signs and not again.region:
            across = [h for h in across if h.sign in {m.id for m in again.signs}]
            end += 1
            if end < len(s.units) and s.units[end].low in COPULAS:
                end += 1
            if end < len(s.units) and s.units[end].low in ("on", "in"):
                end += 1
        elif not (again is None or again.hard or again.low in ("not", "and", "but")):
            return 0
        if not across:
            return 0
        moved = across[-1]
        for hit in across:
            if hit.ref == moved.ref:
                hit.moved(side=ref.side)
        s.fix = None
        s.settle([replace(moved.ref, side=ref.side)], end)
        return end

    def withdraw(self, s: State, i: int) -> None:
        """Take back the last statement."""
        last = s.hits[-1] if s.hits else None
        if s.rest_normal and (
            last is None or (i - last.at > 8 and any(u.is_cue("rest") for u in s.units[max(0, i - 4) : i]))
        ):
            s.rest_normal = False
            return
        if any(u.is_cue("rest") for u in s.units[max(0, i - 4) : i]):
            s.rest_normal = False
            return
        for hit in s.last_group:
            s.take_back(hit, "taken back")
