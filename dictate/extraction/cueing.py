"""Cues: what they open, close or look back at."""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.english import SHE_OR_HE, SUBJECTS
from dictate.extraction.hits import NORMAL
from dictate.extraction.reading import ReaderBase
from dictate.extraction.state import Open, State
from dictate.extraction.units import unit_at
from dictate.model import Cue

__all__ = ["Cueing"]

SAYING = frozenset("true say that claim mean pretend said".split())  # "it isn't true that …"
TODAY = frozenset(("this morning", "today", "this evening", "this afternoon", "tonight", "just now"))
WAS = frozenset("was, were, had, had a, had some".split(", "))


class Cueing(ReaderBase):
    """Cues: what they open, close or look back at."""

    def cues(self, s: State, i: int, end: int, past_tense: bool) -> int:
        """Deal with the cues at unit i; the next unit to look at, or 0 to go on with it."""
        unit = s.units[i]
        for rule, category, direction in unit.cues:
            stop = self._cue(s, i, Cue(rule, category, unit.span), direction, past_tense, end)
            if stop:
                return stop
        return 0

    def _cue(self, s: State, i: int, cue: Cue, direction: str, past_tense: bool, end: int) -> int:
        unit, mender, after = s.units[i], self.mender, unit_at(s.units, i + 1)
        match cue.category:
            case "rest" if cue.rule == "rest-opening":
                return self._rest(s, i, end)
            case "rest" if unit.signs and s.topic_open and i - s.topic_end <= 3:
                return 0
            case "rest":
                s.rest_normal = True
                s.close()
                return i + 1
            case "withdraw" if (
                unit.low == "never mind that"
                and after is not None
                and after.kind == "word"
                and not (after.gap or after.signs or after.region or after.cues)
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
                s.doubled = i if cue.category == "double" else s.doubled
                return i + 1 if not (unit.birds or unit.is_cue("still")) else 0
            case "absent" if direction == "backward":
                if mender.none_back(s, i, cue):
                    return i + 1
            case "absent" if self.denies_before(s, i):
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
                if (
                    s.absent is not None
                    and not s.absent.signs
                    and 2 <= i - s.absent.at <= 8
                    and any(u.low in SAYING for u in s.units[s.absent.at : i])
                ):
                    s.absent = None  # "it isn't true that … not"
                    return i + 1
                if i - s.doubled <= 1 and s.doubled != i:
                    return i + 1
                if unit.low == "not" and i and s.units[i - 1].low == "but" and (stop := mender.but_not(s, i, cue)):
                    return stop
                if unit.low in ("n't", "not", "never") and after is not None and after.low == "the":
                    return i + 1  # "the left wing's not; the feathers are broken"
                s.end_doubt()
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
                if any(
                    cue.category == "past" and cue.direction == "backward" for cue in unit.cues
                ) and mender.past_back(s, i, cue, past_tense):
                    return i + 1
                if unit.low in WAS and (past_tense or not mender.is_past(s, i)):
                    return i + 1
                s.past = Open(cue, i)
                return i + 1
            case "now":
                last = s.hits[-1] if s.hits else None
                closes = after is None or after.hard or after.low in ("and", "but")
                told = s.past is not None and bool(s.past.signs) and last is not None and last.at >= s.clause
                if told and closes and unit.low in TODAY:
                    for hit in s.last_group:  # "there was blood in them this morning"
                        hit.when = "now"
                if (
                    after is not None
                    and after.hard
                    and s.hits
                    and s.hits[-1].at >= s.clause
                    and i - s.hits[-1].end <= 1
                ):
                    mender.any_more(s, i, cue)  # "there is no crust on the comb now."
                if s.past is not None and (s.past.signs or after is not None):
                    s.past = None
                s.end_absence()
            case "stop":
                if s.absent is not None and (s.absent.signs or unit.low in ("but", "however", "though", "although")):
                    s.absent = None
                s.end_doubt()
                s.end_past()
                s.clause = i
            case "returning":
                alone = after is not None and not after.region and not after.side
                taught = s.taught and (not s.topic or s.taught[0].at > s.topic[0].at or not s.fresh)
                if taught and alone and unit.low in ("hers", "his", "mine"):
                    s.set_topic([replace(r, at=i) for r in s.taught], i + 1)
                    return i + 1
                s.end_absence()
            case _:
                pass
        return 0

    @staticmethod
    def _rest(s: State, i: int, end: int) -> int:
        """"the rest of her looks fine": a good word within a few, with no region named."""
        for k in range(i + 1, min(i + 7, end)):
            unit = s.units[k]
            if unit.hard or unit.used or unit.region or (unit.low in SUBJECTS and unit.low not in SHE_OR_HE):
                return 0
            if unit.signs:
                if not any(m.id == NORMAL and not m.regions for m in unit.signs):
                    return 0
                s.rest_normal = True
                s.close()
                return k + 1
        return 0
