"""Words that look back at the sign before them and turn it: nil, gone, still, any more, last spring."""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.english import DETERMINERS, PREPOSITIONS
from dictate.extraction.hits import NORMAL, SKIN, Hit, Ref
from dictate.extraction.mending import Base
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


class Backward(Base):
    """Words that look back at the sign before them and turn it: nil, gone, still, any more, last spring."""

    def none_back(self, s: State, i: int, cue: Cue) -> bool:
        """"mites nil"; "none under the right": the last sign is absent, here or at the place named."""
        units = s.units
        ends = i + 1 >= len(units) or units[i + 1].hard
        closing = ends and bool(s.hits) and s.hits[-1].at == i - 1  # "lice yes, mites no"
        if units[i].low == "no" and not closing and not (i and units[i - 1].low in (":", "-")):
            return False
        if units[i].low == "-":  # a dash denies only what it follows at once, before a comma or an end
            after = unit_at(units, i + 1)
            if not s.hits or s.hits[-1].at != i - 1 or not (after is None or after.hard or after.low in (",", ")")):
                return False
        if self._none_of_taught(s, i, cue):
            return True
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
        if i - last.at > 5 or last.sign == NORMAL:
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

    def _taught(self, s: State, i: int) -> tuple[str, str]:
        """(sign, its home) last spoken of in a lesson, if nothing was found since."""
        if s.muted_sign is None or not 0 < i - s.muted_sign[1] <= 30:
            return "", ""
        unit, at = s.muted_sign
        if s.hits and s.hits[-1].at > at:
            return "", ""
        meaning = next((m for m in unit.signs if not m.regions and m.id != NORMAL), None)
        return (meaning.id, self.placer.signs[meaning.id].home) if meaning is not None else ("", "")

    def _none_of_taught(self, s: State, i: int, cue: Cue) -> bool:
        """"you look for mites … there's none under the wings": absent at the place named."""
        sign, _ = self._taught(s, i)
        j = i + 1
        if not sign or s.units[i].low not in NONE_AT or j >= len(s.units) or s.units[j].low not in PREPOSITIONS:
            return False
        found = self.regions.read(s.units, j + 1, placed=True)
        if found is None:
            return False
        self.add(s, [Hit(r, sign, i, found[1], "absent", rule="none of it there", cues=[cue]) for r in found[0]], i)
        s.settle(*found)
        for unit in s.units[j : found[1]]:
            unit.used = unit.used or "place"
        return True

    def has_it(self, s: State, i: int) -> int:
        """"this one has it on both legs": the sign just taught is there; the next unit, or 0."""
        sign, home = self._taught(s, i)
        if not sign or i == 0 or s.units[i - 1].low not in ("has", "got", "have"):
            return 0
        ahead = self.placer.ahead(s.units, i, False)
        refs = ahead.refs if ahead is not None else [Ref(home, at=i)] if home else []
        if home and refs and refs[0].region != home and self.regions.limb.get(home) == refs[0].region:
            refs = [replace(r, region=home) for r in refs]
        if not refs:
            return 0
        denied = s.absent is not None
        stop = ahead.end if ahead is not None else i + 1
        cues = [s.absent.cue] if s.absent is not None else []
        hits = [Hit(r, sign, i, stop, "absent" if denied else "present", rule="has it", cues=cues) for r in refs]
        self.add(s, hits, i)
        s.settle(refs, stop)
        return stop

    def gone(self, s: State, i: int, cue: Cue) -> int:
        """"the lump has gone": past. Under a denial ("hasn't gone") it is there still."""
        if s.absent is not None and i - s.absent.at <= 4:
            s.absent = None
            self.still(s, i)
            return i + 1
        ahead = unit_at(s.units, i + 1)
        doing = ahead is not None and bool(ahead.signs) and ahead.low.endswith("ing")
        if doing and s.units[i].low.endswith(("stopped", "quit")):
            s.past = Open(cue, i)  # "she's stopped limping"
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
            unit.low in ("gone", "has gone", "have gone", "is gone", "healed", "has healed")
            and after is not None
            and ((after.signs and not after.region) or after.grade or after.low in TURNED_AWAY)
        ):
            return 0
        if last.presence == "absent":
            return i + 1
        if "heal" in unit.low and self.placer.signs[last.sign].lasting:
            return i + 1  # "a toe missing, old and healed over": there still
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
        after = unit_at(s.units, i + 1)
        if before in NO_TIME_BEFORE or not s.hits or (after is not None and after.low == "'s"):
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
