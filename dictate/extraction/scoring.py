"""How sure: named penalties, their sum, and the verdict sure, check or ask.

The amounts were set by the calibration benchmark (tests/benchmarks/calibration.py), not by feeling:
a penalty stands for the share of such findings that turned out wrong.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace
from functools import lru_cache
from typing import TypeVar

from dictate.extraction.actions import FoundAction
from dictate.extraction.hits import Hit
from dictate.extraction.measures import FoundMeasure
from dictate.extraction.signals import Ground, heard_signals, penalty_amounts, signals
from dictate.model import Action, Bird, Exam, Finding, HeardWord, Measurement, Penalty, Question, Span, Verdict
from dictate.vocabulary import Vocabulary

__all__ = ["SURE", "Scorer", "verdict_of"]

SURE = 0.85
CHECK = 0.5
NEIGHBOURS = 80  # findings before and after that may contradict one


def verdict_of(penalties: tuple[Penalty, ...]) -> Verdict:
    """sure at or above .85, check at or above .5, else ask."""
    score = 1.0 - sum(p.amount for p in penalties)
    return "sure" if score >= SURE - 1e-9 else "check" if score >= CHECK - 1e-9 else "ask"


class Scorer:
    """Turns hits into findings with penalties and verdicts, and asks what is not known."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.signs = vocabulary.signs
        self.paired = {region.id for region in vocabulary.regions.values() if region.paired}

    def exam(
        self,
        bird: Bird,
        hits: list[Hit],
        measures: list[FoundMeasure],
        actions: list[FoundAction],
        rest_normal: bool,
        ground: Ground,
        text: str,
        words: tuple[HeardWord, ...],
        span: Span,
    ) -> Exam:
        """The exam of one bird, with the questions that are open."""
        findings = tuple(
            self._finding(hit, hits[max(0, n - NEIGHBOURS) : n + NEIGHBOURS], ground, text, words)
            for n, hit in enumerate(hits)
        )
        questions = tuple(
            Question("side", f"Which {f.region}?", "side", n, ("left", "right", "both"), f.span)
            for n, f in enumerate(findings)
            if f.region in self.paired and f.side is None
        )
        bird_verdict: Verdict = "sure" if bird.known else "ask"
        if not bird.known:
            questions += (Question("band", "Which bird is this?", "band"),)
        named = Bird(bird.band, bird.name, bird.sex, bird.breed, bird.pen, bird.span, bird.penalties, bird_verdict)
        done_measures = []
        for found in measures:
            m = found.measurement
            extra = _heard(m.span, words)
            done_measures.append(_proved(m, m.penalties, extra))
        done_actions = [_proved(a.action, a.action.penalties, _heard(a.action.span, words)) for a in actions]
        return Exam(named, findings, tuple(done_measures), tuple(done_actions), rest_normal, questions, span)

    def _finding(
        self, hit: Hit, hits: list[Hit], ground: Ground, text: str, words: tuple[HeardWord, ...]
    ) -> Finding:
        units = ground.units
        span = units[hit.at].span
        if hit.end > hit.at:
            span = span.cover(units[min(hit.end, len(units)) - 1].span)
        if 0 <= hit.ref.at < hit.at and hit.at - hit.ref.at <= 12:
            span = span.cover(units[hit.ref.at].span)
        sign = self.signs[hit.sign]
        side = hit.ref.side if hit.ref.region in self.paired else ""
        named = signals(hit, hits, ground, self.paired)
        if sign.usual and hit.ref.region not in sign.usual:
            named.append("rare on this region")
        start, end, confidence, listeners = _heard(span, words)
        named += heard_signals(confidence, listeners)
        penalties = _penalties(tuple(named))
        return Finding(
            hit.ref.region,
            hit.sign,
            side if side in ("left", "right", "both") else None,  # type: ignore[arg-type]
            "absent" if hit.presence == "absent" else "present",
            hit.grade or None,
            "possible" if hit.certainty == "possible" else "sure",
            "past" if hit.when == "past" else "now",
            None,
            span,
            span.quote(text),
            hit.rule,
            tuple(hit.cues),
            penalties,
            verdict_of(penalties),
            start,
            end,
            confidence,
            listeners,
        )


@lru_cache(maxsize=4096)
def _penalties(named: tuple[str, ...]) -> tuple[Penalty, ...]:
    """The penalties of the signals that have one, the greatest first."""
    amounts = penalty_amounts()
    found = (Penalty(name, amounts[name]) for name in dict.fromkeys(named) if amounts.get(name))
    return tuple(sorted(found, key=lambda p: -p.amount))


def _heard(
    span: Span, words: tuple[HeardWord, ...]
) -> tuple[float | None, float | None, float | None, tuple[str, ...]]:
    """Seconds, lowest word confidence and listeners of the words under a span."""
    if not words:
        return None, None, None, ()
    first = bisect_left(words, span.start, key=lambda w: w.span.end)
    last = bisect_left(words, span.end, key=lambda w: w.span.start)
    under = [w for w in words[first:last] if w.span.overlaps(span)]
    if not under:
        return None, None, None, ()
    sure = [w.word.confidence for w in under if w.word.confidence is not None]
    return (
        under[0].word.start,
        under[-1].word.end,
        min(sure) if sure else None,
        tuple(dict.fromkeys(w.listener for w in under)),
    )


Proved = TypeVar("Proved", Measurement, Action)


def _proved(
    item: Proved,
    penalties: tuple[Penalty, ...],
    heard: tuple[float | None, float | None, float | None, tuple[str, ...]],
) -> Proved:
    """The item with its verdict and with what was heard of it."""
    start, end, confidence, listeners = heard
    return replace(
        item, verdict=verdict_of(penalties), start=start, end=end, confidence=confidence, listeners=listeners
    )
