"""The words of a recogniser that does not know the trade's, put right by sound, language and agreement."""

from __future__ import annotations

import tomllib
from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dictate.fusion.rehear import Agreement, Rehearer, SoundTree, Weights
from dictate.fusion.sounds import Sounds, confusion_costs
from dictate.fusion.written import Heard, Writing
from dictate.model import Utterance, Word
from dictate.speech.pocketsphinx_model import language_cost, model_files
from dictate.vocabulary.patterns import tokens
from dictate.vocabulary.spoken_numbers import NumberSpeller

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

__all__ = ["Mender", "mender", "weights"]

PAUSE = 0.35  # seconds that part two utterances
STRETCH = 60  # words that are looked at together at most
BREAK = 0.6  # seconds at which a stretch of more than FEW words ends
FEW = 8
TURNING = frozenset(("next", "start", "again"))  # roles of words for birds
SLACK = 0.25  # seconds by which two listeners' times of one word may differ


@cache
def weights() -> dict[str, Any]:
    """The tables of weights.toml."""
    return tomllib.loads(files("dictate.fusion").joinpath("weights.toml").read_text(encoding="utf-8"))


class Mender:
    """Puts the words of a recogniser right. Made once for a vocabulary (some seconds)."""

    def __init__(self, vocabulary: Vocabulary, cache_folder: Path, given: Weights | None = None) -> None:
        cost, known = language_cost(model_files(vocabulary, cache_folder))
        sounds = Sounds(vocabulary)
        tree = SoundTree(known, lambda word: cost("", "", word))
        self._writing = Writing(NumberSpeller(vocabulary.numbers.values()), sounds.first)
        self._rehearer = Rehearer(
            tree, confusion_costs(vocabulary), cost, known.__contains__, sounds.known,
            given or Weights(**weights()["words"]), _guarded(vocabulary),
        )

    def mend(self, utterances: Sequence[Utterance], others: Iterable[Utterance] = ()) -> list[Utterance]:
        """The utterances in better words, small letters without marks, times kept. What other listeners
        heard at the same time speaks for a word."""
        if not utterances:
            return []
        agree = agreement(others)
        out: list[Utterance] = []
        for stretch in _stretches(self._writing.read(utterances)):
            words = self._words(stretch, agree)
            out += _parted(words, utterances[0].listener)
        return out

    def _words(self, stretch: Sequence[Heard], agree: Agreement | None) -> list[Word]:
        words = []
        for choice in self._rehearer.best(stretch, agree):
            under = [h.confidence for h in stretch if h.start < choice.end - 1e-6 and h.end > choice.start + 1e-6]
            sure = sum(under) / len(under) if under else 0.0
            words.append(Word(choice.word, round(choice.start, 3), round(choice.end, 3), round(sure, 4)))
        return words


def agreement(others: Iterable[Utterance]) -> Agreement | None:
    """How far a word was heard by other listeners at a time: 0 not at all, .3 with no confidence, 1 with all."""
    heard: dict[str, list[tuple[float, float, float]]] = defaultdict(list)
    for utterance in others:
        for word in utterance.words:
            if word.start is not None and word.end is not None:
                sure = 0.5 if word.confidence is None else word.confidence
                heard[word.text.lower().strip(".,?!")].append((word.start - SLACK, word.end + SLACK, 0.3 + 0.7 * sure))
    if not heard:
        return None

    def agree(word: str, start: float, end: float) -> float:
        return max((share for a, b, share in heard.get(word, ()) if a < end and b > start), default=0.0)

    return agree


def _guarded(vocabulary: Vocabulary) -> set[tuple[str, str]]:
    """Pairs of words in phrases that turn to another bird or command the program."""
    said = [p for entry in vocabulary.birds.values() if entry.role in TURNING for p in entry.say]
    said += [phrase for entry in vocabulary.entries("command").values() for phrase in entry.say]
    return {pair for phrase in said for pair in pairwise(tokens(phrase))}


def _stretches(words: Iterable[Heard]) -> Iterable[list[Heard]]:
    stretch: list[Heard] = []
    for word in words:
        if stretch and (len(stretch) >= STRETCH or (len(stretch) > FEW and word.start - stretch[-1].end >= BREAK)):
            yield stretch
            stretch = []
        stretch.append(word)
    if stretch:
        yield stretch


def _parted(words: Sequence[Word], listener: str) -> Iterable[Utterance]:
    said: list[Word] = []
    for word in words:
        if said and (word.start or 0.0) - (said[-1].end or 0.0) >= PAUSE:
            yield Utterance(tuple(said), listener, said[0].start, said[-1].end)
            said = []
        said.append(word)
    if said:
        yield Utterance(tuple(said), listener, said[0].start, said[-1].end)


@lru_cache(maxsize=2)
def mender(vocabulary: Vocabulary, cache_folder: Path) -> Mender:
    """The mender of a vocabulary, made once."""
    return Mender(vocabulary, cache_folder)
