"""Trigram language models: counted from sentences, mixed with another, written in ARPA form.

Counts become probabilities by interpolated Witten-Bell smoothing (Witten and Bell 1991; Chen and
Goodman 1998, section 2.6); two models are mixed linearly and written as one backoff model. Words are
numbers in one list of words; an n-gram is one integer key, so that all work is done on arrays.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]
    Floats = NDArray[np.float64]

__all__ = ["START", "STOP", "Grams", "Trigrams", "count_trigrams", "mix", "prune", "write_arpa"]

START, STOP = "<s>", "</s>"
NEVER = -99.0  # ARPA's log10 for "impossible"
FLOOR = 1e-9


@dataclass(slots=True)
class Grams:
    """All n-grams of one order: sorted keys, probabilities, and backoff weights as contexts (or 1)."""

    keys: Ints
    prob: Floats
    backoff: Floats

    def find(self, keys: Ints) -> tuple[Ints, NDArray[np.bool_]]:
        """Place of each key, and whether it is there."""
        at = np.searchsorted(self.keys, keys)
        at[at == len(self.keys)] = 0
        return at, (self.keys[at] == keys if len(self.keys) else np.zeros(len(keys), bool))


@dataclass(slots=True)
class Trigrams:
    """A backoff model over `words` (number 0 is <s>, 1 is </s>); keys: u*V+v and (u*V+v)*V+w."""

    words: list[str]
    one: Grams
    two: Grams
    three: Grams

    @property
    def size(self) -> int:
        return len(self.words)

    def prob_one(self, w: Ints) -> Floats:
        at, found = self.one.find(w)
        return np.where(found, self.one.prob[at], FLOOR)

    def prob_two(self, vw: Ints) -> Floats:
        """P(w|v) for keys v*V+w, by backoff where not listed."""
        at, found = self.two.find(vw)
        v_at, v_found = self.one.find(vw // self.size)
        back = np.where(v_found, self.one.backoff[v_at], 1.0) * self.prob_one(vw % self.size)
        return np.where(found, self.two.prob[at] if len(self.two.keys) else 0.0, back)

    def prob_three(self, uvw: Ints) -> Floats:
        """P(w|u,v) for keys (u*V+v)*V+w, by backoff where not listed."""
        at, found = self.three.find(uvw)
        uv_at, uv_found = self.two.find(uvw // self.size)
        weight = np.where(uv_found, self.two.backoff[uv_at], 1.0) if len(self.two.keys) else 1.0
        back = weight * self.prob_two(uvw % (self.size * self.size))
        return np.where(found, self.three.prob[at] if len(self.three.keys) else 0.0, back)


def count_trigrams(sentences: Iterable[Sequence[str]], words: Sequence[str]) -> Trigrams:
    """Count sentences (lists of words) into a smoothed model over `words`, which begin with <s> and
    </s>. Words not in the list end a sentence and begin another."""
    number = {word: n for n, word in enumerate(words)}
    stream: list[int] = [0]
    for sentence in sentences:
        for word in sentence:
            n = number.get(word)
            if n is None:
                stream += (1, 0)
            else:
                stream.append(n)
        stream += (1, 0)
    a = np.array(stream, np.int64)
    return _smooth(a, list(words))


def _smooth(a: Ints, words: list[str]) -> Trigrams:
    size = len(words)
    w = a[a != 0]
    count = np.bincount(w, minlength=size).astype(float)
    kinds = float((count > 0).sum())
    one_prob = (count + kinds / (size - 1)) / (count.sum() + kinds)
    one_prob[0] = 0.0
    one = Grams(np.arange(size, dtype=np.int64), one_prob, np.ones(size))
    model = Trigrams(words, one, _none(), _none())

    inside = (a[:-1] != 1) & (a[1:] != 0)
    keys, counts = np.unique((a[:-1] * size + a[1:])[inside], return_counts=True)
    model.two, one.backoff = _witten_bell(keys, counts, size, size, model.prob_one(keys % size))

    inside = inside[:-1] & (a[1:-1] != 1) & (a[2:] != 0)
    keys, counts = np.unique(((a[:-2] * size + a[1:-1]) * size + a[2:])[inside], return_counts=True)
    lower = model.prob_two(keys % (size * size))
    contexts, backoff = _contexts(keys, counts, size)
    model.three = Grams(keys, _interpolated(keys, counts, size, contexts, lower), np.ones(len(keys)))
    at, _ = model.two.find(contexts[0])
    model.two.backoff[at] = backoff
    return model


def _witten_bell(keys: Ints, counts: Ints, size: int, contexts: int, lower: Floats) -> tuple[Grams, Floats]:
    found = _contexts(keys, counts, size)
    weights = np.ones(contexts)
    weights[found[0][0]] = found[1]
    return Grams(keys, _interpolated(keys, counts, size, found[0], lower), np.ones(len(keys))), weights


def _contexts(keys: Ints, counts: Ints, size: int) -> tuple[tuple[Ints, Floats, Floats], Floats]:
    """The contexts of n-grams with their totals and numbers of kinds, and the backoff weight of each."""
    contexts, place = np.unique(keys // size, return_inverse=True)
    total = np.bincount(place, weights=counts).astype(np.float64)
    kinds = np.bincount(place).astype(np.float64)
    contexts = contexts.astype(np.int64)
    return (contexts, total, kinds), kinds / (total + kinds)


def _interpolated(
    keys: Ints, counts: Ints, size: int, contexts: tuple[Ints, Floats, Floats], lower: Floats
) -> Floats:
    at = np.searchsorted(contexts[0], keys // size)
    total, kinds = contexts[1][at], contexts[2][at]
    result: Floats = (counts + kinds * lower) / (total + kinds)
    return result


def _none() -> Grams:
    return Grams(np.zeros(0, np.int64), np.zeros(0), np.zeros(0))


def mix(domain: Trigrams, general: Trigrams, share: float) -> Trigrams:
    """`share` of the domain's probability and the rest of the general model's, over the n-grams of
    both. Both must have the same words in the same order."""
    if domain.words != general.words:
        raise ValueError("the two models have different words")

    def blend(ours: Floats, theirs: Floats) -> Floats:
        return share * ours + (1.0 - share) * theirs

    one = domain.one.keys
    two = np.union1d(domain.two.keys, general.two.keys)
    three = np.union1d(domain.three.keys, general.three.keys)
    unigram = blend(domain.prob_one(one), general.prob_one(one))
    unigram[0] = 0.0
    mixed = Trigrams(
        domain.words,
        Grams(one, unigram / unigram.sum(), np.ones(len(one))),
        Grams(two, blend(domain.prob_two(two), general.prob_two(two)), np.ones(len(two))),
        Grams(three, blend(domain.prob_three(three), general.prob_three(three)), np.ones(len(three))),
    )
    _set_backoff(mixed)
    return mixed


def _set_backoff(model: Trigrams) -> None:
    """Backoff weights that make each context's probabilities sum to one."""
    size = model.size
    model.one.backoff = _left_over(model.two, model.prob_one(model.two.keys % size), model.one.keys, size)
    lower = model.prob_two(model.three.keys % (size * size))
    model.two.backoff = _left_over(model.three, lower, model.two.keys, size)


