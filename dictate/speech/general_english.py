"""General English from the model in pocketsphinx's wheel, for talk that is not of the trade.

The wheel carries a trigram model as a packed trie (sphinxbase, lm_trie.c). pocketsphinx can look up
single probabilities in it but not list or mix it, so it is unpacked here, and what was unpacked is
compared with pocketsphinx's own answers; if a later version packs it otherwise, there is no general
model and the lexicon's alone is used.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from dictate.speech.language_model import FLOOR, START, STOP, Grams, Trigrams

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["GeneralEnglish", "read_general"]

_MAGIC = b"Trie Language Model"
_BINS = 1 << 16
_LOG_BASE = float(np.log(1.0001))


@dataclass(slots=True)
class GeneralEnglish:
    """The unpacked model: words in its own order; n-grams as columns of word numbers, first word
    first, with natural logarithms of probability and backoff weight."""

    words: list[str]
    one: tuple[Any, Any]
    two: tuple[Any, Any, Any, Any]
    three: tuple[Any, Any, Any, Any]

    def commonest(self, count: int) -> list[str]:
        """The likeliest words, likeliest first, without sentence marks."""
        order = np.argsort(-self.one[0], kind="stable")
        plain = (self.words[n] for n in order)
        chosen = [word for word in plain if word not in (START, STOP) and word[0].isalpha()]
        return chosen[:count]

    def commonness(self) -> dict[str, float]:
        """How likely each word is, whatever stands before it."""
        return dict(zip(self.words, np.exp(self.one[0]).tolist(), strict=True))

    def limited(self, words: Sequence[str]) -> Trigrams:
        """The model over `words` only (which begin with <s>, </s>); unknown ones get a floor."""
        size = len(words)
        number = {word: n for n, word in enumerate(words)}
        to = np.array([number.get(word, -1) for word in self.words], np.int64)
        prob = np.full(size, FLOOR)
        backoff = np.ones(size)
        known = to >= 0
        prob[to[known]] = np.exp(self.one[0][known])
        backoff[to[known]] = np.exp(self.one[1][known])
        prob[0] = 0.0
        v, w, p, b = self.two
        two = _grams(to[v] * size + to[w], (to[v] >= 0) & (to[w] >= 0), p, b)
        u, vw, p, b = self.three
        v, w = self.two[0][vw], self.two[1][vw]
        inside = (to[u] >= 0) & (to[v] >= 0) & (to[w] >= 0)
        three = _grams((to[u] * size + to[v]) * size + to[w], inside, p, b)
        return Trigrams(list(words), Grams(np.arange(size, dtype=np.int64), prob, backoff), two, three)


def _grams(keys: Any, inside: Any, prob: Any, backoff: Any) -> Grams:
    keys, prob, backoff = keys[inside], np.exp(prob[inside]), np.exp(backoff[inside])
    order = np.argsort(keys, kind="stable")
    return Grams(keys[order], prob[order], backoff[order])


def read_general(path: Path, check: Any = None) -> GeneralEnglish | None:
    """Unpack the model; None when it is not of the expected form. `check(words) -> log value` is
    pocketsphinx's own lookup (target word first, logs to the base 1.0001) on which it is proved."""
    try:
        model = _unpack(path.read_bytes())
    except (OSError, ValueError, IndexError, UnicodeDecodeError):
        return None
    if check is not None and not _agrees(model, check):
        return None
    return model


def _unpack(raw: bytes) -> GeneralEnglish:
    data = np.frombuffer(raw, np.uint8)
    if raw[: len(_MAGIC)] != _MAGIC or raw[len(_MAGIC)] != 3:
        raise ValueError("not a trigram trie")
    at = len(_MAGIC) + 1
    counts = [int(n) for n in np.frombuffer(raw, "<u4", 3, at)]
    at += 12 + 4  # the kind of quantisation follows the counts
    tables = np.frombuffer(raw, "<f4", 3 * _BINS, at).reshape(3, _BINS).astype(np.float64) * _LOG_BASE
    at += 4 * 3 * _BINS
    row = np.dtype([("prob", "<f4"), ("backoff", "<f4"), ("next", "<u4")])
    one = np.frombuffer(raw, row, counts[0] + 1, at)
    at += row.itemsize * (counts[0] + 1)
    word_bits, next_bits = counts[0].bit_length(), counts[2].bit_length()
    two_bits, three_bits = word_bits + 32 + next_bits, word_bits + 16
    two_bytes = ((1 + counts[1]) * two_bits + 7) // 8 + 8
    three_bytes = ((1 + counts[2]) * three_bits + 7) // 8 + 8
    two_mem, three_mem = data[at : at + two_bytes], data[at + two_bytes : at + two_bytes + three_bytes]
    at += two_bytes + three_bytes + 4
    words = raw[at:].decode("utf-8").split("\0")[: counts[0]]
    if len(words) != counts[0]:
        raise ValueError("words are missing")

    # The trie is keyed by the last word, then the one before it, then the first. It may hold fewer
    # bigrams than its header says (6 of 2 million in the wheel of 5.1); the pointers are right.
    pairs = int(one["next"][-1])
    places = np.arange(pairs, dtype=np.int64) * two_bits
    before = _bits(two_mem, places, word_bits)
    packed = _bits(two_mem, places + word_bits, 32)
    first = _bits(two_mem, np.append(places, pairs * two_bits) + word_bits + 32, next_bits)
    last = np.repeat(np.arange(counts[0]), _steps(one["next"]))
    triples = int(first[-1])
    places = np.arange(triples, dtype=np.int64) * three_bits
    first_word = _bits(three_mem, places, word_bits)
    third = _bits(three_mem, places + word_bits, 16)
    pair = np.repeat(np.arange(pairs), _steps(first))
    if len(last) != pairs or len(pair) != triples:
        raise ValueError("n-grams are missing")
    return GeneralEnglish(
        words,
        (one["prob"][:-1] * _LOG_BASE, one["backoff"][:-1] * _LOG_BASE),
        (before, last, tables[0][packed >> 16], tables[1][packed & 0xFFFF]),
        (first_word, pair, tables[2][third], np.zeros(triples)),
    )


def _steps(pointers: Any) -> Any:
    """How many entries lie between each pointer and the next."""
    return np.diff(pointers.astype(np.int64))


def _bits(memory: NDArray[np.uint8], places: NDArray[np.int64], length: int) -> NDArray[np.int64]:
    """`length` bits (at most 57) from each bit position, least significant first."""
    at = places >> 3
    value = np.zeros(len(places), np.uint64)
    for byte in range(8):
        value |= memory[at + byte].astype(np.uint64) << np.uint64(8 * byte)
    mask = np.uint64((1 << length) - 1)
    return ((value >> (places & 7).astype(np.uint64)) & mask).astype(np.int64)


def _agrees(model: GeneralEnglish, check: Any) -> bool:
    """Whether a spread of bigrams and trigrams has the probabilities that pocketsphinx gives."""
    v, w, p, _ = model.two
    for n in range(0, len(v), max(1, len(v) // 20)):
        if abs(check([model.words[w[n]], model.words[v[n]]]) * _LOG_BASE - p[n]) > 0.01:
            return False
    u, pair, p, _ = model.three
    for n in range(0, len(u), max(1, len(u) // 20)):
        names = [model.words[w[pair[n]]], model.words[v[pair[n]]], model.words[u[n]]]
        if abs(check(names) * _LOG_BASE - p[n]) > 0.01:
            return False
    return True
