"""What makes a finding less sure: named signals, each with the penalty it costs.

The amounts are data (penalties.toml), fitted by tests/benchmarks/fit_penalties.py on labelled talk: a
signal costs what it takes away from the share of such findings that turned out right.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

from dictate.extraction.english import COPULAS, DETERMINERS
from dictate.extraction.hits import NORMAL, Hit
from dictate.extraction.units import Unit

__all__ = ["penalty_amounts", "signals"]

SAYING = frozenset("i you my your said says say told thought think know we who they".split())
TYPED = frozenset("typed note".split())
UNSURE_GROUND = frozenset("if would might could should was were had".split())


@cache
def penalty_amounts() -> dict[str, float]:
    """{name of the signal: what it takes off the score}."""
    path = Path(__file__).with_name("penalties.toml")
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    return {str(name): float(amount) for part in ("penalty", "heard") for name, amount in table[part].items()}


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


def signals(hit: Hit, hits: list[Hit], units: list[Unit], paired: set[str], lesson: bool) -> list[str]:
    """Names of all that speaks against a hit, in no order."""
    out = [_RULES.get(hit.rule, "placed by its preposition" if hit.rule.startswith("sign ") else hit.rule)]
    at = hit.at
    start, end = _sentence(units, at)
    inside = units[start:end]
    if lesson:
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
    between = units[max(min(region_at, at) + 1, at - 30) : min(max(region_at, at), at + 30)]
    strange = sum(1 for u in between if _strange(u))
    if strange >= 3:
        out.append("many unknown words between")
    elif strange:
        out.append("unknown words between")
    around = units[max(0, at - 8) : at + 8]
    if any(u.is_cue("correction") or u.is_cue("withdraw") for u in around):
        out.append("a correction near")
    if any(u.muted for u in units[max(0, at - 4) : at + 5]):
        out.append("beside words left out")
    if any(u.is_cue("exception") or u.is_cue("double") for u in around):
        out.append("an exception near")
    if any(u.low.split(" ")[0] in SAYING for u in inside):
        out.append("the speaker's own talk")
    if any(u.low in UNSURE_GROUND for u in units[max(start, at - 6) : min(end, at + 7)]):
        out.append("was, if or would near")
    share = sum(1 for u in inside if _strange(u)) / max(1, len(inside))
    if share > 0.35:
        out.append("many unknown words")
    unit = units[at]
    if unit.slip:
        out.append("repaired word")
    if len(unit.low) <= 3 and unit.kind == "word":
        out.append("a short word")
    if len({m.id for m in unit.signs}) > 1:
        out.append("words of two senses")
    place = [h for h in hits if h is not hit and h.ref.region == hit.ref.region and h.ref.side == hit.ref.side]
    if hit.sign == NORMAL and any(h.sign != NORMAL and h.presence == "present" and h.when == "now" for h in place):
        out.append("normal and not normal")
    if hit.sign != NORMAL and hit.presence == "present" and any(h.sign == NORMAL for h in place):
        out.append("not normal and normal")
    if any(h.sign == hit.sign and h is not hit and h.presence != hit.presence and h.when == hit.when for h in hits):
        out.append("there and not there")
    return out


_RULES = {"region before": "", "": ""}


def _strange(unit: Unit) -> bool:
    """A word that no entry knows and that is no small word of English."""
    return unit.kind == "word" and not (
        unit.region
        or unit.signs
        or unit.grade
        or unit.side
        or unit.cues
        or unit.used
        or unit.birds
        or unit.measures
        or unit.delay
        or unit.action
        or unit.unit
        or unit.low in COPULAS
        or unit.low in DETERMINERS
        or len(unit.low) <= 3
    )


def _sentence(units: list[Unit], at: int) -> tuple[int, int]:
    """The units of the sentence round `at`, at most fifteen each way."""
    start = at
    while start > max(0, at - 15) and not units[start - 1].hard and units[start - 1].used != "bird":
        start -= 1
    end = at
    while end < min(len(units), at + 15) and not units[end].hard:
        end += 1
    return start, end
