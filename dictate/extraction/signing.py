"""Signs and grades: where each belongs and how it is meant."""

from __future__ import annotations

from dictate.extraction.english import DETERMINERS
from dictate.extraction.hits import NORMAL, PLUMAGE, SKIN, Hit
from dictate.extraction.placing import Place
from dictate.extraction.reading import LONGEST_LIST, ReaderBase
from dictate.extraction.state import State
from dictate.extraction.units import Unit, unit_at

__all__ = ["Signing"]

BE_BEFORE = frozenset("'s is was she's he's looks all".split())
DENIAL_ENDS = frozenset(", - ) and & /".split())
DENYING = frozenset("not no-longer no-belief".split())  # deny a good word so that its opposite is meant
LISTING = frozenset("or nor any and / & ,".split())


class Signing(ReaderBase):
    """Signs and grades: where each belongs and how it is meant."""

    def sign(self, s: State, i: int, place: Place | None = None) -> int:
        """Deal with the sign at unit i, at its place or the one given; the next unit to look at."""
        units, unit = s.units, s.units[i]
        if self._looks_of_bird(units, i):
            return i + 1
        place = place or self.placer.place(units, i, s.topic, s.fresh, s.topic_end, s.absent is not None, s.said)
        if place is None:
            if (
                unit.signs[0].id == NORMAL
                and not s.hits
                and i
                and any(u.used == "bird" for u in units[max(0, i - 5) : i])
            ):
                s.rest_normal = s.absent is None
            else:
                near = s.waiting and i - s.waiting[-1] <= 2 and s.absent is None
                s.waiting = [*s.waiting, i] if near else [i]
                s.pending = i
                unit.notes.append("no region to put it on")
            return i + 1
        refs = place.refs
        meaning = self.placer.sense(unit, refs[-1].region)
        for layer in (PLUMAGE, SKIN):
            own = next((m for m in unit.signs if layer in m.regions and m.id != NORMAL), None)
            named = any(u.region == layer and u.weak for u in units[max(0, i - 5) : i])
            if own is not None and refs[-1].region != layer and named:
                meaning = own  # "the feathers round it are missing", "the skin isn't broken"
        if meaning is None:
            meaning = unit.signs[0]
            if meaning.regions and refs[-1].region not in meaning.regions:
                return i + 1
        if (
            meaning.id == NORMAL
            and not meaning.regions
            and place.rule == "region carried"
            and s.absent is None
            and (self.placer.of_bird(units, i) and units[i - 1].low in BE_BEFORE)
        ):
            s.rest_normal = True  # "otherwise he's fine"
            return i + 1
        if place.explicit:
            refs = [self.lend_side(s, ref, max(ref.at - 1, 0)) for ref in refs]
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
        if (
            meaning.id == NORMAL
            and meaning.regions
            and s.hits
            and s.hits[-1].at == i - 1
            and s.hits[-1].sign != "normal"
        ):
            return i + 1  # "broken off short"
        if place.rule == "region carried" and self._already_said(s, i, meaning.id):
            return i + 1
        ids = [meaning.id]
        if meaning.id in self.placer.parasites:  # "no parasites": of every kind that the word means
            ids = list(dict.fromkeys([meaning.id, *(m.id for m in unit.signs if m.id in self.placer.parasites)]))
        hits = [Hit(ref, sign, i, place.end, group=s.group, rule=place.rule) for sign in ids for ref in refs]
        for hit in hits:
            self._judge(s, hit, grade)
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
        elif (
            place.rule == "natural home"
            and refs[0].region not in self.regions.diffuse
            and not (s.topic and s.topic[0].region == refs[0].region)
        ):
            s.set_topic(refs, i + 1)
            for hit in hits:
                hit.group = s.group
        s.fresh = False
        parasite = meaning.id in self.placer.parasites and s.absent is not None
        s.said = -1 if parasite and s.said <= 0 else max(1, s.said + 1)
        if meaning.id == NORMAL and hits[0].presence == "absent":
            for hit in hits:
                if s.absent is not None and s.absent.cue.rule in DENYING:
                    self._by_denial(hit, unit)
            hits = [hit for hit in hits if hit.sign != NORMAL]
        if not hits:
            unit.notes.append("not normal, but no sign said")
            return i + 1
        if hits[0].sign == NORMAL and hits[0].when == "past":
            return i + 1
        self.mender.add(s, hits, i)
        if s.absent is not None and s.absent.cue.rule == "no-longer":
            self.mender.any_more(s, i, s.absent.cue)
        return i + 1 if not place.explicit else max(i + 1, self._skip_place(units, i, place.end))

    def _looks_of_bird(self, units: list[Unit], i: int) -> bool:
        """"this red hen": a colour that is a sign on some part, said of the bird before its name."""
        after = unit_at(units, i + 1)
        return (
            after is not None
            and any(m.id in self.any_bird for m in after.birds)
            and i > 0
            and units[i - 1].low in DETERMINERS
            and all(m.regions for m in units[i].signs)
        )

    def _by_denial(self, hit: Hit, unit: Unit) -> None:
        """"the keel isn't straight": what the denial of a good word comes to, where the lexicon says so."""
        said = next((w for w in (unit.low, *unit.low.split(" ")) if (hit.ref.region, w) in self.denied), "")
        if said:
            hit.sign, hit.presence, hit.rule = self.denied[hit.ref.region, said], "present", "good word denied"

    def denies_before(self, s: State, i: int) -> bool:
        """nil, none: said behind a sign and before a pause they deny what stands before them."""
        unit = s.units[i]
        if (
            not any(cue.direction == "backward" and cue.category == "absent" for cue in unit.cues)
            or not s.hits
            or not (s.hits[-1].at == i - 1 or (s.hits[-1].at == i - 2 and s.units[i - 1].low in (":", "-", "–")))
        ):
            return False
        after = unit_at(s.units, i + 1)
        return (
            after is None
            or after.hard
            or after.gap
            or after.low in DENIAL_ENDS
            or (
                unit.low == "nil"
                and bool((after.signs and i + 2 < len(s.units) and s.units[i + 2].low == "nil") or after.region)
            )
        )

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

    @staticmethod
    def _judge(s: State, hit: Hit, grade: int) -> None:
        """How the sign is meant, by the cues that are open."""
        hit.grade = grade
        if s.absent is not None:
            hit.presence, hit.grade = "absent", 0
            hit.cues.append(s.absent.cue)
            if s.absent.cue.rule == "no-belief":
                hit.certainty = "possible"
        if s.doubt is not None:
            hit.certainty = "possible"
            hit.cues.append(s.doubt.cue)
        if s.past is not None and s.absent is None:
            hit.when = "past"
            hit.cues.append(s.past.cue)
        if hit.sign == NORMAL:
            hit.grade = 0

    def _absence_over(self, s: State, i: int, sign: str, rule: str) -> bool:
        """True if the sign at i is no longer governed by the open negation."""
        opened = s.absent
        assert opened is not None
        if not opened.signs:
            return i - opened.at > self.reach.get(opened.cue.rule, 10)
        if sign == NORMAL:
            return s.units[i - 1].low not in ("or", "nor")
        between = s.units[opened.last + 1 : i]
        if any(u.low in LISTING or u.is_cue("absent") for u in between):
            return i - opened.last > 5
        if rule == "adjective before region":
            return True
        if sign in self.placer.parasites:
            return bool(between)
        if not between:  # "no cuts scabs or bruises": a list only if it is closed by or
            for k in range(i + 1, min(i + LONGEST_LIST, len(s.units))):
                unit = s.units[k]
                if unit.low in ("or", "nor"):
                    return False
                if not unit.signs:
                    break
        return True

    def grade(self, s: State, i: int) -> None:
        """Keep the grade at unit i for the sign that follows, or give it to the one before."""
        unit = s.units[i]
        after = unit_at(s.units, i + 1)
        before = unit_at(s.units, i - 1)
        if after is not None and after.low in ("of", "a", "an") and i + 2 < len(s.units):
            after = s.units[i + 2]
        ahead = after is not None and not after.used and any(m.id != NORMAL for m in after.signs)
        near = (
            s.hits
            and i - s.hits[-1].end <= 2
            and s.hits[-1].sign != NORMAL
            and not (before is not None and before.hard)
        )
        if after is not None and after.low in ("on", "in") and self.mender.grade_at_side(s, i, unit.grade):
            return
        if before is not None and before.low in ("not", "n't"):
            return
        closed = after is None or after.kind == "punct" or after.hard or after.gap
        if (unit.grade_before and not closed) or (ahead and not (near and after is not None and after.gap)):
            s.grade = (unit.grade, i)
            s.end_absence()
            return
        if after is not None and after.grade and not after.grade_before:
            return
        if self.mender.grade_at_side(s, i, unit.grade):
            return
        if self.mender.grade_back(s, i, unit.grade):
            return
        s.grade = (unit.grade, i)
