"""Tokens and phrases → units."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.extraction.dialect import in_plain_words
from dictate.extraction.numbers import Number, NumberReader
from dictate.extraction.phrases import PhraseFinder
from dictate.extraction.repair import Repairer
from dictate.extraction.senses import disambiguate
from dictate.extraction.tables import written_out
from dictate.extraction.tokens import Token
from dictate.extraction.units import CueSense, Unit
from dictate.model import Span
from dictate.vocabulary import Meaning, Vocabulary

__all__ = ["UnitMaker"]


class UnitMaker:
    """Makes units from tokens with one vocabulary."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.finder = PhraseFinder(vocabulary)
        self.repairer = Repairer(vocabulary)
        self.numbers = NumberReader(vocabulary.numbers)
        self.cues = {cue.id: CueSense(cue.id, cue.category, cue.direction) for cue in vocabulary.cues.values()}
        self.glued: dict[str, str] = {}
        for region in vocabulary.regions.values():
            for form in region.glued:
                self.glued.setdefault(form.lower(), region.id)
        self.near = {entry.id: {w.lower() for w in entry.near} for entry in vocabulary.spellings.values()}
        self.steps = {grade.id: grade.step for grade in vocabulary.grades.values()}

    def make(self, tokens: Sequence[Token], text: str) -> list[Unit]:
        """All units of the tokens, in order, covering each token once."""
        tokens = in_plain_words(tokens, self.repairer.known)
        words, mended = self.repairer.words(tokens)
        units: list[Unit] = []
        at = 0
        for start, end, senses in self.finder.find(words):
            if start < at:
                continue
            at = self._plain(tokens, words, at, start, units)
            if at > start:
                continue
            number = self.numbers.read(words, start)
            if number and number.end >= end:
                at = self._number(tokens, words, number, units)
                continue
            units.append(self._phrase(tokens, words, start, end, senses))
            at = end
        self._plain(tokens, words, at, len(words), units)
        if mended:
            for unit in units:
                if any(at in mended for at in range(unit.start, unit.end)):
                    unit.slip = unit.slip or "repair"
        units = written_out(self._unglue(units))
        disambiguate(units)
        return units

    def _plain(self, tokens: Sequence[Token], words: list[str], at: int, stop: int, units: list[Unit]) -> int:
        while at < stop:
            number = self.numbers.read(words, at)
            if number:
                at = self._number(tokens, words, number, units)
                continue
            token = tokens[at]
            units.append(Unit(at, at + 1, token.low, Span(token.start, token.end), token.kind, token.gap))
            at += 1
        return at

    def _number(self, tokens: Sequence[Token], words: list[str], number: Number, units: list[Unit]) -> int:
        span = Span(tokens[number.start].start, tokens[number.end - 1].end)
        low = " ".join(words[number.start : number.end])
        units.append(Unit(number.start, number.end, low, span, "number", tokens[number.start].gap, number))
        return number.end

    def _phrase(
        self, tokens: Sequence[Token], words: list[str], start: int, end: int, senses: tuple[Meaning, ...]
    ) -> Unit:
        unit = Unit(
            start,
            end,
            " ".join(words[start:end]),
            Span(tokens[start].start, tokens[end - 1].end),
            tokens[start].kind if end - start == 1 else "word",
            tokens[start].gap,
        )
        if "'" in unit.low:  # words as people spell them: she's, isn't
            unit.low = unit.low.replace(" '", "'").replace(" n't", "n't")
        signs, cues, actions, birds, measures, kinds = [], [], [], [], [], []
        for m in senses:
            if "|" in m.form:
                mark, meant = m.form.split("|")[1].split(":", 1)
                if mark == "near" and not self.near[meant] & set(words[max(0, start - 5) : end + 5]):
                    continue
                unit.slip = mark
            if m.kind == "region":
                if not unit.region:
                    unit.region, unit.plural, unit.weak = m.id, "plural" in m.form, m.form.startswith("weak")
            elif m.kind == "sign":
                signs.append(m)
            elif m.kind == "cue":
                cues.append(self.cues[m.id])
            elif m.kind == "grade":
                unit.grade, unit.grade_before = self.steps[m.id], m.form == "before"
            elif m.kind == "side":
                unit.side = m.id
            elif m.kind == "action":
                actions.append(m)
            elif m.kind == "bird":
                birds.append(m)
            elif m.kind == "measure":
                measures.append(m.id)
            elif m.kind == "unit":
                kinds.append(m.id)
            elif m.kind == "delay":
                unit.delay = unit.delay or m.id
            elif m.kind == "observation":
                unit.observation = m.id
        unit.signs, unit.cues, unit.action = tuple(signs), tuple(cues), tuple(actions)
        unit.birds, unit.measures, unit.unit = tuple(birds), tuple(measures), tuple(kinds)
        return unit

    def _unglue(self, units: list[Unit]) -> list[Unit]:
        """LFP → left + foot pad, where nothing else is known of the word."""
        out: list[Unit] = []
        for unit in units:
            low = unit.low
            if (
                unit.kind == "word"
                and low[0] in "lr"
                and 1 < len(low) <= 5
                and low[1:] in self.glued
                and not (unit.region or unit.signs or unit.side or unit.cues or unit.measures)
            ):
                cut = unit.span.start + 1
                side = Unit(unit.start, unit.start, low[0], Span(unit.span.start, cut), gap=unit.gap)
                side.side = "left" if low[0] == "l" else "right"
                part = Unit(unit.start, unit.end, low[1:], Span(cut, unit.span.end))
                part.region = self.glued[low[1:]]
                out += [side, part]
            else:
                out.append(unit)
        return out