def _left_over(grams: Grams, lower: Floats, contexts: Ints, size: int) -> Floats:
    at = np.searchsorted(contexts, grams.keys // size)
    used = np.bincount(at, weights=grams.prob, minlength=len(contexts))
    below = np.bincount(at, weights=lower, minlength=len(contexts))
    result: Floats = np.maximum(1.0 - used, 1e-4) / np.maximum(1.0 - below, 1e-4)
    return result


def prune(model: Trigrams, threshold: float, keep: Trigrams | None = None) -> Trigrams:
    """Leave out n-grams whose probability backoff gives nearly as well (weighted relative entropy,
    after Stolcke 1998, without recomputing the weights meanwhile), except those that `keep` has."""
    size = model.size
    three, two = model.three, model.two
    context = model.prob_two(three.keys // size) * model.prob_one(three.keys // (size * size))
    gain = _gain(three, context, model.prob_two(three.keys % (size * size)), two, size)
    chosen = gain > threshold
    if keep is not None:
        chosen |= np.isin(three.keys, keep.three.keys)
    kept_three = Grams(three.keys[chosen], three.prob[chosen], three.backoff[chosen])
    gain = _gain(two, model.prob_one(two.keys // size), model.prob_one(two.keys % size), model.one, size)
    chosen = (gain > threshold) | np.isin(two.keys, kept_three.keys // size)
    if keep is not None:
        chosen |= np.isin(two.keys, keep.two.keys)
    kept_two = Grams(two.keys[chosen], two.prob[chosen], two.backoff[chosen])
    pruned = Trigrams(model.words, model.one, kept_two, kept_three)
    _set_backoff(pruned)
    return pruned


def _gain(grams: Grams, context: Floats, lower: Floats, contexts: Grams, size: int) -> Floats:
    at, found = contexts.find(grams.keys // size)
    backed = np.where(found, contexts.backoff[at], 1.0) * lower
    ratio = np.log(np.maximum(grams.prob, FLOOR)) - np.log(np.maximum(backed, FLOOR))
    result: Floats = context * grams.prob * np.abs(ratio)
    return result


def write_arpa(model: Trigrams, path: Path) -> None:
    """Write the model in ARPA form, n-grams in order of their words' numbers."""
    words, size = model.words, model.size
    with path.open("w", encoding="utf-8") as out:
        out.write("\\data\\\n")
        for order, grams in enumerate((model.one, model.two, model.three), 1):
            out.write(f"ngram {order}={len(grams.keys)}\n")
        one = zip(words, _log(model.one.prob), _log(model.one.backoff), strict=True)
        out.write("\n\\1-grams:\n")
        out.writelines(f"{p:.4f}\t{w}\t{b:.4f}\n" for w, p, b in one)
        out.write("\n\\2-grams:\n")
        two = zip(
            _log(model.two.prob), (model.two.keys // size).tolist(), (model.two.keys % size).tolist(),
            _log(model.two.backoff), strict=True,
        )
        out.writelines(f"{p:.4f}\t{words[v]} {words[w]}\t{b:.4f}\n" for p, v, w, b in two)
        out.write("\n\\3-grams:\n")
        keys = model.three.keys
        three = zip(
            _log(model.three.prob), (keys // (size * size)).tolist(), (keys // size % size).tolist(),
            (keys % size).tolist(), strict=True,
        )
        out.writelines(f"{p:.4f}\t{words[u]} {words[v]} {words[w]}\n" for p, u, v, w in three)
        out.write("\n\\end\\\n")


def _log(values: Floats) -> Any:
    with np.errstate(divide="ignore"):
        return np.maximum(np.log10(values), NEVER).tolist()
