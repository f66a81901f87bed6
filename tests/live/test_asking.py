"""What counts as an answer, with the words that are shipped: a whole phrase, and nothing else."""

from __future__ import annotations

import pytest

from dictate.extraction import extract
from dictate.live.asking import Ask, Asker, with_questions
from dictate.live.commands import Commands
from dictate.live.hand import current, edited
from dictate.model import Draft, Utterance, Word
from dictate.vocabulary import Vocabulary, load_vocabulary


@pytest.fixture(scope="module")
def vocabulary() -> Vocabulary:
    return load_vocabulary()


@pytest.fixture(scope="module")
def asker(vocabulary: Vocabulary) -> Asker:
    return Asker.of(vocabulary, lambda words: extract(words, vocabulary), Commands.of(vocabulary))


def heard(text: str, start: float = 0.0) -> Utterance:
    words = tuple(Word(w, start + n / 3, start + (n + 1) / 3, 0.9) for n, w in enumerate(text.split()))
    return Utterance(words, "replay", words[0].start, words[-1].end)


def asked(asker: Asker, vocabulary: Vocabulary, text: str) -> tuple[Draft, list[Ask]]:
    draft = extract((heard(text),), vocabulary)
    return draft, asker.questions(current(draft))


@pytest.mark.parametrize(
    ("text", "questions"),
    [
        ("red seven foot pad is hardened", ["Which foot pad?"]),
        ("red seven foot pad is hardened with a scab", ["Which foot pad?"]),
        ("red seven left foot pad is hardened", []),
        ("red seven no swelling of the wattle", []),  # nothing is wrong: the review asks
        ("red seven foot pad is fine", []),
        ("red seven temperature forty six", ["temperature forty six: is that right?"]),
        ("red seven weight two point one kilos", []),
        ("comb is pale", ["Which bird is this?"]),
        ("left eye is cloudy and shank has raised scales", ["Which shank?", "Which bird is this?"]),
    ],
)
def test_only_what_matters_is_asked(
    asker: Asker, vocabulary: Vocabulary, text: str, questions: list[str]
) -> None:
    assert [ask.text for ask in asked(asker, vocabulary, text)[1]] == questions


@pytest.mark.parametrize(
    ("text", "answer", "after"),
    [
        ("red seven foot pad is hardened with a scab", "left", {("hardened", "left"), ("scab", "left")}),
        ("red seven foot pad is hardened", "um the right one", {("hardened", "right")}),
        ("red seven foot pad is hardened", "it's the left foot", {("hardened", "left")}),
        ("red seven foot pad is hardened", "both of them", {("hardened", "both")}),
        ("red seven foot pad is hardened", "the left foot pad", {("hardened", "left")}),
    ],
)
def test_sides(
    asker: Asker, vocabulary: Vocabulary, text: str, answer: str, after: set[tuple[str, str]]
) -> None:
    draft, (ask, *_) = asked(asker, vocabulary, text)
    edits = asker.answer(ask, heard(answer, 9.0), current(draft))
    assert edits is not None
    exam = current(edited(draft, edits))
    assert {(f.sign, f.side) for f in exam.findings} == after
    assert not exam.questions, "answered, so the review need not ask"


@pytest.mark.parametrize(
    "answer",
    ["comb is pale", "left eye is cloudy", "left wing", "left or right", "the other one", "next one", "um",
     "i think she has been in the left pen for a week"],
)
def test_what_is_no_side_is_dictation(asker: Asker, vocabulary: Vocabulary, answer: str) -> None:
    draft, (ask, *_) = asked(asker, vocabulary, "red seven foot pad is hardened")
    assert asker.answer(ask, heard(answer, 9.0), current(draft)) is None


@pytest.mark.parametrize(
    ("answer", "who"), [("blue nineteen", "blue 19"), ("this is blue nineteen", "blue 19"), ("red seven um", "red 7")]
)
def test_birds(asker: Asker, vocabulary: Vocabulary, answer: str, who: str) -> None:
    draft, (ask, *_) = asked(asker, vocabulary, "comb is pale")
    edits = asker.answer(ask, heard(answer, 9.0), current(draft))
    assert edits is not None
    assert current(edited(draft, edits)).bird.band == who
    assert asker.answer(ask, heard("crop is full", 9.0), current(draft)) is None


@pytest.mark.parametrize(
    ("answer", "value"), [("forty one point five", 41.5), ("temperature forty one", 41), ("yes", 46), ("no", None)]
)
def test_numbers(asker: Asker, vocabulary: Vocabulary, answer: str, value: float | None) -> None:
    draft, (ask, *_) = asked(asker, vocabulary, "red seven temperature forty six")
    edits = asker.answer(ask, heard(answer, 9.0), current(draft))
    assert edits is not None
    exam = current(edited(draft, edits))
    assert [m.value for m in exam.measurements] == ([] if value is None else [value])
    assert asker.questions(exam) == []


def test_a_number_nobody_answered_for_is_asked_by_the_review(vocabulary: Vocabulary) -> None:
    exam = with_questions(current(extract((heard("red seven temperature forty six"),), vocabulary)))
    assert [(q.field, q.item) for q in exam.questions] == [("value", 0)]
