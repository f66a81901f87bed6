"""Words that a recogniser made up are left out; what people say is not."""

from __future__ import annotations

import numpy as np
import pytest

from dictate.model import Word
from dictate.speech.invented import without_echo, without_invented, without_loops
from dictate.speech.pieces import Piece

PIECE = Piece(0.0, np.zeros(16000 * 10, np.int16), ((1.0, 2.0), (5.0, 6.0)))


def said(text: str) -> list[Word]:
    return [Word(word) for word in text.split()]


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("left foot left foot left foot left foot left foot", "left foot"),
        ("so the the the the the the end", "so the end"),
        ("no no no", "no no no"),
        ("no mites no lice no nits no scabs", "no mites no lice no nits no scabs"),
        ("one two two one", "one two two one"),
        ("Thank you. Thank you, thank you. thank you. ok", "Thank you. ok"),
    ],
)
def test_loops_are_said_once(text: str, kept: str) -> None:
    assert " ".join(word.text for word in without_loops(said(text))) == kept


def test_words_in_silence_are_left_out() -> None:
    times = {"left": (1.1, 1.4), "you": (3.2, 3.6), "foot": (5.1, 5.4), "late": (6.0, 6.4), "bye": (8.0, 9.0)}
    words = [Word(text, start, end) for text, (start, end) in times.items()]
    assert [w.text for w in without_invented(words, PIECE)] == ["left", "foot", "late"]


def test_words_without_times_stay() -> None:
    assert without_invented([Word("left")], PIECE) == [Word("left")]


SHOWN = "general drooping and lameness, left face discharge and crusting, right eye redness"


def test_what_it_was_shown_is_not_what_was_said() -> None:
    heard = said("the comb is red Left face discharge, and crusting. right eye redness is all i see")
    assert [w.text for w in without_echo(heard, SHOWN)] == "the comb is red is all i see".split()


def test_a_few_of_the_words_it_was_shown_may_be_said() -> None:
    heard = said("left face discharge and crusting no redness")
    assert without_echo(heard, SHOWN) == heard
