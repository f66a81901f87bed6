"""Words before a phrase has ended: they come at a hush, and what is heard in the end stays the same."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from rapidfuzz.distance import Levenshtein

from dictate.model import Utterance, Word
from dictate.speech import RATE, Listener, ListenerOptions, open_listener, open_sound
from dictate.speech.early import HUSH_FRAMES, WHOLE_FRAMES, EarlyWords, at_once
from dictate.speech.endpoint import Phrase
from dictate.speech.listener import begin_live, early_words
from dictate.speech.replay import ReplayListener
from dictate.vocabulary import load_vocabulary

SOUND = Path(__file__).parents[2] / "audio_samples" / "2026-03-07_2_red_seven.flac"
FRAME = int(0.03 * RATE)


class Decoder:
    """Stands for the quick decoder: notes the samples it was given."""

    def __init__(self) -> None:
        self.samples = 0
        self.open = False

    def start_utt(self) -> None:
        assert not self.open
        self.open, self.samples = True, 0

    def process_raw(self, data: bytes) -> None:
        self.samples += len(data) // 2

    def end_utt(self) -> None:
        assert self.open
        self.open = False


@pytest.fixture
def early() -> EarlyWords:
    def read(decoder: Any, start: float) -> Utterance:
        return Utterance((Word("quick", start, decoder.samples / RATE),), "x", start, decoder.samples / RATE)

    def whole(phrase: Phrase) -> Utterance:
        return Utterance((Word("whole", phrase.start, phrase.end),), "x", phrase.start, phrase.end)

    return EarlyWords(Decoder(), read, whole, at_once)


def voice(frames: int) -> np.ndarray:
    """Something that voice detection takes for a voice: a buzz with overtones."""
    times = np.arange(frames * FRAME) / RATE
    buzz = sum(np.sin(2 * np.pi * 140 * n * times) / n for n in range(1, 20))
    return (buzz * 5000).clip(-32768, 32767).astype(np.int16)


def say(early: EarlyWords, sound: np.ndarray, since: float, in_speech: bool) -> list[str]:
    seen = []
    for at in range(0, len(sound), FRAME):
        early.feed(sound[at : at + FRAME])
        early.follow(since, in_speech)
        seen.append(early.words.text if early.words else "")
    return seen


def test_words_come_at_a_short_hush_and_the_whole_at_a_longer_one(early: EarlyWords) -> None:
    assert set(say(early, voice(30), 0.0, True)) == {""}, "nothing while somebody speaks"
    seen = say(early, np.zeros(40 * FRAME, np.int16), 0.0, True)
    first = {word: seen.index(word) for word in ("quick", "whole")}
    assert seen[first["quick"]] == "quick"
    assert first["whole"] - first["quick"] == WHOLE_FRAMES - HUSH_FRAMES


def test_what_was_decoded_in_advance_is_not_decoded_again(early: EarlyWords) -> None:
    say(early, voice(30), 0.0, True)
    say(early, np.zeros(30 * FRAME, np.int16), 0.0, True)
    in_advance = early.words
    phrase = Phrase(0.0, np.zeros(50 * FRAME, np.int16))
    assert early.ended(phrase).result() is in_advance
    assert early.words is None


def test_what_goes_on_after_a_hush_is_decoded_again(early: EarlyWords) -> None:
    say(early, voice(30), 0.0, True)
    say(early, np.zeros(30 * FRAME, np.int16), 0.0, True)
    in_advance = early.words
    say(early, voice(20), 0.0, True)
    phrase = Phrase(0.0, np.zeros(80 * FRAME, np.int16))
    heard = early.ended(phrase).result()
    assert heard is not in_advance
    assert heard is not None
    assert heard.end == phrase.end


def test_sound_without_a_phrase_is_forgotten(early: EarlyWords) -> None:
    for second in range(1, 60):
        say(early, np.zeros(33 * FRAME, np.int16), float(second) - 0.5, False)
    assert len(early._sound) < 60


def test_listeners_without_early_words_have_none() -> None:
    hearing = begin_live(ReplayListener([]))
    hearing.feed(bytes(3200))
    assert early_words(hearing) is None


@pytest.fixture(scope="module")
def listener(cache_home: Path) -> Listener:
    return open_listener("pocketsphinx", load_vocabulary(), ListenerOptions(cache=cache_home / "dictate"))


def test_a_thread_beside_changes_nothing_of_what_is_heard(
    listener: Listener, monkeypatch: pytest.MonkeyPatch
) -> None:
    def all_of(beside: bool) -> list[str]:
        monkeypatch.setattr(listener, "beside", beside)
        hearing: Any = begin_live(listener)
        hearing.hurry = True
        heard = [u for block in open_sound(SOUND).blocks(0.5) for u in hearing.feed(block)]
        return [utterance.text for utterance in [*heard, *hearing.finish()]]

    assert all_of(True) == all_of(False)


def test_of_a_recording_most_words_are_known_early_and_the_rest_is_heard_as_ever(
    listener: Listener, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = [utterance.text for utterance in listener.hear(open_sound(SOUND).blocks(0.06))]
    monkeypatch.setattr(listener, "beside", False)  # as fast as it goes, yet with early words
    hearing, heard, seen = begin_live(listener), [], []
    last = ""
    for block in open_sound(SOUND).blocks(0.06):
        for utterance in hearing.feed(block):
            heard.append(utterance.text)
            seen.append(last)
        words = early_words(hearing)
        last = words.text if words else ""
    heard += [utterance.text for utterance in hearing.finish()]
    assert sum(map(bool, seen)) > 0.8 * len(seen), "something was known before nearly every phrase had ended"
    known = zip(seen, heard, strict=False)
    right = [Levenshtein.normalized_similarity(a.split(), b.split()) for a, b in known if a]
    assert np.mean(right) > 0.8
    assert Levenshtein.normalized_similarity(" ".join(plain).split(), " ".join(heard).split()) > 0.85
