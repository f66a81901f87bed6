"""Words sound as the dictionary, the lexicon, their parts or their letters say, in that order."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from dictate.errors import LexiconError
from dictate.vocabulary import load_vocabulary
from dictate.vocabulary.entries import Pronunciation
from dictate.vocabulary.pronunciations import PHONES, Pronouncer

DICTIONARY = {
    "foot": ("F UH T",), "pad": ("P AE D",), "scab": ("S K AE B",), "paste": ("P EY S T",), "hen": ("HH EH N",),
    "crust": ("K R AH S T",), "hatch": ("HH AE CH",), "nair": ("N EH R",), "ease": ("IY Z",), "rails": ("R EY L Z",),
}


def words(*entries: Pronunciation) -> Any:
    return SimpleNamespace(entries=lambda kind: {entry.id: entry for entry in entries})


@pytest.mark.parametrize(
    ("word", "way"),
    [
        ("foot", "F UH T"), ("footpad", "F UH T P AE D"), ("scabs", "S K AE B Z"), ("crusts", "K R AH S T S"),
        ("hatches", "HH AE CH IH Z"), ("scabbed", "S K AE B D"), ("pasted", "P EY S T IH D"),
        ("pasting", "P EY S T IH NG"), ("scabby", "S K AE B IY"), ("hen's", "HH EH N Z"), ("crusty", "K R AH S T IY"),
    ],
)
def test_forms_of_known_words(word: str, way: str) -> None:
    assert Pronouncer(DICTIONARY).ways(word) == (way,)


def test_the_lexicon_adds_ways_and_comes_first() -> None:
    own = words(Pronunciation(id="foot", phones=("F UW T",)), Pronunciation(id="nares", like=("nair ease", "rails")))
    pronouncer = Pronouncer(DICTIONARY, own)
    assert pronouncer.ways("foot") == ("F UW T", "F UH T")
    assert pronouncer.ways("nares") == ("N EH R IY Z", "R EY L Z")
    assert pronouncer.known("nares")


def test_a_sound_alike_may_be_made_up() -> None:
    pronouncer = Pronouncer(DICTIONARY, words(Pronunciation(id="choana", like=("koe anna",))))
    assert pronouncer.ways("choana")[0].startswith("K OW AE N")


def test_an_unknown_word_is_spelled_out_and_known_to_be_guessed() -> None:
    pronouncer = Pronouncer(DICTIONARY)
    assert pronouncer.ways("glimmet") == ("G L IH M EH T",)
    assert not pronouncer.known("glimmet")


def test_wrong_entries_are_all_named() -> None:
    own = words(Pronunciation(id="a", phones=("XX YY",)), Pronunciation(id="b", like=("123",)))
    with pytest.raises(LexiconError) as raised:
        Pronouncer(DICTIONARY, own)
    assert len(raised.value.faults) == 2


def test_the_shipped_pronunciations_are_sound() -> None:
    vocabulary = load_vocabulary()
    pronouncer = Pronouncer(DICTIONARY, vocabulary)
    entries = vocabulary.entries("pronunciation")
    assert len(entries) > 50
    for word in entries:
        assert all(set(way.split()) <= PHONES for way in pronouncer.ways(word))
