"""Reads the units of one exam from left to right and gathers its findings.

State is small: the topic (regions last spoken of), the open cues (absence, doubt, past), the last
hits. Each sign asks the Placer where it belongs; each cue opens, closes or looks back. What mends what
was said before (corrections, ditto, "gone") is in mending.py.
"""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.hits import Hit, Ref
from dictate.extraction.mender import Mender
from dictate.extraction.placing import Place, Placer
from dictate.extraction.regions import JOIN, RegionReader
from dictate.extraction.state import Open, State
from dictate.extraction.units import COPULAS, DETERMINERS, PREPOSITIONS, Unit
from dictate.model import Cue
from dictate.vocabulary import Vocabulary

__all__ = ["Reader"]

SUBJECTS = frozenset("she he she's he's i i'm i've i'll there there's we they it it's you".split())
ARTICLES = frozenset(["a", "an", "some", "one", "two", "three", "few", "several", "her", "his", "the"])


def fronted_by(units: list[Unit], i: int) -> bool:
    """A preposition stands before unit i."""
    return i > 0 and units[i - 1].low in PREPOSITIONS


class Reader:
    """Findings of one exam, with one vocabulary."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.regions = RegionReader(vocabulary)
        self.placer = Placer(vocabulary, self.regions)
        self.mender = Mender(self.placer, self.regions)
        self.reach = {cue.id: cue.reach for cue in vocabulary.cues.values()}
        self.signs = vocabulary.signs

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

    # -- what stands between

    def _used(self, s: State, i: int) -> int:
        unit = s.units[i]
        if unit.used in ("bird", "action"):
            s.close()
            s.clause = i
            s.fresh = False
        elif unit.used == "measure":
            s.doubt = None
            if s.absent is not None and s.absent.signs:
                s.absent = None
            region = self._scored(unit)
            if region and not (s.topic and s.topic[-1].region == region):
                s.set_topic([Ref(region, at=i)], i + 1, fresh=False)
                s.said = 1
        return i + 1

    def _scored(self, unit: Unit) -> str:
        """"keel score one, slight deviation": the region of a score is the one spoken of."""
        for kind in unit.measures:
            region = kind.removesuffix(" score")
            if region != kind and region in self.regions.regions:
                return region
        return ""

    def _muted(self, s: State, unit: Unit, i: int) -> None:
        s.close()
        if unit.region:
            found = self.regions.read(s.units, i, muted=True)
            refs = found[0] if found else [Ref(unit.region, "", i)]
            s.taught = refs
            if unit.muted in ("teaching", "hypothetical", "question"):
                s.set_topic([replace(r, side="both" if r.side == "both" else r.side) for r in refs], i + 1, fresh=False)
                s.said = 0
        if unit.signs and unit.muted == "hypothetical":
            s.muted_sign = (unit, i)

    def _sentence(self, s: State, i: int) -> None:
        s.close()
        s.fresh = False
        s.clause = i + 1
        s.exception = False
        if s.units[i].kind == "newline":
            s.topic, s.said = [], 0
        if s.fix and i - s.fix[0] > 12:
            s.fix = None

    # -- one unit

    def _unit(self, s: State, i: int, end: int, past_tense: bool) -> int:
        unit = s.units[i]
        stop = self._cues(s, i, end, past_tense)
        if stop:
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
            if named is not None and s.hits and s.hits[-1].sign != "normal":
                return self.mender.graded_there(s, i, named[0], named[1], min(3, len(unit.low)))
            self.mender.grade_back(s, i, min(3, len(unit.low)))
            return i + 1
        if unit.grade:
            self._grade(s, i)
            return i + 1
        if unit.side or unit.region or unit.low in DETERMINERS or unit.low in ("both", "upper", "lower", "middle", "outer", "other"):
            moved = self._place(s, i)
            if moved:
                return moved
        if unit.low == "both" and len(s.topic) > 1 and s.fresh:
            return i + 1
        if unit.low in PREPOSITIONS and i + 1 < end:
            found = self.regions.read(s.units, i + 1, placed=True)
            if found is not None and s.topic and s.fresh and s.topic[-1].region in ("toe", "claw", "foot pad", "spur") and (
                (found[0][0].region in ("foot", "leg") and found[0][0].side and not self.placer._own_predicate(s.units, found[1]))
                or (found[0][0].region == "foot" and i and s.units[i - 1].low in ("one", "two", "three", "ones", "them")
                and s.topic and s.topic[-1].region in ("toe", "claw"))
            ):
                return self._topic(s, i, [replace(s.topic[-1], side=found[0][0].side)], found[1], fronted=True)
            if i < s.placed_end and found is not None:
                return found[1]
            if found is not None and self._is_detail(s, i, found[1]):
                return found[1]
            if found is not None and self.mender.more_there(s, i, found[0], found[1]):
                return found[1]
            if found is not None and not (found[0][0].weak and s.topic):
                return self._topic(s, i, found[0], found[1], fronted=True)
            side = self._side_only(s, i + 1) if unit.low != "to" else None
            if side:
                before = s.units[i - 1] if i else None
                if s.paired is not None and (before is None or before.hard or before.low in (",", "and", "but")) and (
                    side[1] < end and not s.units[side[1]].hard
                ):
                    return self._topic(s, i, [replace(s.paired, side=side[0], at=i)], side[1], fronted=True)
                return self.mender.side_back(s, i, *side)
        if unit.signs:
            return self._sign(s, i)
        if unit.kind == "punct":
            self._comma(s, i)
        elif unit.low in SUBJECTS or unit.low.split(" ")[0] in ("there's", "she's", "he's"):
            self._subject(s, i)
        elif s.absent is not None and not s.absent.signs and unit.low in COPULAS and i - s.absent.at >= 2 and (
            s.absent.cue.rule == "not" and not any(u.low in ("true", "say", "that") for u in s.units[s.absent.at : i])
        ):
            s.absent = None
        elif s.absent is not None and s.absent.signs and (unit.low in ARTICLES or unit.low in COPULAS):
            if s.units[i - 1].low not in ("or", "nor"):
                s.absent = None
        elif unit.low in ("and",) and s.absent is not None and s.absent.signs and not self._list_follows(s, i):
            s.absent = None
        return i + 1

    def _subject(self, s: State, i: int) -> None:
        """A new subject opens a new clause."""
        if s.absent is not None and (s.absent.signs or (s.absent.cue.rule != "no-belief" and i - s.absent.at >= 2)):
            s.absent = None
        if s.doubt is not None and s.doubt.signs:
            s.doubt = None
        if s.past is not None and s.past.signs:
            s.past = None
        s.clause = i

    def _comma(self, s: State, i: int) -> None:
        if s.units[i].low not in (",", "-", ":", "(", ")"):
            return
        if s.units[i].low in ("-", "("):
            s.absent = None if s.absent is not None and s.absent.signs else s.absent
            return
        if s.absent is not None and not self._list_follows(s, i) and (s.absent.signs or i - s.absent.at >= 2):
            s.absent = None
        if s.doubt is not None and s.doubt.signs:
            s.doubt = None
        if s.past is not None and s.past.signs and not self._list_follows(s, i):
            s.past = None

    def _list_follows(self, s: State, i: int) -> bool:
        """After a comma or "and": the next piece is one more bare sign of the same list."""
        j = i + 1
        while j < len(s.units) and (s.units[j].low in ("and", "or", "nor", "any", ",", "&") or s.units[j].low in JOIN):
            j += 1
        if j >= len(s.units):
            return False
        unit = s.units[j]
        if unit.hard or unit.used or unit.muted or not unit.signs or unit.signs[0].id == "normal" or unit.region:
            return False
        listed = any(u.low in ("or", "nor", "and") for u in s.units[i : i + 6] if u.kind == "word") or \
            unit.signs[0].id in self.placer.parasites
        return listed and not any(u.grade or u.low in ARTICLES for u in s.units[i:j])

    # -- regions

    def _place(self, s: State, i: int) -> int:
        units = s.units
        found = self.regions.read(units, i) or self._other(s, i)
        if found is not None:
            refs, stop = found
            opening = (i == 0 or units[i - 1].hard or units[i - 1].used == "bird") and stop < len(units) and (
                units[stop].signs or units[stop].low in COPULAS or units[stop].low == ":")
            under = i > 1 and units[i - 1].low in ("that", "it") and units[i - 2].low in PREPOSITIONS
            if stop < len(units) and refs[0].weak and not under and not fronted_by(units, i) and not (
                s.fresh and s.said == 0 and s.topic and i - s.topic_end <= 1
            ):
                follow = units[stop + 1] if units[stop].low in COPULAS and stop + 1 < len(units) else units[stop]
                opening = opening or any(refs[0].region in m.regions for m in follow.signs) or (
                    units[stop].low in ("is", "are", "'s") and bool(follow.signs))
            if refs[0].weak and not opening and (s.topic or self._weak_only(units, refs[0].at, stop)) and not units[i].side:
                return 0 if units[i].region == "" or units[i].signs else i + 1
            return self._topic(s, i, refs, stop, fronted=False)
        side = self._side_only(s, i)
        if side and self._is_context(s, i, side[1]):
            s.context = side[0] if side[0] in ("left", "right") else ""
            return side[1] + 1
        if side and s.paired is not None:
            word, stop = side
            after = units[stop] if stop < len(units) else None
            comma = after is not None and after.low == "," and stop + 1 < len(units) and bool(units[stop + 1].signs)
            if comma or (after is not None and (after.low in COPULAS or after.low in ("does", "do", "did") or after.number or after.signs or after.grade or after.cues or after.low in
                                      (":", "too", "both", "one", "has", "got") or after.used == "measure")) or after is None:
                ref = s.topic[-1] if s.topic and s.topic[-1].region in self.regions.paired else s.paired
                if after is None or after.hard or (after.low == "too"):
                    return self.mender.side_back(s, i, word, stop)
                return self._topic(s, i, [replace(ref, side=word, at=i)], stop, fronted=False)
        if units[i].low in ("both", "each") and s.hits:
            return self.mender.side_back(s, i, "both", i + 1)
        if side:
            return self.mender.side_back(s, i, *side)
        return 0

    @staticmethod
    def _is_context(s: State, i: int, stop: int) -> bool:
        """"Left side first", "Now the right:": the side of all that follows."""
        units = s.units
        before = units[i - 1] if i else None
        if (before is None or before.hard) and stop + 1 < len(units) and units[stop].low == ":" and units[stop + 1].region:
            return not (units[stop + 1].region == "foot pad" and s.hits)
        opening = before is None or before.hard or before.low in ("now", "to", "then", ",") or before.used == "bird"
        after = units[stop] if stop < len(units) else None
        said = any("side" in u.low for u in units[i:stop])
        return opening and after is not None and (
            (after.low == ":" and (not s.topic or not s.fresh) and (said or (before is not None and before.low in ("now", "to", "then"))))
            or (said and after.low in ("first", "next", "now", ":")))

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

    def _side_only(self, s: State, i: int) -> tuple[str, int] | None:
        """"the right one", "on the left", "the other": a side without its region."""
        units, j, size = s.units, i, len(s.units)
        while j < size and units[j].low in ("the", "her", "his", "its", "my", "on", "that"):
            j += 1
        if j >= size or units[j].used or units[j].muted:
            return None
        word, stop = units[j].side, j + 1
        if not word and units[j].low == "other" and s.paired is not None and not (
            stop < size and units[stop].region and units[stop].region != s.paired.region
        ) and j > i:
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

    def _topic(self, s: State, i: int, refs: list[Ref], stop: int, fronted: bool) -> int:
        """A new topic: ends what the last one's cues governed."""
        units = s.units
        refs = [self._lend_side(s, ref, i) for ref in refs]
        s.fronted, was_fronted = fronted, s.fronted
        neither = any(u.side == "neither" for u in units[i:stop])
        determined = units[i].low in DETERMINERS or s.determined or (stop < len(units) and units[stop].low in ("'s", "is"))
        s.determined = units[i].low in DETERMINERS
        adjacent = not determined and s.fresh and s.topic and s.topic_end == i and s.said == 0 and not any(r.weak for r in s.topic)
        if adjacent and not fronted and not was_fronted and refs[0].region not in [r.region for r in s.topic] and not self._same_limb(s, refs):
            refs = s.topic + refs  # "eyes nares mouth all fine"
        if s.fix and s.fix[0] >= s.clause - 14:
            done = self.mender.correct_place(s, i, refs, stop)
            if done:
                return done
        after = units[stop] if stop < len(units) else None
        if s.pending >= 0 and i - s.pending <= 4 and (
            after is None or after.hard or after.kind == "plus" or after.low in (",", ")") or units[i - 1].low == ":"
        ) and not any(u.hard for u in units[s.pending : i]):
            waiting, s.pending = s.pending, -1
            s.set_topic(refs, stop)
            units[waiting].notes.clear()
            self._sign(s, waiting, Place(refs, "sign, then region", stop, explicit=True))
            return stop
        if self.mender.late_place(s, i, refs, stop) or self.mender.verb_ellipsis(s, i, refs, stop):
            return max(stop, i + 1)
        if self.mender.exception_place(s, i, refs, stop) or self.mender.too(s, i, refs, stop):
            return stop
        governs = s.absent is not None and s.absent.signs == 0 and not fronted and i - s.absent.at <= 1
        if s.absent is not None and not governs:
            s.absent = None
        if s.doubt is not None and s.doubt.signs:
            s.doubt = None
        if s.past is not None and s.past.signs:
            s.past = None
        s.set_topic(refs, stop)
        if neither:
            s.absent = Open(Cue("neither", "absent", units[i].span), i)
        if s.clause < i and not governs and not (s.doubt or s.past):
            s.clause = i
        return stop

    @staticmethod
    def _is_detail(s: State, i: int, stop: int) -> bool:
        """"bare between the shoulders and the tail": only tells where on the region already named."""
        units = s.units
        if units[i].low == "of" and i and units[i - 1].side and s.hits and i - s.hits[-1].at <= 4:
            return True  # "thin on both sides of the keel"
        since = i - 2 if i and units[i - 1].low in PREPOSITIONS else i - 1
        if not s.hits or s.hits[-1].at != since or s.hits[-1].rule != "region before":
            return False
        if units[i].low in ("from", "to", "between", "near", "behind", "above", "below", "along", "down", "against", "towards", "beside"):
            return True
        after = units[stop] if stop < len(units) else None
        return after is None or after.hard or (after.low in SUBJECTS and after.low not in ("there's", "there"))

    def _same_limb(self, s: State, refs: list[Ref]) -> bool:
        limb = self.regions.limb
        old, new = s.topic[-1].side, refs[0].side
        return bool(limb.get(refs[0].region)) and limb.get(refs[0].region) == limb.get(s.topic[-1].region) and (
            (old in ("left", "right")) != (new in ("left", "right")) or old == new in ("left", "right"))

    def _lend_side(self, s: State, ref: Ref, i: int) -> Ref:
        """"the pad" of the left foot just spoken of, "the third eyelid" of the right eye."""
        last = s.paired
        limb = self.regions.limb
        if ref.plural and last is not None and last in s.topic and s.fresh and s.topic_end == i and ref.region != last.region \
                and last.side in ("left", "right") and limb.get(ref.region) == limb.get(last.region) == "leg":
            return replace(ref, side=last.side)  # "left foot toes"
        if ref.plural and last is not None and last in s.topic and ref.region == last.region and last.side in ("left", "right") and (
            s.units[ref.at].low not in self.regions.regions[ref.region].plural[:1]
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
        definite = last.region == ref.region or led in DETERMINERS or s.units[i].low in DETERMINERS or s.units[i].low in ("on", "in", "that") or s.topic_end >= i - 1
        return replace(ref, side=last.side) if same and definite else ref

    # -- signs

    def _sign(self, s: State, i: int, place: Place | None = None) -> int:
        units, unit = s.units, s.units[i]
        place = place or self.placer.place(units, i, s.topic, s.fresh, s.topic_end, s.absent is not None, s.said)
        if place is None:
            if unit.signs[0].id == "normal" and not s.hits and i and any(u.used == "bird" for u in units[max(0, i - 5) : i]):
                s.rest_normal = s.absent is None
            else:
                s.pending = i
                unit.notes.append("no region to put it on")
            return i + 1
        refs = place.refs
        meaning = self.placer.sense(unit, refs[-1].region)
        feathered = next((m for m in unit.signs if "plumage" in m.regions), None)
        if feathered is not None and refs[-1].region != "plumage" and any(
            u.region == "plumage" and u.weak for u in units[max(0, i - 5) : i]
        ):
            meaning = feathered  # "the feathers round it are missing"
        if meaning is None:
            meaning = unit.signs[0]
            if meaning.regions and refs[-1].region not in meaning.regions:
                return i + 1
        if meaning.id == "normal" and not meaning.regions and place.rule == "region carried" and s.absent is None and (
            self.placer._of_bird(units, i) and units[i - 1].low in ("'s", "is", "was", "she's", "he's", "looks", "all")
        ):
            s.rest_normal = True  # "otherwise he's fine"
            return i + 1
        if place.explicit:
            refs = [self._lend_side(s, ref, max(ref.at - 1, 0)) for ref in refs]
        if s.doubt is not None and not s.doubt.signs and i - s.doubt.at > 12:
            s.doubt = None
        step, grade_at = s.grade
        grade = step if step and i - grade_at <= 3 and not any(u.hard or u.used for u in units[grade_at:i]) else 0
        if step and not grade:
            s.grade = (0, -9)
        if s.absent is not None and s.absent.signs and grade and grade_at > s.absent.last:
            s.absent = None
        if s.absent is not None and self._absence_over(s, i, meaning.id, place.rule):
            s.absent = None
        if meaning.id == "normal" and meaning.regions and s.hits and s.hits[-1].at == i - 1 and s.hits[-1].sign != "normal":
            return i + 1  # "broken off short"
        if place.rule == "region carried" and self._already_said(s, i, meaning.id):
            return i + 1
        hits = [Hit(ref, meaning.id, i, place.end, group=s.group, rule=place.rule) for ref in refs]
        for hit in hits:
            self._judge(s, hit, grade, unit, place.rule)
            if meaning.form == "nil":
                hit.presence, hit.grade = "absent", 0
        s.grade = (0, -9)
        for opened in (s.absent, s.doubt, s.past):
            if opened is not None:
                opened.signs += 1
                opened.last = i
        s.placed_end = place.end if place.explicit else 0
        if place.explicit and [(r.region, r.side) for r in refs] != [(r.region, r.side) for r in s.topic]:
            s.set_topic(refs, place.end)
            for hit in hits:
                hit.group = s.group
        elif place.rule == "natural home" and refs[0].region not in ("general", "breathing", "plumage", "skin"):
            if not (s.topic and s.topic[0].region == refs[0].region):
                s.set_topic(refs, i + 1)
                for hit in hits:
                    hit.group = s.group
        s.fresh = False
        parasite = meaning.id in self.placer.parasites and s.absent is not None
        s.said = -1 if parasite and s.said <= 0 else max(1, s.said + 1)
        if meaning.id == "normal" and hits[0].presence == "absent":
            unit.notes.append("not normal, but no sign said")
            return i + 1
        if meaning.id == "normal" and hits[0].when == "past":
            return i + 1
        self.mender.add(s, hits, i)
        if s.absent is not None and s.absent.cue.rule == "no-longer":
            self.mender.any_more(s, i, s.absent.cue)
        return i + 1 if not place.explicit else max(i + 1, self._skip_place(units, i, place.end))

    @staticmethod
    def _denies_before(s: State, i: int) -> bool:
        """nil, none: said behind a sign and before a pause they deny what stands before them."""
        unit = s.units[i]
        if not any(c[2] == "backward" and c[1] == "absent" for c in unit.cues) or not s.hits or not (
            s.hits[-1].at == i - 1 or (s.hits[-1].at == i - 2 and s.units[i - 1].low in (":", "-", "–"))
        ):
            return False
        after = s.units[i + 1] if i + 1 < len(s.units) else None
        return after is None or after.hard or after.gap or after.low in (",", "-", ")", "and", "&", "/") or (unit.low == "nil" and bool(
            (after.signs and i + 2 < len(s.units) and s.units[i + 2].low == "nil") or after.region))

    @staticmethod
    def _already_said(s: State, i: int, sign: str) -> bool:
        """"the wound gets a wipe": a sign spoken of again, not a new one."""
        before = s.units[i - 1].low if i else ""
        said = next((h for h in reversed(s.hits) if h.sign == sign and h.presence == "present"), None)
        if before not in ("the", "that", "those", "this", "these") or said is None or s.absent is not None:
            return False
        if (said.ref.region, said.ref.side) != (s.topic[-1].region, s.topic[-1].side):
            s.topic, s.fresh, s.said = [said.ref], False, 1
        return True

    @staticmethod
    def _skip_place(units: list[Unit], i: int, end: int) -> int:
        """Go on behind the place unless signs or cues stand between the sign and it."""
        for k in range(i + 1, end):
            unit = units[k]
            if (unit.signs and not unit.region) or unit.kind == "plus" or unit.grade or (unit.cues and not unit.region):
                return i + 1
        return end

    def _judge(self, s: State, hit: Hit, grade: int, unit: Unit, rule: str) -> None:
        hit.grade = grade
        if s.absent is not None:
            hit.presence, hit.grade = "absent", 0
            hit.cues.append(s.absent.cue)
            if hit.at - s.absent.at > 6:
                hit.penalise("far from its negation", 0.1)
            if s.absent.cue.rule == "no-belief":
                hit.certainty = "possible"
        if s.doubt is not None:
            hit.certainty = "possible"
            hit.cues.append(s.doubt.cue)
        if s.past is not None and s.absent is None:
            hit.when = "past"
            hit.cues.append(s.past.cue)
        if hit.sign == "normal":
            hit.grade = 0
        if rule == "region carried":
            hit.penalise("carried region", 0.08)
        if unit.slip:
            hit.penalise("repaired word", 0.1 if unit.slip == "slip" else 0.25)

    def _absence_over(self, s: State, i: int, sign: str, rule: str) -> bool:
        """True if the sign at i is no longer governed by the open negation."""
        opened = s.absent
        assert opened is not None
        if not opened.signs:
            return i - opened.at > self.reach.get(opened.cue.rule, 10)
        if sign == "normal":
            return s.units[i - 1].low not in ("or", "nor")
        between = s.units[opened.last + 1 : i]
        if any(u.low in ("or", "nor", "any", "and", "/", "&", ",") or u.is_cue("absent") for u in between):
            return i - opened.last > 5
        if rule == "adjective before region":
            return True
        if sign in self.placer.parasites:
            return bool(between)
        if not between:  # "no cuts scabs or bruises": a list only if it is closed by or
            for k in range(i + 1, min(i + 5, len(s.units))):
                unit = s.units[k]
                if unit.low in ("or", "nor"):
                    return False
                if not unit.signs:
                    break
        return True

    # -- grades

    def _grade(self, s: State, i: int) -> None:
        unit = s.units[i]
        after = s.units[i + 1] if i + 1 < len(s.units) else None
        before = s.units[i - 1] if i else None
        if after is not None and after.low in ("of", "a", "an") and i + 2 < len(s.units):
            after = s.units[i + 2]
        ahead = after is not None and not after.used and any(m.id != "normal" for m in after.signs)
        near = s.hits and i - s.hits[-1].end <= 2 and s.hits[-1].sign != "normal" and not (before is not None and before.hard)
        if after is not None and after.low in ("on", "in") and self.mender.grade_at_side(s, i, unit.grade):
            return
        if before is not None and before.low in ("not", "n't"):
            return
        closed = after is None or after.kind == "punct" or after.hard or after.gap
        if (unit.grade_before and not closed) or (ahead and not (near and after is not None and after.gap)):
            s.grade = (unit.grade, i)
            if s.absent is not None and s.absent.signs:
                s.absent = None
            return
        if after is not None and after.grade and not after.grade_before:
            return
        if self.mender.grade_at_side(s, i, unit.grade):
            return
        if self.mender.grade_back(s, i, unit.grade):
            return
        s.grade = (unit.grade, i)

    @staticmethod
    def _rest(s: State, i: int, end: int) -> int:
        """"the rest of her looks fine": a good word within a few, with no region named."""
        for k in range(i + 1, min(i + 7, end)):
            unit = s.units[k]
            if unit.hard or unit.used or unit.region or (unit.low in SUBJECTS and unit.low not in ("she", "he", "she's", "he's")):
                return 0
            if unit.signs:
                if not any(m.id == "normal" and not m.regions for m in unit.signs):
                    return 0
                s.rest_normal = True
                s.close()
                return k + 1
        return 0

    # -- cues

    def _cues(self, s: State, i: int, end: int, past_tense: bool) -> int:
        """Deal with the cues at unit i; the next unit to look at, or 0 to go on with it."""
        unit = s.units[i]
        for rule, category, direction in unit.cues:
            stop = self._cue(s, i, Cue(rule, category, unit.span), direction, past_tense, end)
            if stop:
                return stop
        return 0

    def _cue(self, s: State, i: int, cue: Cue, direction: str, past_tense: bool, end: int) -> int:
        unit, mender, after = s.units[i], self.mender, s.units[i + 1] if i + 1 < len(s.units) else None
        match cue.category:
            case "rest" if cue.rule == "rest-opening":
                return self._rest(s, i, end)
            case "rest" if unit.signs and s.topic and s.fresh and s.said == 0 and i - s.topic_end <= 3:
                return 0
            case "rest":
                s.rest_normal = True
                s.close()
                return i + 1
            case "withdraw" if unit.low == "never mind that" and after is not None and after.kind == "word" and not (
                after.gap or after.signs or after.region or after.cues
            ):
                return 0
            case "withdraw":
                mender.withdraw(s, i)
                s.fix = (i, "strong")
                return i + 1
            case "correction":
                return mender.correction(s, i)
            case "ditto":
                return mender.ditto(s, i)
            case "exception":
                return mender.exception(s, i)
            case "nothing":
                return mender.nothing(s, i)
            case "gone":
                return mender.gone(s, i, cue)
            case "still":
                mender.still(s, i)
            case "former":
                mender.any_more(s, i, cue)
                return i + 1
            case "decoy" | "double":
                s.absent = None
                s.doubled = i
                return i + 1 if not (unit.birds or unit.is_cue("still")) else 0
            case "absent" if direction == "backward":
                if mender.none_back(s, i, cue):
                    return i + 1
            case "absent" if self._denies_before(s, i):
                return 0
            case "replace":
                return mender.so_is(s, i)
            case "absent" if unit.low == "not" and mender.not_there(s, i, cue):
                return i + 1
            case "absent":
                if unit.low in ("no", "not") and mender.is_correction_no(s, i):
                    return mender.correction(s, i)
                if unit.low in ("n't", "not") and mender.ellipsis(s, i, cue):
                    return i + 1
                if s.absent is not None and not s.absent.signs and 2 <= i - s.absent.at <= 8 and any(
                    u.low in ("true", "say", "that", "claim", "mean", "pretend", "said") for u in s.units[s.absent.at : i]
                ):
                    s.absent = None  # "it isn't true that … not"
                    return i + 1
                if i - s.doubled <= 1 and s.doubled != i:
                    return i + 1
                if unit.low in ("n't", "not", "never") and after is not None and after.low == "the":
                    return i + 1  # "the left wing's not; the feathers are broken"
                s.doubt = None if s.doubt is not None and s.doubt.signs else s.doubt
                s.absent = Open(cue, i)
                return i + 1
            case "doubtful" if direction == "backward":
                if mender.doubt_back(s, i, cue):
                    return i + 1
            case "doubtful":
                if mender.is_doubt_ahead(s, i):
                    s.doubt = Open(cue, i)
                    if cue.rule == "cannot-rule-out":
                        s.absent = None
                    return 0 if unit.region or unit.signs or unit.side else i + 1
                return 0
            case "certain":
                s.doubt = None
                return 0 if unit.grade or unit.signs else i + 1
            case "past" if direction == "backward":
                return i + 1 if mender.past_back(s, i, cue, past_tense) else 0
            case "past":
                if any(c[1] == "past" and c[2] == "backward" for c in unit.cues) and mender.past_back(s, i, cue, past_tense):
                    return i + 1
                if unit.low in ("was", "were", "had", "had a", "had some") and (past_tense or not mender.is_past(s, i)):
                    return i + 1
                s.past = Open(cue, i)
                return i + 1
            case "now":
                if after is not None and after.hard and s.hits and s.hits[-1].at >= s.clause and i - s.hits[-1].end <= 1:
                    mender.any_more(s, i, cue)  # "there is no crust on the comb now."
                if s.past is not None and (s.past.signs or after is not None):
                    s.past = None
                if s.absent is not None and s.absent.signs:
                    s.absent = None
            case "stop":
                if s.absent is not None and (s.absent.signs or unit.low in ("but", "however", "though", "although")):
                    s.absent = None
                s.doubt = None if s.doubt is not None and s.doubt.signs else s.doubt
                s.past = None if s.past is not None and s.past.signs else s.past
                s.clause = i
            case "returning":
                if unit.low in ("hers", "his", "mine") and after is not None and not after.region and not after.side:
                    if s.taught and (not s.topic or s.taught[0].at > s.topic[0].at or not s.fresh):
                        s.set_topic([replace(r, at=i) for r in s.taught], i + 1)
                        return i + 1
                if s.absent is not None and s.absent.signs:
                    s.absent = None
            case _:
                pass
        return 0
