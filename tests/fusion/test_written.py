"""What a recogniser writes is read as talk: numbers whole, no marks, pauses and times kept."""

from __future__ import annotations

import pytest

from dictate.fusion.written import Heard, Writing
from dictate.model import Utterance, Word
from dictate.vocabulary import load_vocabulary
from dictate.vocabulary.spoken_numbers import NumberSpeller


@pytest.fixture(scope="module")
def writing() -> Writing:
    numbers = NumberSpeller(load_vocabulary().numbers.values())
    return Writing(numbers, lambda word: tuple(word.upper()))  # a letter stands for a sound


def read(writing: Writing, text: str, gaps: dict[int, float] | None = None) -> list[Heard]:
    """The words of a text, each .4 s long, `gaps` seconds before the words of these numbers."""
    at, words = 0.0, []
    for number, word in enumerate(text.split()):
        at += (gaps or {}).get(number, 0.0)
        words.append(Word(word, at, at + 0.4, 0.8))
        at += 0.4
    return writing.read([Utterance(tuple(words), "whisper", 0.0, at)])


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Okay, left foot pad.", "okay left foot pad"),
        ("Weight 2 ,100 grams", "weight 2100 grams"),
        ("weight 1 .85 kilos", "weight 1.85 kilos"),
        ("wait 1 ,900, and 40 grams", "wait 1940 grams"),
        ("two and 40", "two and 40"),
        ("Re -check in 10 days", "re check in 10 days"),
        ("open-mouth breathing", "open mouth breathing"),
        ("12mm across", "12 mm across"),
        ("the 3rd toe", "the 3rd toe"),
        ("She’s fine...", "she's fine"),
        ("- ... ?", ""),
    ],
)
def test_marks_go_and_numbers_are_whole(writing: Writing, text: str, plain: str) -> None:
    assert " ".join(word.word for word in read(writing, text)) == plain


def test_a_number_is_kept_and_known_in_words(writing: Writing) -> None:
    [_, number, _] = read(writing, "weight 2 ,100 grams")
    assert (number.start, number.end) == pytest.approx((0.4, 1.2))
    assert " ".join(number.spoken).replace(" and", "") == "two thousand one hundred"


def test_pauses_and_capitals_are_noted(writing: Writing) -> None:
    words = read(writing, "This is Tansy. Good hen", {3: 0.5})
    assert [word.pause for word in words] == [False, False, False, True, False]
    assert [word.name for word in words] == [False, False, True, False, False]


def test_words_without_times_are_left_out(writing: Writing) -> None:
    assert writing.read([Utterance((Word("left"),), "typed")]) == []
