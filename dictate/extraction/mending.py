"""What looks back: corrections, withdrawals, ditto, "gone", grades and sides behind the sign."""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.hits import Hit, Ref
from dictate.extraction.placing import Placer
from dictate.extraction.regions import RegionReader, opposite
from dictate.extraction.state import Open, State
from dictate.extraction.units import COPULAS, DETERMINERS, PREPOSITIONS, Unit
from dictate.model import Cue

__all__ = ["Mender"]

STRONG = frozenset(
    ["correction", "no i mean", "i mean", "make that", "no make that", "or rather", "no correction", "i meant", "no wait",
     "no sorry", "sorry no", "no hang on", "no actually", "actually no", "i should say", "sorry i mean", "sorry i meant",
     "no hold on", "change that to", "tell a lie", "i tell a lie", "no i tell a lie", "no it's", "no that's", "no i meant",
     "let me correct that", "that's wrong", "my mistake", "wait no", "oh no wait", "no , wait", "no , sorry", "wait , no",
     "hang on , no", "sorry , no", "no , i mean", "no , make that", "er no", "or no", "no , hang on", "no no", "no , no",
     "amend that to", "i said", "rather"]
)
CROP_STATES = frozenset(["full", "empty", "impaction", "sour crop", "normal"])
SKIPPED = frozenset("i mean the it's it's that is was a an to her his its in on of so , all : should be now this , -".split())


