"""Utterances or text → Draft: the whole way from words to exams.

normalise and find phrases (units) → birds → measurements → scope (teaching, what-ifs) → actions →
findings → verdicts. Everything keeps its place in the text and, where it was heard, its seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from dictate.extraction.actions import ActionFinder, FoundAction
from dictate.extraction.birds import BirdFinder
from dictate.extraction.exams import OpenExam, divide, measures_of, share_actions
from dictate.extraction.hits import Hit
from dictate.extraction.measures import FoundMeasure, MeasureFinder
from dictate.extraction.mentions import imagined, sex_of
from dictate.extraction.narrative import is_past_tense, is_punctuated
from dictate.extraction.observations import ObservationFinder
from dictate.extraction.reader import Reader
from dictate.extraction.references import refer
from dictate.extraction.scope import is_teaching, mute
from dictate.extraction.scoring import Scorer
from dictate.extraction.signals import Ground
from dictate.extraction.state import State
from dictate.extraction.tokens import tokenise
from dictate.extraction.unit_maker import UnitMaker
from dictate.extraction.units import Unit
from dictate.model import Bird, Draft, Exam, HeardWord, LeftOut, Span, Utterance
from dictate.vocabulary import Vocabulary

__all__ = ["Extractor", "extract", "extract_text"]


class Extractor:
    """All finders for one vocabulary; make one and use it for many texts."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self.maker = UnitMaker(vocabulary)
        self.birds = BirdFinder(vocabulary)
        self.measures = MeasureFinder(vocabulary)
        self.actions = ActionFinder(vocabulary)
        self.observations = ObservationFinder(vocabulary)
        self.reader = Reader(vocabulary)
        self.scorer = Scorer(vocabulary)

    def text(self, text: str) -> Draft:
        """The draft of a typed note."""
        return self._draft(text, (), ())

    def heard(self, utterances: Sequence[Utterance]) -> Draft:
        """The draft of what was heard; utterances in the order of speech."""
        parts: list[str] = []
        words: list[HeardWord] = []
        at = 0
        for utterance in utterances:
            for word in utterance.words:
                if parts:
                    at += 1
                words.append(HeardWord(Span(at, at + len(word.text)), word, utterance.listener))
                parts.append(word.text)
                at += len(word.text)
        return self._draft(" ".join(parts), tuple(words), tuple(utterances))

    def _draft(self, text: str, words: tuple[HeardWord, ...], utterances: tuple[Utterance, ...]) -> Draft:
        units = self.maker.make(tokenise(text), text)
        punctuated = is_punctuated(text)
        mentions = self.birds.find(units, text)
        seen = self.observations.find(units, text)
        measures = self.measures.find(units, text)
        mute(units, punctuated)
        mentions = [m for m in mentions if units[m.at].muted not in ("quotation", "hypothetical")]
        measures = [m for m in measures if not (self._taught(units, m) or imagined(units, m.at))]
        observations = [o.observation for o in seen if not units[o.at].muted]
        actions = self.actions.find(units, text)
        past = is_past_tense(units)
        ages = self._ages(units, measures)
        exams = divide(units, mentions, ages, self.birds.roles)
        back = refer(units, exams, actions, self.birds.roles)
        if back:
            mentions = sorted([*mentions, *back], key=lambda m: m.at)
            exams = divide(units, mentions, ages, self.birds.roles)
        shared = share_actions(exams, mentions, actions)
        for exam in exams:
            for segment in exam.segments:
                exam.state = self.reader.read(units, segment.start, segment.end, past, exam.state)
        ground = Ground(units, is_teaching(units))
        made = [self._exam(exam, ground, measures, shared[n], text, words) for n, exam in enumerate(exams)]
        return Draft(text, tuple(made), tuple(observations), words, self._left_out(units, text), utterances)

    @staticmethod
    def _taught(units: list[Unit], found: FoundMeasure) -> bool:
        inside = units[found.at : found.end]
        return bool(inside) and all(u.muted for u in inside)

    @staticmethod
    def _ages(units: list[Unit], measures: list[FoundMeasure]) -> list[bool]:
        ages = [False] * len(units)
        for found in measures:
            if found.measurement.kind == "age":
                ages[found.at : found.end] = [True] * (found.end - found.at)
        return ages

    # -- one exam

    def _exam(
        self,
        exam: OpenExam,
        ground: Ground,
        measures: list[FoundMeasure],
        actions: list[FoundAction],
        text: str,
        words: tuple[HeardWord, ...],
    ) -> Exam:
        units = ground.units
        state = exam.state or State(units)
        start = min((s.start for s in exam.segments), default=0)
        end = max((s.end for s in exam.segments), default=0)
        sex = ""
        for segment in exam.segments:
            sex = sex or sex_of(units, self.birds.roles, segment.start, segment.end)
        bird = Bird(
            exam.band or None, exam.name or None, sex or None, span=exam.mentions[0].span if exam.mentions else None
        )
        span = units[start].span.cover(units[end - 1].span) if end > start else Span(0, 0)
        return self.scorer.exam(
            bird,
            [h for h in state.all_hits if self._kept(h, units)],
            measures_of(exam, measures),
            actions,
            state.rest_normal,
            ground,
            text,
            words,
            span,
        )

    @staticmethod
    def _kept(hit: Hit, units: list[Unit]) -> bool:
        return not units[hit.at].muted

    @staticmethod
    def _left_out(units: list[Unit], text: str) -> tuple[LeftOut, ...]:
        out: list[LeftOut] = []
        run: list[Unit] = []
        for unit in [*units, None]:
            if unit is not None and not (run or unit.muted or unit.notes):
                continue
            if unit is not None and unit.muted and (not run or unit.mute_rule == run[-1].mute_rule):
                run.append(unit)
                continue
            if run:
                span = run[0].span.cover(run[-1].span)
                out.append(LeftOut(span, span.quote(text), run[0].muted, run[0].mute_rule))
            run = [unit] if unit is not None and unit.muted else []
            if unit is not None:
                out += [LeftOut(unit.span, unit.span.quote(text), note) for note in unit.notes]
        return tuple(out)


@lru_cache(maxsize=4)
def _extractor(vocabulary: Vocabulary) -> Extractor:
    return Extractor(vocabulary)


def extract(utterances: Sequence[Utterance], vocabulary: Vocabulary) -> Draft:
    """What was heard → Draft. Findings carry their seconds and the confidence of their words."""
    return _extractor(vocabulary).heard(utterances)


def extract_text(text: str, vocabulary: Vocabulary) -> Draft:
    """A typed or imported note → Draft."""
    return _extractor(vocabulary).text(text)
