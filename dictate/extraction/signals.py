"""What makes a finding less sure: named signals, each with the penalty it costs.

The amounts are data (penalties.toml), fitted by tests/benchmarks/fit_penalties.py on labelled talk: a
signal costs what it takes away from the share of such findings that turned out right.
"""

from __future__ import annotations

import tomllib
from functools import cache
from itertools import accumulate
from pathlib import Path

from dictate.extraction.english import COPULAS, DETERMINERS
from dictate.extraction.hits import NORMAL, Hit
from dictate.extraction.units import Unit

__all__ = ["Ground", "heard_signals", "penalty_amounts", "signals"]

SAYING = frozenset("i you my your said says say told thought think know we who they".split())
TYPED = frozenset("typed note".split())
SLIPS = {"repair": "repaired word", "misheard": "misheard word"}
UNSURE_GROUND = frozenset("if would might could should was were had".split())


@cache
def penalty_amounts() -> dict[str, float]:
    """{name of the signal: what it takes off the score}."""
    path = Path(__file__).with_name("penalties.toml")
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    return {str(name): float(amount) for part in ("penalty", "repair", "heard") for name, amount in table[part].items()}


def heard_signals(confidence: float | None, listeners: tuple[str, ...]) -> list[str]:
    """What speaks against a finding that was heard: one listener alone, words it was not sure of.

    `confidence` is the lowest of the finding's words, 0 to 1; None for typed text.
    """
    if confidence is None:
        return ["heard by one listener"] if len(listeners) == 1 and listeners[0] not in TYPED else []
    out = ["heard by one listener"] if len(listeners) == 1 else []
    if confidence < 0.2:
        out.append("words hardly heard")
    elif confidence < 0.4:
        out.append("words not well heard")
    return out


class Ground:
    """Counts along all units of one text, so that each finding is judged in the same time however long it is.

    Made when everything has been read. A count up to unit i stands at place i; those of a stretch are
    the difference of two.
    """

    def __init__(self, units: list[Unit], lesson: bool) -> None:
        self.units = units
        self.lesson = lesson
        self.size = len(units)
        lows = [u.low for u in units]
        self.strange = _counted([len(low) > 3 and _strange(u) for low, u in zip(lows, units, strict=True)])
        self.saying = _counted([low in SAYING or (" " in low and low.split(" ")[0] in SAYING) for low in lows])
        self.unsure = _counted([low in UNSURE_GROUND for low in lows])
        self.muted = _counted([bool(u.muted) for u in units])
        self.corrected = _counted([bool(u.cues) and (u.is_cue("correction") or u.is_cue("withdraw")) for u in units])
        self.excepted = _counted([bool(u.cues) and (u.is_cue("exception") or u.is_cue("double")) for u in units])
        begun = 0
        self.breaks = [0]  # for each unit, where its sentence begins
        for k, unit in enumerate(units, 1):
            if unit.hard or unit.used == "bird":
                begun = k
            self.breaks.append(begun)
        self.ends = [self.size] * (self.size + 1)  # and where it ends
        for k in range(self.size - 1, -1, -1):
            self.ends[k] = k if units[k].hard else self.ends[k + 1]

    def sentence(self, at: int) -> tuple[int, int]:
        """The units of the sentence round `at`, at most fifteen each way."""
        return max(self.breaks[at], at - 15, 0), min(self.ends[at], at + 15, self.size)

    def any(self, counts: list[int], start: int, end: int) -> int:
        """How many of the units start..end were counted."""
        end = min(end, self.size)
        return counts[end] - counts[start] if end > start else 0


def _counted(marks: list[bool]) -> list[int]:
    return [0, *accumulate(marks)]


def signals(hit: Hit, hits: list[Hit], ground: Ground, paired: set[str]) -> list[str]:
    """Names of all that speaks against a hit, in no order."""
    units = ground.units
    out = [_RULES.get(hit.rule, "placed by its preposition" if hit.rule.startswith("sign ") else hit.rule)]
    at = hit.at
    start, end = ground.sentence(at)
    if ground.lesson:
        out.append("said in a lesson")
    if hit.when == "past":
        out.append("past")
    if hit.certainty == "possible":
        out.append("said with doubt")
    if hit.presence == "absent":
        far = min(
            (at - k for k in range(at, max(-1, at - 13), -1) if any(c.span == units[k].span for c in hit.cues)),
            default=9,
        )
        out.append("absent, cue near" if far <= 2 else "absent, cue far")
    if hit.ref.region in paired and not hit.ref.side:
        out.append("side not said")
    region_at = hit.ref.at
    strange = ground.any(
        ground.strange, max(min(region_at, at) + 1, at - 30, 0), min(max(region_at, at), at + 30)
    )
    if strange >= 3:
        out.append("many unknown words between")
    elif strange:
        out.append("unknown words between")
    near = max(0, at - 8)
    if ground.any(ground.corrected, near, at + 8):
        out.append("a correction near")
    if ground.any(ground.muted, max(0, at - 4), at + 5):
        out.append("beside words left out")
    if ground.any(ground.excepted, near, at + 8):
        out.append("an exception near")
    if ground.any(ground.saying, start, end):
        out.append("the speaker's own talk")
    if ground.any(ground.unsure, max(start, at - 6), min(end, at + 7)):
        out.append("was, if or would near")
    if ground.any(ground.strange, start, end) > 0.35 * max(1, end - start):
        out.append("many unknown words")
    unit = units[at]
    slips = {unit.slip, units[region_at].slip if 0 <= region_at < ground.size else ""}
    out += [name for slip, name in SLIPS.items() if slip in slips]
    if len(unit.low) <= 3 and unit.kind == "word":
        out.append("a short word")
    if len(unit.signs) > 1 and len({m.id for m in unit.signs}) > 1:
        out.append("words of two senses")
    region, side, sign = hit.ref.region, hit.ref.side, hit.sign
    others = [h for h in hits if (h.sign == sign or h.ref.region == region) and h is not hit]
    if others:
        place = [h for h in others if h.ref.region == region and h.ref.side == side]
        if sign == NORMAL and any(h.sign != NORMAL and h.presence == "present" and h.when == "now" for h in place):
            out.append("normal and not normal")
        if sign != NORMAL and hit.presence == "present" and any(h.sign == NORMAL for h in place):
            out.append("not normal and normal")
        if any(h.sign == sign and h.presence != hit.presence and h.when == hit.when for h in others):
            out.append("there and not there")
    return out


_RULES = {"region before": "", "": ""}


def _strange(unit: Unit) -> bool:
    """A word that no entry knows and that is no small word of English."""
    low = unit.low
    return (
        unit.kind == "word"
        and len(low) > 3
        and not (
            unit.signs
            or unit.region
            or unit.cues
            or unit.birds
            or unit.grade
            or unit.side
            or unit.used
            or unit.measures
            or unit.delay
            or unit.action
            or unit.unit
            or low in COPULAS
            or low in DETERMINERS
        )
    )