class Mender:
    """Changes to what has been understood so far."""

    def __init__(self, placer: Placer, regions: RegionReader) -> None:
        self.placer = placer
        self.regions = regions

    # -- adding

    def add(self, s: State, hits: list[Hit], i: int) -> None:
        """Add hits; one that is there already is brought up to date instead."""
        if s.fix is not None:
            self._fix(s, hits, i)
        for hit in hits:
            twin = next((h for h in s.hits if h.core == hit.core), None)
            if twin is None:
                s.hits.append(hit)
                continue
            if twin.sign != "normal":
                twin.presence = hit.presence
                twin.grade = hit.grade or (twin.grade if hit.presence == "present" else 0)
                twin.certainty = hit.certainty if twin.certainty != hit.certainty and hit.grade else twin.certainty
                twin.cues = hit.cues or twin.cues
            s.hits.remove(twin)
            twin.at, twin.end, twin.group = hit.at, hit.end, hit.group
            s.hits.append(twin)

    def last_group(self, s: State) -> list[Hit]:
        """The hits of the statement made last."""
        if not s.hits:
            return []
        at = s.hits[-1].at
        return [h for h in s.hits if h.at == at]

    # -- corrections

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
            last = self.last_group(s)
            for hit in last:
                if hit.sign != "normal" and hit.presence == "present":
                    hit.grade = s.units[j].grade
            s.fix = None
            return j + 1
        return i + 1

    @staticmethod
    def _sign_after(units: list[Unit], j: int) -> bool:
        return j < len(units) and bool(units[j].signs) or (j + 1 < len(units) and units[j].low in ("of", "a") and bool(
            units[j + 1].signs))

    def is_correction_no(self, s: State, i: int) -> bool:
        """"left, no, right": a no that takes back instead of denying."""
        units = s.units
        after = units[i + 1] if i + 1 < len(units) else None
        if units[i].low != "no" or after is None or not (s.hits or s.topic):
            return False
        if after.low in (",", "wait", "sorry", "i", "it", "that", "hang", "hold", "she", "he", "they", "it's", "they're"):
            return i > 0 and not (after.low in ("she", "he", "that", "it", "i") and units[i - 1].hard and False)
        if after.number is not None and s.hits and i + 2 < len(units) and s.hits[-1].sign in {m.id for m in units[i + 2].signs}:
            return True
        if after.low == "the" and i + 2 < len(units) and units[i + 2].side in ("left", "right") and s.topic and s.fresh:
            return True
        if after.side in ("left", "right") and (s.topic or s.hits):
            found = self.regions.read(units, i + 1)
            return found is None or bool(s.topic) and found[0][0].region == s.topic[-1].region
        return False

    def _fix(self, s: State, hits: list[Hit], i: int) -> None:
        """A new sign after a correcting word takes the place of the one it contradicts."""
        assert s.fix is not None
        at, strength = s.fix
        before = [h for h in s.hits if h.at < at]
        if not before or i - at > 14:
            s.fix = None
            return
        new, last = hits[-1], before[-1]
        same_place = new.ref.region == last.ref.region and (
            new.ref.side == last.ref.side or not new.ref.side or not last.ref.side)
        group = [h for h in before if h.at == last.at]
        if same_place and new.sign == last.sign:
            if strength == "strong" and i - at <= 5:
                for hit in group:
                    s.hits.remove(hit)
        elif same_place and ("normal" in (new.sign, last.sign) or {new.sign, last.sign} <= CROP_STATES
                             or strength == "strong" and i - at <= 5):
            for hit in group:
                s.hits.remove(hit)
        elif new.sign == last.sign and (
            new.ref.region == last.ref.region or last.rule in ("parasite on skin", "natural home", "region carried")
        ) and strength == "strong" and i - at <= 6:
            for hit in group:
                s.hits.remove(hit)
        s.fix = None

    def correct_place(self, s: State, i: int, refs: list[Ref], stop: int) -> int:
        """After a correcting word, a region or side with no new sign moves the last finding there."""
        assert s.fix is not None
        at, strength = s.fix
        before = [h for h in s.hits if h.at < at]
        if not before or i - at > 14 or any(u.signs and not u.region for u in s.units[at + 1 : i]):
            return 0
        last = before[-1]
        if s.fresh and s.said == 0 and s.topic and s.topic[0].at > last.at:
            s.fix = None
            return 0  # nothing was said of the topic yet: it is simply replaced
        j = stop
        while j < len(s.units) and (s.units[j].low in COPULAS or s.units[j].low in ("sorry", ",", "i", "mean") or
                                    s.units[j].is_cue("correction")):
            j += 1
        follower = s.units[j] if j < len(s.units) else None
        ref = refs[-1]
        whole = any(u.low in ("all", "those", "both") or u.low.startswith("all of") for u in s.units[at + 1 : i])
        said_again = follower is not None and (bool(follower.signs) or bool(follower.grade) or follower.is_cue("absent"))
        if said_again and follower is not None:
            repeated = any(m.id == last.sign for m in follower.signs)
            if not repeated and not (strength == "strong" and last.ref.region == ref.region and last.ref.side and
                                     opposite(last.ref.side) == ref.side and follower.region == ""
                                     and not follower.signs):
                return 0
        elif strength == "weak" and not (last.ref.region == ref.region or whole):
            return 0
        if not (ref.region == last.ref.region or strength == "strong" or whole):
            return 0
        for hit in s.hits:
            if hit.group == last.group and (whole or hit.ref.region == last.ref.region) and hit.at < at and (
                whole or hit.ref == last.ref or hit.ref.side == last.ref.side
            ):
                hit.moved(region=ref.region, side=ref.side or (hit.ref.side if ref.region == hit.ref.region else ""))
        s.fix = None
        s.set_topic(refs, stop)
        s.said = 1
        return stop

    def withdraw(self, s: State, i: int) -> None:
        """Take back the last statement."""
        last = s.hits[-1] if s.hits else None
        if s.rest_normal and (last is None or i - last.at > 8 and any(
            u.is_cue("rest") for u in s.units[max(0, i - 4) : i]
        )):
            s.rest_normal = False
            return
        if any(u.is_cue("rest") for u in s.units[max(0, i - 4) : i]):
            s.rest_normal = False
            return
        for hit in self.last_group(s):
            s.hits.remove(hit)

    # -- ditto and the other side

    def ditto(self, s: State, i: int) -> int:
        units, unit = s.units, s.units[i]
        follower = units[i + 1] if i + 1 < len(units) else None
        if unit.low in ("the same", "same", "just the same", "exactly the same", "identical") and follower is not None and (
            follower.low in ("as", "old", "thing", "way", "day", "time", "size") or follower.number
        ):
            return i + 1
        if unit.low in ("same", "the same", "do") and not (
            follower is None or follower.hard or follower.low in (",", "on", "for", "and", ")") or follower.side or s.topic
            and s.fresh
        ):
            return 0
        stop, side = i + 1, ""
        if "left" in unit.low.split():
            side = "left"
        elif "right" in unit.low.split():
            side = "right"
        else:
            k = i + 1
            complete = bool({"other", "both", "partner"} & set(unit.low.split()))
            while not complete and k < len(units) and units[k].low in ("on", "the", "for", "with", "in", "her", "his", "side", "at",
                                                                      "of"):
                k += 1
            if complete:
                pass
            elif k < len(units) and units[k].side in ("left", "right", "both"):
                side, stop = units[k].side, k + 1
                if stop < len(units) and units[stop].low in ("side", "one"):
                    stop += 1
            elif k < len(units) and units[k].low == "other":
                stop = k + 1
                while stop < len(units) and units[stop].low in ("side", "one", "foot", "eye", "leg"):
                    stop += 1
        source: list[Hit]
        target = s.topic[-1] if s.topic and s.fresh and s.said == 0 else None
        pool = [h for h in s.hits if h.ref.region in self.regions.paired and h.ref.side in ("left", "right", "both")]
        if target is not None and target.region in self.regions.paired:
            same = [h for h in pool if h.ref.region == target.region]
            pool, side = (same or pool), side or target.side
        elif target is not None and s.hits:  # "comb pale, wattles the same"
            last = s.hits[-1]
            for hit in [h for h in s.hits if h.at == last.at]:
                self.add(s, [hit.copy(replace(ref, at=i)) for ref in s.topic], i)
            return stop
        if not pool:
            pool = [h for h in s.hits if h.ref.region in self.regions.paired][-1:]
        if not pool:
            return stop
        last = pool[-1]
        source = [h for h in pool if h.group == last.group and h.ref.side == last.ref.side]
        if not source:
            source = [last]
        wanted = side or opposite(last.ref.side)
        for hit in source:
            if last.ref.side == wanted and wanted != "both":
                continue
            region = target.region if target is not None and target.region in self.regions.paired else hit.ref.region
            if wanted == "both":
                hit.moved(side="both")
                continue
            twin = hit.copy(Ref(region, wanted or "", i))
            twin.at, twin.end, twin.rule = i, i + 1, "ditto"
            twin.penalise("said as the same", 0.05)
            self.add(s, [twin], i)
        if wanted and wanted != "both":
            s.paired = Ref(last.ref.region, wanted, i)
        return stop

    # -- exceptions

    def exception(self, s: State, i: int) -> int:
        unit = s.units[i]
        follower = s.units[i + 1] if i + 1 < len(s.units) else None
        if unit.low in ("bar", "save", "besides") and (follower is None or follower.number or follower.hard):
            return 0
        s.absent = None
        s.doubt = None
        s.exception = True
        return i + 1

    def exception_place(self, s: State, i: int, refs: list[Ref], stop: int) -> bool:
        """"no mites except a few at the vent": the last sign is there after all."""
        if not s.exception or not s.hits:
            return False
        last = s.hits[-1]
        if last.presence != "absent" and last.sign != "normal":
            return False
        if last.sign == "normal" and last.ref.side == "both" and refs[0].region == last.ref.region and refs[0].side in (
            "left", "right"
        ):
            last.moved(side=opposite(refs[0].side))  # "toes straight bar the left outer"
        between = s.units[last.at + 1 : i]
        cut = next((k for k in range(len(between) - 1, -1, -1) if between[k].is_cue("exception")), None)
        if cut is None or any(u.signs and not u.region for u in between[cut + 1 :]):
            return False
        follower = s.units[stop] if stop < len(s.units) else None
        if follower is not None and (follower.signs or follower.low in COPULAS or follower.grade or follower.low in
                                     (":", "which", "that", "where")):
            return False
        if last.sign == "normal":
            return False
        group = self.last_group(s)
        for hit in group:
            for ref in refs:
                region = ref.region
                if hit.ref.side == "both" and region == hit.ref.region and ref.side in ("left", "right"):
                    hit.moved(side=opposite(ref.side))
                twin = hit.copy(replace(ref, at=i))
                twin.presence, twin.at, twin.end, twin.rule = "present", i, stop, "exception"
                twin.cues = []
                s.hits.append(twin)
        s.set_topic(refs, stop)
        s.fresh, s.said = False, 1
        return True

    def more_there(self, s: State, i: int, refs: list[Ref], stop: int) -> bool:
        """"ticks on the neck, four of them, and two more under the left wing": the same sign there too."""
        units = s.units
        before = units[i - 1] if i else None
        if before is None or not s.hits or s.hits[-1].sign == "normal" or i - s.hits[-1].at > 14:
            return False
        after = units[stop] if stop < len(units) else None
        if before.low in ("nor", "or") and units[i].low in ("from", "on", "in", "at", "under", "round", "around"):
            if after is None or after.hard or after.low in (",", "and", "but") or after.gap:
                for hit in self.last_group(s):
                    for ref in refs:
                        twin = hit.copy(replace(ref, at=i))
                        twin.at, twin.end, twin.rule = i, stop, "nor there"
                        s.hits.append(twin)
                return True
            return False
        if not (before.low in ("more", "others", "another", "few", "some") or before.number is not None):
            return False
        if before.low not in ("more", "another", "others") and (before.unit or after is not None and after.signs):
            return False
        last = s.hits[-1]
        if last.presence == "absent":
            return False
        for ref in refs:
            twin = last.copy(replace(ref, at=i))
            twin.at, twin.end, twin.rule, twin.grade = i, stop, "more there", 0
            s.hits.append(twin)
        s.set_topic(refs, stop)
        s.fresh, s.said = False, 1
        return True

    def late_place(self, s: State, i: int, refs: list[Ref], stop: int) -> bool:
        """"raised scales, mild, both shanks": the side of what was just said, named afterwards."""
        after = s.units[stop] if stop < len(s.units) else None
        if not s.hits or not (after is None or after.hard or after.low in (")", ",")):
            return False
        last = s.hits[-1]
        if len(refs) != 1 or last.ref.side or last.ref.region != refs[0].region or not refs[0].side or i - last.at > 6 or any(
            u.hard for u in s.units[last.at + 1 : i]
        ):
            return False
        for hit in self.last_group(s):
            hit.moved(side=refs[0].side)
        s.topic, s.topic_end, s.fresh, s.said = refs, stop, False, 1
        return True

    def verb_ellipsis(self, s: State, i: int, refs: list[Ref], stop: int) -> bool:
        """"the face isn't swollen, only the comb is": the last sign, there or not there."""
        units = s.units
        j = stop
        if not s.hits or j >= len(units) or units[j].low not in ("is", "are", "does", "has", "do", "have", "was"):
            return False
        denied = j + 1 < len(units) and units[j + 1].low in ("n't", "not")
        k = j + 1 + denied
        after = units[k] if k < len(units) else None
        if not (after is None or after.hard or after.low in (",", "and", "but", "so", "though", ")") or denied and (
            after.region or after.side or after.gap)):
            return False
        last = s.hits[-1]
        if last.sign == "normal" or i - last.at > 12 or units[j].low == "was":
            return False
        for ref in refs:
            twin = last.copy(replace(ref, at=i))
            twin.at, twin.end, twin.rule = i, k, "said of another"
            twin.presence = "absent" if denied else "present"
            twin.when, twin.cues, twin.grade = "now", [], 0
            s.hits.append(twin)
        s.set_topic(refs, k)
        s.fresh, s.said = False, 1
        return True

    def too(self, s: State, i: int, refs: list[Ref], stop: int) -> bool:
        """"… and the beak too": the last sign there as well."""
        units = s.units
        if not s.hits or stop >= len(units) or units[stop].low not in ("too", "as well", "also", "likewise"):
            return False
        after = units[stop + 1] if stop + 1 < len(units) else None
        if after is not None and (after.signs or after.low in COPULAS or after.low in ("has", "a")):
            return False
        last = s.hits[-1]
        if i - last.at > 12 or last.sign == "normal" and last.ref.region == refs[0].region:
            return False
        for hit in self.last_group(s):
            for ref in refs:
                twin = hit.copy(replace(ref, at=i))
                twin.at, twin.end, twin.rule, twin.grade = i, stop + 1, "too", 0
                s.hits.append(twin)
        s.set_topic(refs, stop + 1)
        s.fresh, s.said = False, 1
        return True

    def nothing(self, s: State, i: int) -> int:
        """"nothing wrong with either eye", "left foot nothing": normal, unless an exception follows."""
        units = s.units
        j = i + 1
        while j < len(units) and (units[j].low in ("wrong", "with", "on", "in", "at", "the", "matter", "to", "see", "find",
                                                   "report", "amiss", "under", "of", "note", "there", "her", "his")
                                  and not units[j].region):
            j += 1
        found = self.regions.read(units, j) if j < len(units) else None
        if found is None and j > i + 1 and j - 1 < len(units):
            found = self.regions.read(units, j - 1)
        ahead = units[i + 1 : i + 14]
        for unit in ahead:
            if unit.hard:
                break
            if unit.is_cue("exception"):
                if found is not None:
                    s.set_topic(found[0], found[1])
                    return found[1]
                return i + 1
        if found is not None and not found[0][0].weak:
            hits = [Hit(ref, "normal", i, found[1], group=s.group, rule="nothing there") for ref in found[0]]
            s.set_topic(found[0], found[1])
            for hit in hits:
                hit.group = s.group
            s.said = 1
            self.add(s, hits, i)
            return found[1]
        pronoun = any(u.low in ("it", "them", "those", "either", "that") for u in units[i + 1 : j + 1])
        if s.topic and not s.topic[-1].weak and (s.fresh and s.said == 0 and i - s.topic_end <= 2 or pronoun):
            self.add(s, [Hit(ref, "normal", i, i + 1, group=s.group, rule="nothing there") for ref in s.topic], i)
            s.said = 1
            return i + 1
        follower = units[i + 1] if i + 1 < len(units) else None
        if follower is not None and follower.signs and follower.signs[0].id != "normal":
            s.absent = Open(Cue("nothing", "absent", units[i].span), i)
        return i + 1

    # -- absence behind the sign

    def none_back(self, s: State, i: int, cue: Cue) -> bool:
        """"mites nil"; "none under the right": the last sign is absent, here or at the place named."""
        units = s.units
        if units[i].low == "no" and not (i and units[i - 1].low == ":"):
            return False
        if units[i].low == "-":  # a dash denies only what it follows at once, before a comma or an end
            after = units[i + 1] if i + 1 < len(units) else None
            if not s.hits or s.hits[-1].at != i - 1 or not (after is None or after.hard or after.low in (",", ")")):
                return False
        if not s.hits:
            return False
        last = s.hits[-1]
        if s.fresh and s.said == 0 and s.topic and s.topic[0].at > last.at and i - s.topic_end <= 2 and last.sign != "normal" and \
                units[i].low in ("none", "nothing", "nil", "not a one", "none at all"):
            for ref in s.topic:  # "under the right, none"
                twin = last.copy(replace(ref, at=i))
                twin.presence, twin.at, twin.end, twin.rule, twin.grade, twin.when = "absent", i, i + 1, "none there", 0, "now"
                twin.cues = [cue]
                s.hits.append(twin)
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
                    refs = [replace(s.paired, side=units[k].side if units[k].side in ("left", "right") else "both", at=k)]
                    stop = k + 1
            if refs and units[i].low in ("none", "nothing", "not a one", "nil", "not one", "none at all", "no"):
                twin = last.copy(refs[-1])
                twin.presence, twin.at, twin.end, twin.rule, twin.grade = "absent", i, stop, "none there", 0
                twin.when = "now"
                twin.cues = [cue]
                s.hits.append(twin)
                s.topic, s.topic_end, s.fresh, s.said = refs, stop, False, 1
                for unit in units[i + 1 : stop]:
                    unit.used = unit.used or "place"
                return True
        if i - last.at > 5 or last.sign == "normal":
            return False
        if any(u.hard for u in units[last.at + 1 : i]) and units[i].low != "none today":
            return False
        if units[i].low in ("x", "0", "-ve", "neg") and last.presence == "absent":
            return True
        after = units[i + 1] if i + 1 < len(units) else None
        if units[i].low in ("none", "nil") and last.when == "past" or (
            last.when == "past" and after is not None and after.is_cue("now")
        ):
            twin = last.copy(last.ref)
            twin.presence, twin.when, twin.at, twin.grade, twin.cues = "absent", "now", i, 0, [cue]
            s.hits.append(twin)
            return True
        if units[i].low == "x" and after is not None and after.number:
            return False
        for hit in self.last_group(s):
            if s.absent is not None and hit.presence == "absent":
                continue
            hit.presence, hit.grade = "absent", 0
            hit.cues.append(cue)
            if hit.sign in self.placer.parasites and hit.rule == "region carried":
                hit.moved(region="skin", side="")
        return True

    def ellipsis(self, s: State, i: int, cue: Cue) -> bool:
        """"She was lame. She isn't now.": the sign last spoken of is denied."""
        units = s.units
        before = units[i - 1] if i else None
        j = i + 1
        while j < len(units) and (units[j].is_cue("now") or units[j].low in ("any", "more", "any more", "anymore", "now")):
            j += 1
        after = units[j] if j < len(units) else None
        if not (after is None or after.hard or after.low in (",", "and", "but", ";") or after.gap and not after.signs
                or j > i + 1 and after.low.split("'")[0] in ("it", "she", "he", "the", "so", "they")):
            return False
        if before is None or not (before.low in COPULAS or before.low in ("do", "does", "did", "ai", "wo")):
            return False
        if s.muted_sign is not None and i - s.muted_sign[1] < 14:
            unit = s.muted_sign[0]
            meaning = next((m for m in unit.signs if not m.regions), unit.signs[0])
            home = self.placer.home(unit)
            taught = s.taught[-1] if s.taught and s.taught[-1].side != "both" else s.topic[-1] if s.topic else None
            ref = Ref(home[1], at=i) if home else taught
            if ref is None:
                return False
            hit = Hit(ref, home[0].id if home else meaning.id, i, i + 1, "absent", group=s.group, rule="denied", cues=[cue])
            s.muted_sign = None
            self.add(s, [hit], i)
            return True
        if s.hits and s.hits[-1].when == "past" and s.hits[-1].presence == "present":
            last = s.hits[-1]
            twin = last.copy(last.ref)
            twin.presence, twin.when, twin.at, twin.grade, twin.cues, twin.rule = "absent", "now", i, 0, [cue], "denied"
            s.hits.append(twin)
            return True
        return False

    # -- time

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
        if i - last.at > 12 or last.sign == "normal" or any(u.hard for u in s.units[last.at + 1 : i]) and not any(
            u.low in ("that", "they", "it", "'ve", "all", "now", "it's", "they've", "since") for u in s.units[max(0, i - 3) : i]
        ) and not (s.units[i - 1].kind == "punct"):
            return 0
        if unit.signs and i - last.at > 3:
            return 0
        after = s.units[i + 1] if i + 1 < len(s.units) else None
        if unit.low in ("gone", "has gone", "have gone", "is gone") and after is not None and (
            after.signs and not after.region or after.grade or after.low in ("blue", "a", "in", "off", "down", "over")
        ):
            return 0
        if last.presence == "absent":
            return i + 1
        for hit in self.last_group(s):
            hit.when, hit.gone = "past", True
            hit.cues.append(cue)
        return i + 1

    @staticmethod
    def still(s: State, i: int) -> None:
        """What was there and is there still is a finding of now."""
        s.past = None
        unit = s.units[i]
        if unit.low == "still" and not (i + 1 >= len(s.units) or s.units[i + 1].hard or s.units[i + 1].low in (
                "is", "there", "has", ",", "got", "are", "does", "do", "have")) and not (i and s.units[i - 1].low in ("is", "it", "she")):
            return
        if not s.hits or s.hits[-1].when != "past" or i - s.hits[-1].at > 14:
            return
        at = s.hits[-1].at
        for hit in s.hits:
            if hit.at == at:
                hit.when, hit.gone = "now", False

    @staticmethod
    def any_more(s: State, i: int, cue: Cue) -> None:
        """"isn't swollen any more": it was, and now it is not."""
        if not s.hits or i - s.hits[-1].at > 4 or s.hits[-1].presence != "absent":
            return
        for hit in [h for h in s.hits if h.at == s.hits[-1].at]:
            twin = hit.copy(hit.ref)
            twin.presence, twin.when, twin.cues, twin.rule = "present", "past", [cue], "no more"
            s.hits.append(twin)

    def past_back(self, s: State, i: int, cue: Cue, past_tense: bool) -> bool:
        """"… last spring", "… in March" behind a sign."""
        before = s.units[i - 1].low if i else ""
        if before in ("since", "than", "from", "until", "till", "as", "like") or not s.hits:
            return False
        last = s.hits[-1]
        if i - last.at > 9 or last.sign == "normal" or last.presence == "absent" or any(
            u.hard or u.used for u in s.units[last.at + 1 : i]
        ):
            return False
        if s.units[i].low in ("before", "previously", "yesterday", "last night", "prev") and last.when != "past" and \
                not any(u.is_cue("past") or u.low in ("been", "was", "were") for u in s.units[max(0, last.at - 4) : i]):
            return False
        at = last.at
        for hit in s.hits:
            if hit.at == at:
                hit.when = "past"
                hit.cues.append(cue)
        return True

    @staticmethod
    def is_past(s: State, i: int) -> bool:
        """had/was + sign is past, unless it is "has had a look" or "I had to hold her"."""
        units = s.units
        after = units[i + 1] if i + 1 < len(units) else None
        before = units[i - 1] if i else None
        if after is None or after.hard or after.low in ("to", "a look", "him", "it"):
            return False
        if units[i].low.startswith("had") and before is not None and before.low in ("i", "we", "i've", "just", "'s", "has", "have",
                                                                                   "'ve"):
            return False
        reach = units[i + 1 : i + 7]
        for unit in reach:
            if unit.hard or unit.used or unit.low in ("she", "he", "it", ",", ")"):
                break
            if unit.signs:
                return unit.signs[0].id != "normal" or units[i].low.startswith("had")
        return False

    # -- doubt behind

    def is_doubt_ahead(self, s: State, i: int) -> bool:
        """False if the doubt belongs to what stands before ("frost nipped I think, spurs neat")."""
        units = s.units
        after = units[i + 1] if i + 1 < len(units) else None
        unit = units[i]
        if any(cue[2] == "backward" for cue in unit.cues):
            if self._backward_doubt(s, i):
                return False
        if after is None or after.hard:
            return False
        return not (unit.low in ("i think", "might be", "maybe", "could be") and after.low in ("just", "only", "because", "from",
                                                                                          "the cold", "time", "we"))

    def _backward_doubt(self, s: State, i: int) -> bool:
        units = s.units
        before = units[i - 1] if i else None
        after = units[i + 1] if i + 1 < len(units) else None
        close = bool(s.hits) and i - s.hits[-1].end <= 1 and s.hits[-1].at >= s.clause
        close = close or bool(before is not None and before.low in (",", "too", "there", "maybe") and s.hits and
                              i - s.hits[-1].end <= 2)
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
        return bool(after.region) and not after.signs or after.is_cue("absent") and before is not None and before.low == "too"

    def doubt_back(self, s: State, i: int, cue: Cue) -> bool:
        """Doubt said behind a sign: "a lump, I think", "mites?"."""
        if s.doubt is not None and s.doubt.at == i or not self._backward_doubt(s, i):
            return False
        for hit in self.last_group(s):
            hit.certainty = "possible"
            hit.cues.append(cue)
        return True

    # -- grades and sides behind

    def grade_back(self, s: State, i: int, step: int) -> bool:
        """A grade behind its sign: "mites round the vent, heavy"."""
        if not s.hits:
            return False
        last = s.hits[-1]
        if s.fresh and s.said == 0 and s.topic and s.topic[0].at > last.at:
            named = [h for h in s.hits if any(
                h.ref.region == r.region and (h.ref.side == r.side or not r.side or h.ref.side in ("both", "")) for r in s.topic)]
            if not named and last.sign != "normal" and last.presence == "present" and i - last.at <= 9 and (
                i + 1 >= len(s.units) or s.units[i + 1].hard or s.units[i + 1].low in (",", "and", ")", "then", "so", "but") or s.units[i + 1].gap
                or s.units[i + 1].region or s.units[i + 1].side
            ):
                for ref in s.topic:  # "the comb's very pale, the wattles only a little"
                    twin = last.copy(ref)
                    twin.at, twin.end, twin.grade, twin.rule = i, i + 1, step, "graded there"
                    s.hits.append(twin)
                s.fresh, s.said = False, 1
                return True
            if named and named[-1].sign != "normal" and i - s.topic_end <= 6 and s.units[i].kind != "plus":
                topic = s.topic[-1]
                hit = named[-1]
                if hit.ref.side == "both" and topic.side in ("left", "right"):
                    self._split(s, hit, topic.side, step)
                else:
                    hit.grade = step if hit.presence == "present" else 0
                return True
            return False
        if last.sign == "normal" or last.presence == "absent" or i - last.end > 6 and i - last.at > 6:
            return False
        between = s.units[last.end : i]
        if any(u.kind == "newline" or u.used == "bird" or u.signs and not u.region for u in between):
            return False
        if any(u.hard for u in between) and len(between) > 3:
            return False
        for hit in self.last_group(s):
            if not hit.grade or s.units[i].kind == "plus" or any(u.is_cue("correction") for u in between) or hit.at < i:
                hit.grade = step if not hit.grade or s.fix or s.units[i].kind == "plus" or hit.grade < step else hit.grade
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
        if j >= len(units) or units[j].side not in ("left", "right") or last.sign == "normal" or units[j].used:
            return False
        after = units[j + 1] if j + 1 < len(units) else None
        if after is not None and after.region or i - last.at > 12:
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
        twin = next((h for h in s.hits if h.ref.region == last.ref.region and h.sign == last.sign and h.ref.side == side), None)
        if twin is None:
            twin = last.copy(replace(last.ref, side=side))
            s.hits.append(twin)
        twin.grade = step
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
        if not s.hits or s.fresh and s.said == 0 and s.topic and s.topic[0].at > s.hits[-1].at:
            s.topic = [replace(r, side=side) if r.region in self.regions.paired and (not r.side or r.plural and r.side == "both")
                       else r for r in s.topic]
            return stop
        last = s.hits[-1]
        if s.exception and side != "both" and last.sign == "normal" and last.ref.side == "both":
            last.moved(side=opposite(side))
            s.exception = False
            s.set_topic([replace(last.ref, side=side, at=i)], stop)
            return stop
        if s.exception and side != "both" and last.presence == "absent" and last.ref.side == "both":
            for hit in self.last_group(s):  # "no scabs on either wing bar the left"
                twin = hit.copy(replace(hit.ref, side=side, at=i))
                hit.moved(side=opposite(side))
                twin.presence, twin.cues, twin.rule, twin.at, twin.end = "present", [], "exception", i, stop
                s.hits.append(twin)
            s.exception = False
            return stop
        if last.ref.region not in self.regions.paired or i - last.end > 4 and i - last.at > 4 or any(
            u.kind == "newline" for u in s.units[last.at : i]
        ):
            if s.topic and s.fresh and s.topic[-1].region in self.regions.paired and (
                not s.topic[-1].side or s.topic[-1].plural and side != "both"
            ):
                s.topic = [replace(r, side=side) if r.region in self.regions.paired else r for r in s.topic]
            return stop
        if last.ref.side == "both" and i and s.units[i - 1].low in ("worse", "more", "mostly", "mainly", "especially", "bigger"):
            return stop
        explicit = last.ref.side in ("left", "right") and side != last.ref.side and side != "both"
        for hit in self.last_group(s):
            if hit.ref.region in self.regions.paired and not explicit:
                hit.moved(side=side)
        if explicit and side == opposite(last.ref.side) and s.units[i - 1].low in ("and", ",", "or", "&", "nor"):
            for hit in self.last_group(s):
                hit.moved(side="both")
        s.topic = [replace(r, side=side) if r.region == last.ref.region and not explicit else r for r in s.topic]
        s.paired = replace(last.ref, side=side)
        return stop
