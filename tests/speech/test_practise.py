"""Phrases to read hold the trade's words, and what was not heard is named."""

from __future__ import annotations

import pytest

from dictate.model import Utterance, Word
from dictate.speech.practise import misheard, phrases_to_read, read_aloud
from dictate.speech.replay import ReplayListener
from dictate.vocabulary import load_vocabulary


def test_every_region_is_read_once_in_ten_short_phrases() -> None:
    vocabulary = load_vocabulary()
    phrases = phrases_to_read(vocabulary)
    assert len(phrases) == 10
    assert max(len(phrase.split()) for phrase in phrases) <= 14
    text = f" {' '.join(phrases)} "
    assert all(f" {region} " in text for region in vocabulary.regions)


@pytest.mark.parametrize(
    ("heard", "missed", "errors"),
    [
        ("left hock raised scales", (), 0),
        ("left hook raised scales", ("hock",), 1),
        ("hock raised scales now", ("left",), 2),
        ("", ("left", "hock", "raised", "scales"), 4),
        ("Left hock, raised scales.", (), 0),
    ],
)
def test_what_was_not_heard_is_named(heard: str, missed: tuple[str, ...], errors: int) -> None:
    found = misheard("left hock raised scales", heard)
    assert (found.missed, found.errors) == (missed, errors)


def test_each_phrase_is_given_as_it_ends_and_silence_is_not_waited_for_for_ever() -> None:
    listener = ReplayListener([Utterance((Word("hock", 0.1, 0.5),), "replay", 0.1, 0.5)])
    heard = read_aloud(listener, [bytes(32_000)] * 3)
    assert next(heard) == "hock"
    assert next(heard) == "hock"
    listener.utterances = ()
    heard = read_aloud(listener, [bytes(32_000)] * 30)
    assert next(heard) == ""
