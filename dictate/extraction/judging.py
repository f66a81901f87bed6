"""Is a thing denied in a sentence? The cue rules, asked about any words at all.

The words of the span are read as one sign that needs no region, whatever they are, and the same Reader
goes through the sentence with the same cues as through an exam. Phrases listed beside it ("no chills,
shakes or ___") are read as signs too, as they would be if the lexicon knew them.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from dictate.extraction.english import COPULAS, PREPOSITIONS, SUBJECTS
from dictate.extraction.narrative import is_past_tense, is_punctuated
from dictate.extraction.reader import Reader
from dictate.extraction.scope import mute
from dictate.extraction.tokens import Token, tokenise
from dictate.extraction.unit_maker import UnitMaker
from dictate.extraction.units import Unit
from dictate.model import Span
from dictate.vocabulary import Vocabulary
from dictate.vocabulary.entries import Region, Sign

__all__ = ["negated"]

MARK = "\ue000"  # private use: stands for the given words, and is in no text
OTHERS = 40  # listed phrases told apart; further ones share the last
SEPARATORS = frozenset(", and or nor & /".split())
LONGEST = 5  # words of a listed phrase


def negated(text: str, span: Span, vocabulary: Vocabulary) -> bool:
    """True if the cues of the vocabulary say that what stands at `span` of `text` is absent.

    The words there need not be known. A span that holds no word is not negated.
    """
    return _judge(vocabulary).negated(text, span)


class _Judge:
    """The cue engine with a vocabulary of nothing but cues, numbers and the given words."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        place = Region(id=MARK, order=1)
        names = [MARK, *(f"{MARK}{n}" for n in range(1, OTHERS + 1))]
        only = Vocabulary(
            {
                "cue": list(vocabulary.cues.values()),
                "number": list(vocabulary.numbers.values()),
                "region": [place],
                "sign": [Sign(id=name, say=(name,), home=MARK) for name in names],
            },
            f"{vocabulary.digest} judging",
        )
        self.maker, self.reader = UnitMaker(only), Reader(only)
        self.listed = [self.maker.make(tokenise(MARK), MARK)[0].signs] + [
            tuple(replace(m, id=name) for m in self.maker.make(tokenise(MARK), MARK)[0].signs) for name in names[1:]
        ]

    def negated(self, text: str, span: Span) -> bool:
        units = self._units(text, span)
        mute(units, is_punctuated(text))
        state = self.reader.read(units, 0, len(units), is_past_tense(units))
        return any(hit.sign == MARK and hit.presence == "absent" for hit in state.hits)

    def _units(self, text: str, span: Span) -> list[Unit]:
        tokens: list[Token] = []
        for token in tokenise(text):
            if not (token.start < span.end and span.start < token.end):
                tokens.append(token)
            elif tokens and tokens[-1].low == MARK:
                tokens[-1] = replace(tokens[-1], end=token.end)
            else:
                tokens.append(replace(token, low=MARK, kind="word"))
        return self._with_lists(self.maker.make(tokens, text))

    def _with_lists(self, units: list[Unit]) -> list[Unit]:
        """Phrases between separators become one sign each; words straight before the given ones join them."""
        out: list[Unit] = []
        phrase: list[Unit] = []
        others = 0
        for unit in units:
            given = bool(unit.signs)
            if not given and _is_content(unit):
                phrase.append(unit)
                continue
            if given and phrase and not any(u.low in PREPOSITIONS for u in phrase) and len(phrase) < LONGEST:
                unit = replace(unit, start=phrase[0].start, span=phrase[0].span.cover(unit.span), gap=phrase[0].gap)
            elif given or len(phrase) > LONGEST:
                out += phrase
            elif phrase:
                others = min(others + 1, OTHERS)
                out.append(_one(phrase, self.listed[others]))
            phrase = []
            out.append(unit)
        return out + phrase


def _is_content(unit: Unit) -> bool:
    """A word that may belong to a listed phrase: no cue, no mark, no verb to be, no pronoun."""
    return (
        unit.kind in ("word", "number")
        and not unit.cues
        and unit.low not in COPULAS
        and (unit.low not in SUBJECTS and unit.low not in SEPARATORS)
    )


def _one(phrase: list[Unit], signs: tuple) -> Unit:  # type: ignore[type-arg]
    span = phrase[0].span.cover(phrase[-1].span)
    return replace(phrase[0], end=phrase[-1].end, span=span, kind="word", number=None, signs=signs)


@lru_cache(maxsize=4)
def _judge(vocabulary: Vocabulary) -> _Judge:
    return _Judge(vocabulary)
