"""The cue engine asked about words it does not know."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchmarks.negation import measure, rows

from dictate.extraction import negated
from dictate.model import Span
from dictate.vocabulary import Vocabulary, load_vocabulary

PUBLIC = Path(__file__).parents[3] / "shared" / "reference" / "negation" / "reports-1-60.tsv"
FLOOR = 0.93  # accuracy on the public sentences; .980 was measured on 2026-11-25


@pytest.fixture(scope="module")
def vocabulary() -> Vocabulary:
    return load_vocabulary()


def is_denied(marked: str, vocabulary: Vocabulary) -> bool:
    """Judge the words between [ and ]."""
    start, end = marked.index("["), marked.index("]") - 1
    return negated(marked.replace("[", "").replace("]", ""), Span(start, end), vocabulary)


@pytest.mark.parametrize(
    "marked",
    [
        "No [rust] on the hinge.",
        "the hinge has no [rust]",
        "she denies [squeaking]",
        "The boiler was negative for [limescale].",
        "no grit, sand or [rust in the bearing]",
        "No dents, [scratches], or chips.",
        "There is no sign of [damp], but the roof leaks.",
        "The gutter was left without evidence of [moss].",
        "[Woodworm] was ruled out.",
        "I can't see any [cracks] in it",
        "The report failed to reveal [leaks].",
        "Neither draught nor [damp].",
    ],
)
def test_denied(marked: str, vocabulary: Vocabulary) -> None:
    assert is_denied(marked, vocabulary)


@pytest.mark.parametrize(
    "marked",
    [
        "There is [rust] on the hinge.",
        "no damp but the [roof] leaks",
        "No damp. [Rust] on the hinge.",
        "can't rule out [woodworm]",
        "no change in the [crack]",
        "The boiler has [limescale], no leaks.",
        "It is not only the [rust].",
        "without question it is [rust]",
        "no rust, and there is [damp] under the floor",
    ],
)
def test_not_denied(marked: str, vocabulary: Vocabulary) -> None:
    assert not is_denied(marked, vocabulary)


def test_the_answer_is_about_the_given_words_and_not_about_others(vocabulary: Vocabulary) -> None:
    assert is_denied("no [rust] but damp everywhere", vocabulary)
    assert not is_denied("no rust but [damp] everywhere", vocabulary)


def test_words_of_the_lexicon_are_judged_like_any_other(vocabulary: Vocabulary) -> None:
    assert is_denied("Left hock: no [swelling].", vocabulary)
    assert not is_denied("Left hock: [swelling], no heat.", vocabulary)


@pytest.mark.parametrize(("text", "span"), [("", Span(0, 0)), ("no rust", Span(2, 3)), ("no rust", Span(90, 99))])
def test_a_span_without_words_is_not_denied(text: str, span: Span, vocabulary: Vocabulary) -> None:
    assert not negated(text, span, vocabulary)


def test_public_sentences(vocabulary: Vocabulary) -> None:
    if not PUBLIC.is_file():
        pytest.skip("the public sentences are not carried with the source (../shared is absent)")
    figures = measure(PUBLIC, vocabulary)
    assert figures["sentences"] > 1000
    assert 0 < figures["negated"] < figures["sentences"] / 2
    assert figures["accuracy"] >= FLOOR, figures


def test_a_wrong_label_is_named(tmp_path: Path) -> None:
    path = tmp_path / "odd.tsv"
    path.write_text("report\tconcept\tsentence\tlabel\n1\trust\tno RUST\tPerhaps\n", encoding="utf-8")
    with pytest.raises(ValueError, match="line 2"):
        list(rows(path))
