"""Regions and sides in running talk: what is spoken of from here on."""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.english import COPULAS, DETERMINERS, PREPOSITIONS, SUBJECTS
from dictate.extraction.hits import NORMAL, SKIN, Ref
from dictate.extraction.placing import Place
from dictate.extraction.reading import ReaderBase, fronted_by
from dictate.extraction.regions import opposite
from dictate.extraction.state import Open, State
from dictate.extraction.units import Unit, unit_at
from dictate.model import Cue

__all__ = ["Topics"]

AFTER_SIDE = frozenset(": too both one has got".split())
BEFORE_SIDE = frozenset("the her his its my on that".split())
ROUND = frozenset("round around over under near".split())
SIDE_BEFORE = frozenset("that same this other".split())  # "on that side"
# tell where on the region already named
WHERE_ON = frozenset("from to between near behind above below along down against towards beside".split())


class Topics(ReaderBase):
    """Regions and sides in running talk: what is spoken of from here on."""

    def place(self, s: State, i: int) -> int:
        """Deal with a region or side at unit i; the next unit to look at, or 0 if it names none."""
        units = s.units
        found = self._other(s, i) or self.regions.read(units, i)
        if found is not None:
            refs, stop = found
            opening = (
                (i == 0 or units[i - 1].hard or units[i - 1].used == "bird")
                and stop < len(units)
                and (units[stop].signs or units[stop].low in COPULAS or units[stop].low == ":")
            )
            under = i > 1 and units[i - 1].low in ("that", "it") and units[i - 2].low in PREPOSITIONS
            if (
                stop < len(units)
                and refs[0].weak
                and not under
                and not fronted_by(units, i)
                and not (s.topic_open and i - s.topic_end <= 1)
            ):
                follow = units[stop + 1] if units[stop].low in COPULAS and stop + 1 < len(units) else units[stop]
                opening = (
                    opening
                    or any(refs[0].region in m.regions for m in follow.signs)
                    or (units[stop].low in ("is", "are", "'s") and bool(follow.signs))
                )
            its = under or self._round_it(units, stop) or (bool(s.topic) and self._its_skin(s, i, refs[0], stop))
            if refs[0].weak and s.topic and its:
                return i + 1 if not units[i].side else 0
            if (
                refs[0].weak
                and not opening
                and (s.topic or self._weak_only(units, refs[0].at, stop))
                and not units[i].side
            ):
                return 0 if units[i].region == "" or units[i].signs else i + 1
            return self.take_topic(s, i, refs, stop, fronted=False)
        side = self.side_only(s, i)
        if side and self._is_context(s, i, side[1]):
            s.context = side[0] if side[0] in ("left", "right") else ""
            return side[1] + 1
        if side and s.paired is not None:
            word, stop = side
            after = unit_at(units, stop)
            comma = after is not None and after.low == "," and stop + 1 < len(units) and bool(units[stop + 1].signs)
            if (
                comma
                or (
                    after is not None
                    and (
                        after.low in COPULAS
                        or after.low in ("does", "do", "did")
                        or after.number
                        or after.signs
                        or after.grade
                        or after.cues
                        or after.low in AFTER_SIDE
                        or after.used == "measure"
                    )
                )
                or after is None
            ):
                ref = s.topic[-1] if s.topic and s.topic[-1].region in self.regions.paired else s.paired
                if after is None or after.hard or (after.low == "too"):
                    return self.mender.side_back(s, i, word, stop)
                return self.take_topic(s, i, [replace(ref, side=word, at=i, plural=False)], stop, fronted=False)
        if units[i].low in ("both", "each") and s.hits:
            return self.mender.side_back(s, i, "both", i + 1)
        if side:
            return self.mender.side_back(s, i, *side)
        return 0

    def _is_context(self, s: State, i: int, stop: int) -> bool:
        """"Left side first", "Now the right:": the side of all that follows."""
        units = s.units
        before = unit_at(units, i - 1)
        if (
            (before is None or before.hard)
            and stop + 1 < len(units)
            and units[stop].low == ":"
            and units[stop + 1].region
        ):
            return not (units[stop + 1].region in self.regions.small and s.hits) or bool(s.context)
        opening = before is None or before.hard or before.low in ("now", "to", "then", ",") or before.used == "bird"
        after = unit_at(units, stop)
        said = any("side" in u.low for u in units[i:stop])
        return (
            opening
            and after is not None
            and (
                (
                    after.low == ":"
                    and (not s.topic or not s.fresh)
                    and (said or (before is not None and before.low in ("now", "to", "then")))
                )
                or (said and after.low in ("first", "next", "now", ":"))
            )
        )

    @staticmethod
    def _its_skin(s: State, i: int, ref: Ref, stop: int) -> bool:
        """"her back is bare and the skin's red": the skin of the place named in the same sentence."""
        units = s.units
        if ref.region != SKIN or units[i].low != "the" or s.topic[-1].weak or i - s.topic_end > 14:
            return False
        if any(u.hard or u.used == "bird" for u in units[s.topic_end : i]):
            return False
        said = next((u for u in units[stop : stop + 4] if u.signs), None)
        return said is not None and said.signs[0].id != NORMAL

    @staticmethod
    def _round_it(units: list[Unit], stop: int) -> bool:
        """"the skin is red around it": of the place spoken of."""
        for k in range(stop, min(stop + 5, len(units) - 1)):
            if units[k].hard or units[k].region:
                return False
            if units[k].low in ROUND and units[k + 1].low in ("it", "them", "that"):
                return True
        return False

    @staticmethod
    def _weak_only(units: list[Unit], at: int, stop: int) -> bool:
        return not (stop < len(units) and (units[stop].signs or units[stop].low in COPULAS))

    def _other(self, s: State, i: int) -> tuple[list[Ref], int] | None:
        """"the other foot": the side not yet spoken of."""
        j = i
        while j < len(s.units) and s.units[j].low in ("the", "her", "his"):
            j += 1
        if j >= len(s.units) or s.units[j].low != "other" or s.paired is None or s.paired.side not in ("left", "right"):
            return None
        found = self.regions.read(s.units, j + 1)
        if found is None or found[0][0].region not in self.regions.paired or found[0][0].side:
            return None
        return [replace(found[0][0], side="right" if s.paired.side == "left" else "left")], found[1]

    def _side_named_before(self, s: State, refs: list[Ref], stop: int) -> tuple[list[Ref], int]:
        """"toes on that side", "the nostril on the other side": the side last spoken of, or the one across."""
        units, j = s.units, stop
        if s.paired is None or s.paired.side not in ("left", "right"):
            return refs, stop
        if j < len(units) and units[j].low in ("on", "to"):
            j += 1
        if j < len(units) and units[j].low == "the":
            j += 1
        if j + 1 >= len(units) or units[j].low not in SIDE_BEFORE or units[j + 1].low != "side":
            return refs, stop
        if any(ref.side in ("left", "right") for ref in refs):
            return refs, stop
        side = opposite(s.paired.side) if units[j].low == "other" else s.paired.side
        return [replace(ref, side=side) if ref.region in self.regions.paired else ref for ref in refs], j + 2

    def side_only(self, s: State, i: int) -> tuple[str, int] | None:
        """"the right one", "on the left", "the other": a side without its region."""
        units, j, size = s.units, i, len(s.units)
        while j < size and units[j].low in BEFORE_SIDE:
            j += 1
        if j >= size or units[j].used or units[j].muted:
            return None
        word, stop = units[j].side, j + 1
        if (
            not word
            and units[j].low == "other"
            and s.paired is not None
            and not (stop < size and units[stop].region and units[stop].region != s.paired.region)
            and j > i
        ):
            last = s.paired.side
            word = {"left": "right", "right": "left"}.get(last, "")
            if not word:
                return None
        if not word:
            return None
        while stop < size and units[stop].low in ("one", "side", "hand", "ones", "un"):
            stop += 1
        word = "both" if word in ("each", "either", "neither") else word
        return word, stop

    def take_topic(self, s: State, i: int, refs: list[Ref], stop: int, fronted: bool) -> int:
        """A new topic: ends what the last one's cues governed."""
        units = s.units
        refs, stop = self._side_named_before(s, refs, stop)
        refs = [self.lend_side(s, ref, i) for ref in refs]
        s.fronted, was_fronted = fronted, s.fronted
        neither = any(u.side == "neither" for u in units[i:stop])
        determined = (
            units[i].low in DETERMINERS or s.determined or (stop < len(units) and units[stop].low in ("'s", "is"))
        )
        s.determined = units[i].low in DETERMINERS
        together = stop < len(units) and units[stop].low in ("all", "both", "are", "were", "look", "seem", "feel")
        adjacent = (
            (not determined or (together and units[i].low not in DETERMINERS))
            and s.fresh
            and s.topic
            and s.topic_end == i
            and s.said == 0
            and not any(r.weak for r in s.topic)
        )
        if (
            adjacent
            and not fronted
            and not was_fronted
            and refs[0].region not in [r.region for r in s.topic]
            and not self._same_limb(s, refs)
        ):
            refs = s.topic + refs  # "eyes nares mouth all fine"
        if s.fix and s.fix[0] >= s.clause - 14:
            done = self.mender.correct_place(s, i, refs, stop)
            if done:
                return done
        after = unit_at(units, stop)
        if (
            s.pending >= 0
            and i - s.pending <= 4
            and (
                after is None
                or after.hard
                or after.kind == "plus"
                or after.low in (",", ")")
                or units[i - 1].low == ":"
                or (after.low in COPULAS and (stop + 1 >= len(units) or units[stop + 1].hard))
            )
            and not any(u.hard for u in units[s.pending : i])
        ):
            s.pending, waiting = -1, s.waiting
            s.set_topic(refs, stop)
            for at in waiting:
                units[at].notes.clear()
                self.sign(s, at, Place(refs, "sign, then region", stop, explicit=True))
            return stop
        if self.mender.late_place(s, i, refs, stop) or self.mender.verb_ellipsis(s, i, refs, stop):
            return max(stop, i + 1)
        if self.mender.exception_place(s, i, refs, stop) or self.mender.too(s, i, refs, stop):
            return stop
        governs = s.absent is not None and s.absent.signs == 0 and not fronted and i - s.absent.at <= 1
        if s.absent is not None and not governs:
            s.absent = None
        s.end_doubt()
        s.end_past()
        s.set_topic(refs, stop)
        if neither:
            s.absent = Open(Cue("neither", "absent", units[i].span), i)
        if s.clause < i and not governs and not (s.doubt or s.past):
            s.clause = i
        return stop

    @staticmethod
    def is_detail(s: State, i: int, stop: int) -> bool:
        """"bare between the shoulders and the tail": only tells where on the region already named."""
        units = s.units
        led = any(u.low == "from" for u in units[max(0, i - 4) : i])
        if units[i].low == "to" and led and s.hits and i - s.hits[-1].at <= 6:
            return True  # "bare from the shoulders to the tail"
        if units[i].low == "of" and i and units[i - 1].side and s.hits and i - s.hits[-1].at <= 4:
            return True  # "thin on both sides of the keel"
        since = i - 2 if i and units[i - 1].low in PREPOSITIONS else i - 1
        if not s.hits or s.hits[-1].at != since or s.hits[-1].rule != "region before":
            return False
        if units[i].low in WHERE_ON:
            return True
        after = unit_at(units, stop)
        return after is None or after.hard or (after.low in SUBJECTS and after.low not in ("there's", "there"))

    def _same_limb(self, s: State, refs: list[Ref]) -> bool:
        limb = self.regions.limb
        old, new = s.topic[-1].side, refs[0].side
        return (
            bool(limb.get(refs[0].region))
            and limb.get(refs[0].region) == limb.get(s.topic[-1].region)
            and ((old in ("left", "right")) != (new in ("left", "right")) or old == new in ("left", "right"))
        )

    def lend_side(self, s: State, ref: Ref, i: int) -> Ref:
        """"the pad" of the left foot just spoken of, "the third eyelid" of the right eye."""
        last = s.paired
        limb = self.regions.limb
        if (
            ref.plural
            and last is not None
            and last in s.topic
            and s.fresh
            and s.topic_end == i
            and ref.region != last.region
            and last.side in ("left", "right")
            and limb.get(ref.region) == limb.get(last.region) != ""
        ):
            return replace(ref, side=last.side)  # "left foot toes"
        if (
            ref.plural
            and last is not None
            and last in s.topic
            and ref.region == last.region
            and last.side in ("left", "right")
            and (s.units[ref.at].low not in self.regions.regions[ref.region].plural[:1])
        ):
            return replace(ref, side=last.side)  # the lids of the left eye
        if not ref.side and s.context and ref.region in self.regions.paired and not ref.plural:
            return replace(ref, side=s.context)
        if ref.side or ref.region not in self.regions.paired or last is None or last.side == "both" or ref.plural:
            return ref
        if last not in s.topic:
            return ref
        same = last.region == ref.region or (limb.get(ref.region) and limb.get(ref.region) == limb.get(last.region))
        led = s.units[ref.at - 1].low if ref.at else ""
        definite = (
            last.region == ref.region
            or led in DETERMINERS
            or s.units[i].low in DETERMINERS
            or s.units[i].low in ("on", "in", "that")
            or s.topic_end >= i - 1
        )
        return replace(ref, side=last.side) if same and definite else ref
