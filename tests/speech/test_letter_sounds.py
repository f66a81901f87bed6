"""Spelling to sound by rule, against the CMU dictionary (an outside source, in the wheel)."""

from __future__ import annotations

import random
from pathlib import Path

import pocketsphinx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from dictate.speech.pocketsphinx_model import read_dictionary
from dictate.vocabulary.letter_sounds import spell_out
from dictate.vocabulary.pronunciations import PHONES

CMU = Path(pocketsphinx.get_model_path("en-us/cmudict-en-us.dict"))


@pytest.mark.parametrize(
    ("word", "phones"),
    [
        ("scab", "S K AE B"), ("phage", "F EY JH"), ("knock", "N AA K"), ("pasted", "P EY S T IH D"),
        ("preening", "P R IY N IH NG"), ("station", "S T EY SH AH N"), ("thigh", "TH AY"), ("moult", "M AW L T"),
    ],
)
def test_regular_words(word: str, phones: str) -> None:
    assert spell_out(word) == phones


def test_four_phones_of_five_are_right_on_words_drawn_from_the_dictionary() -> None:
    known = read_dictionary(CMU)
    drawn = random.Random(7).sample([word for word in known if word.isalpha() and len(word) > 2], 3000)
    wrong = total = 0
    for word in drawn:
        said = spell_out(word).split()
        errors, length = min((Levenshtein.distance(said, w.split()), len(w.split())) for w in known[word])
        wrong, total = wrong + errors, total + length
    assert wrong / total <= 0.22


@given(st.text(alphabet="abcdefghijklmnopqrstuvwxyz'", min_size=1, max_size=20))
def test_any_letters_give_phones_that_exist(word: str) -> None:
    phones = spell_out(word).split()
    assert phones
    assert set(phones) <= PHONES
