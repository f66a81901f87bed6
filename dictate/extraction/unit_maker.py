"""Tokens and phrases → units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from dictate.extraction.dialect import in_plain_words
from dictate.extraction.misheard import Misheard
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


@dataclass(slots=True)
class _Meant:
    """What a phrase may mean, in the order of Unit's fields from `region` to `adverb`."""

    fields: tuple[Any, ...]
    slips: bool  # has senses that depend on the words around

    @classmethod
    def of(cls, senses: Sequence[Meaning], maker: UnitMaker) -> _Meant:
        """The senses by kind."""
        signs, cues, actions, birds, measures, kinds = [], [], [], [], [], []
        region, plural, weak, grade, before, side, delay, observation, slip = "", False, False, 0, False, "", "", "", ""
        adverb = any(m.form == "adverb" for m in senses)
        for m in senses:
            if "|" in m.form:
                slip = m.form.split("|")[1].split(":", 1)[0]
            if m.kind == "region":
                if not region:
                    region, plural, weak = m.id, "plural" in m.form, m.form.startswith("weak")
            elif m.kind == "sign":
                signs.append(m)
            elif m.kind == "cue":
                cues.append(maker.cues[m.id])
            elif m.kind == "grade":
                grade, before = maker.steps[m.id], m.form == "before"
            elif m.kind == "side":
                side = m.id
            elif m.kind == "action":
                actions.append(m)
            elif m.kind == "bird":
                birds.append(m)
            elif m.kind == "measure":
                measures.append(m.id)
            elif m.kind == "unit":
                kinds.append(m.id)
            elif m.kind == "delay":
                delay = delay or m.id
            elif m.kind == "observation":
                observation = m.id
        return cls(
            (region, plural, weak, tuple(signs), grade, before, side, tuple(cues), tuple(kinds), tuple(measures),
             tuple(actions), delay, tuple(birds), observation, slip, adverb),
            any(_near(m) for m in senses),
        )


def _near(meaning: Meaning) -> str:
    """The spelling entry of a sense that is meant only near certain words, or nothing."""
    mark, _, entry = meaning.form.partition("|")[2].partition(":")
    return entry if mark == "near" else ""


class UnitMaker:
    """Makes units from tokens with one vocabulary."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.finder = PhraseFinder(vocabulary)
        self.repairer = Repairer(vocabulary)
        self.misheard = Misheard(vocabulary, self.finder.single)
        self.numbers = NumberReader(vocabulary.numbers)
        self.cues = {cue.id: CueSense(cue.id, cue.category, cue.direction) for cue in vocabulary.cues.values()}
        self.glued: dict[str, str] = {}
        for region in vocabulary.regions.values():
            for form in region.glued:
                self.glued.setdefault(form.lower(), region.id)
        self.near = {entry.id: {w.lower() for w in entry.near} for entry in vocabulary.spellings.values()}
        self.steps = {grade.id: grade.step for grade in vocabulary.grades.values()}
        self.sorted: dict[str, _Meant] = {}  # phrase → its senses by kind

    def make(self, tokens: Sequence[Token], text: str) -> list[Unit]:
        """All units of the tokens, in order, covering each token once."""
        tokens = in_plain_words(tokens, self.repairer.known)
        words, mended = self.repairer.words(tokens)
        misheard = self.misheard.mend(words, tokens, self.finder.find)
        for place, word in misheard.items():
            words[place] = word
        may_start = self.numbers.may_start
        units: list[Unit] = []
        at = 0
        for start, end, senses in self.finder.find(words):
            if start < at:
                continue
            at = self._plain(tokens, words, at, start, units)
            if at > start:
                continue
            may = words[start] in may_start or not words[start].isalpha()
            number = self.numbers.read(words, start) if may else None
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
        if misheard:
            for unit in units:
                if any(at in misheard for at in range(unit.start, unit.end)):
                    unit.slip = "misheard"
        units = written_out(self._unglue(units))
        disambiguate(units)
        return units

    def _plain(self, tokens: Sequence[Token], words: list[str], at: int, stop: int, units: list[Unit]) -> int:
        may_start = self.numbers.may_start
        while at < stop:
            token = tokens[at]
            if words[at] in may_start or token.kind != "word":
                number = self.numbers.read(words, at)
                if number:
                    at = self._number(tokens, words, number, units)
                    continue
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
        low = words[start] if end - start == 1 else " ".join(words[start:end])
        meant = self.sorted.get(low)
        if meant is None:
            meant = self.sorted[low] = _Meant.of(senses, self)
        if meant.slips:
            around = set(words[max(0, start - 5) : end + 5])
            senses = tuple(m for m in senses if not (near := _near(m)) or self.near[near] & around)
            meant = _Meant.of(senses, self)
        if "'" in low:  # words as people spell them: she's, isn't
            low = low.replace(" '", "'").replace(" n't", "n't")
        first = tokens[start]
        kind = first.kind if end - start == 1 else "word"
        span = Span(first.start, tokens[end - 1].end)
        return Unit(start, end, low, span, kind, first.gap, None, *meant.fields)

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
