"""Trigram models are proper probabilities, also when mixed, pruned and written."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.speech.language_model import START, STOP, Trigrams, count_trigrams, mix, prune, write_arpa

WORDS = [START, STOP, "clean", "crop", "eye", "left", "no", "right", "scab", "is"]
SAID = [["left", "eye", "is", "clean"], ["right", "eye", "is", "clean"], ["crop", "clean"], ["no", "scab"], ["left"]]
TALK = [["is", "no", "right"], ["no", "left", "is"], ["is", "is", "no"]]


def of(model: Trigrams, *words: str) -> float:
    """P(last word | up to two words before it)."""
    n = [model.words.index(word) for word in words]
    key = np.array([n[-1] if len(n) == 1 else n[0] * model.size + n[1]])
    if len(n) == 3:
        key = key * model.size + n[2]
    look_up = (model.prob_one, model.prob_two, model.prob_three)[len(n) - 1]
    return float(look_up(key)[0])


def sums(model: Trigrams, *context: str) -> float:
    return sum(of(model, *context, word) for word in model.words[1:])


CONTEXTS = [(), (START,), ("eye",), ("scab",), (START, "left"), ("eye", "is"), ("scab", "left"), ("is", "no")]


@pytest.mark.parametrize("context", CONTEXTS)
@pytest.mark.parametrize("kind", ["counted", "mixed", "pruned"])
def test_probabilities_of_a_context_sum_to_one(context: tuple[str, ...], kind: str) -> None:
    model = count_trigrams(SAID, WORDS)
    if kind != "counted":
        model = mix(model, count_trigrams(TALK, WORDS), 0.6)
    if kind == "pruned":
        model = prune(model, 1e-3)
    assert sums(model, *context) == pytest.approx(1.0, abs=1e-6)


@given(st.lists(st.lists(st.sampled_from(WORDS[2:]), min_size=1, max_size=6), min_size=1, max_size=12))
def test_whatever_is_counted_sums_to_one(sentences: list[list[str]]) -> None:
    model = mix(count_trigrams(sentences, WORDS), count_trigrams(SAID, WORDS), 0.5)
    for context in CONTEXTS:
        assert sums(model, *context) == pytest.approx(1.0, abs=1e-6)


def test_what_was_said_is_likelier_than_what_was_not() -> None:
    model = count_trigrams(SAID, WORDS)
    assert of(model, "eye", "is", "clean") > 0.5
    assert of(model, "eye", "is", "clean") > 5 * of(model, "eye", "is", "left")
    assert 0 < of(model, "crop", "scab") < of(model, "crop", "clean")


def test_witten_bell_by_hand() -> None:
    """One context "a" seen twice with two kinds of word after it: (1 + 2 * P(w)) / (2 + 2)."""
    model = count_trigrams([["a", "b"], ["a", "c"]], [START, STOP, "a", "b", "c"])
    assert of(model, "a", "b") == pytest.approx((1 + 2 * of(model, "b")) / 4)
    assert of(model, "a", "a") == pytest.approx(2 / 4 * of(model, "a"))


def test_a_mixture_is_between_its_parts() -> None:
    ours, theirs = count_trigrams(SAID, WORDS), count_trigrams(TALK, WORDS)
    both = mix(ours, theirs, 0.7)
    for words in [("eye", "is", "clean"), ("is", "no", "right"), (START, "left"), ("scab",)]:
        assert of(both, *words) == pytest.approx(0.7 * of(ours, *words) + 0.3 * of(theirs, *words), rel=0.02)


def test_pruning_keeps_what_is_asked_for() -> None:
    model = count_trigrams(SAID, WORDS)
    assert len(prune(model, 1.0).three.keys) == 0
    assert len(prune(model, 1.0, keep=model).three.keys) == len(model.three.keys)


def test_unknown_words_part_a_sentence() -> None:
    model = count_trigrams([["left", "unheard-of", "eye"]], WORDS)
    assert of(model, "left", "eye") < of(model, START, "eye")


def test_pocketsphinx_reads_what_is_written(tmp_path: Path) -> None:
    """An outside reader gives the probabilities that the model gives."""
    import pocketsphinx

    model = mix(count_trigrams(SAID, WORDS), count_trigrams(TALK, WORDS), 0.6)
    write_arpa(model, tmp_path / "a.arpa")
    logs = pocketsphinx.LogMath()
    read = pocketsphinx.NGramModel(pocketsphinx.Config(), logs, str(tmp_path / "a.arpa"))
    for words in [("eye", "is", "clean"), ("scab", "is", "clean"), ("is", "no"), ("crop", "scab"), ("left",)]:
        assert np.exp(read.prob(list(words)[::-1]) * np.log(1.0001)) == pytest.approx(
            of(model, *words), rel=0.01
        )
