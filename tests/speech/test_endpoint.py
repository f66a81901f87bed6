"""Phrases begin and end at pauses, with times that fit the recording, however the sound is fed."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from dictate.speech import RATE, read_sound
from dictate.speech.endpoint import Endpointing, EndpointSettings, Phrase

SAMPLE = Path(__file__).parents[2] / "audio_samples" / "2026-03-07_2_red_seven.flac"


@pytest.fixture(scope="module")
def speech() -> np.ndarray:
    return read_sound(SAMPLE)


def phrases(samples: np.ndarray, block: int = 8000, settings: EndpointSettings | None = None) -> list[Phrase]:
    endpointing = Endpointing(settings)
    out = [p for at in range(0, len(samples), block) for p in endpointing.feed(samples[at : at + block])]
    return out + endpointing.finish()


def test_phrases_are_the_very_samples_of_their_times(speech: np.ndarray) -> None:
    found = phrases(speech)
    assert len(found) >= 3
    for phrase in found:
        start = round(phrase.start * RATE)
        whole = speech[start : start + len(phrase.samples)]
        assert np.array_equal(phrase.samples[: len(whole)], whole)


def test_loud_sound_is_in_some_phrase(speech: np.ndarray) -> None:
    """Of the loud tenths of a second hardly any lies outside of all phrases."""
    inside = np.zeros(len(speech), bool)
    for phrase in phrases(speech):
        inside[round(phrase.start * RATE) : round(phrase.end * RATE)] = True
    size = RATE // 10
    count = len(speech) // size
    level = np.abs(speech[: count * size].astype(float)).reshape(count, size).mean(axis=1)
    loud = level > 0.2 * np.percentile(level, 95)
    covered = inside[: count * size].reshape(count, size).mean(axis=1)
    assert covered[loud].mean() > 0.97


@pytest.mark.parametrize("block", [1, 479, 480, 1600, 50000])
def test_the_size_of_blocks_does_not_matter(speech: np.ndarray, block: int) -> None:
    part = speech[: 8 * RATE] if block > 1 else speech[:RATE]
    a, b = phrases(part), phrases(part, block)
    assert [(p.start, len(p.samples)) for p in a] == [(p.start, len(p.samples)) for p in b]


def test_silence_gives_nothing() -> None:
    assert phrases(np.zeros(5 * RATE, np.int16)) == []


def test_speech_without_a_pause_is_cut(speech: np.ndarray) -> None:
    loud = np.concatenate([p.samples for p in phrases(speech)])
    loud = np.tile(loud, 3)
    cut = phrases(loud, settings=EndpointSettings(window=2.0, longest=4.0))
    assert max(len(p.samples) for p in cut) <= 4.1 * RATE
    for before, after in pairwise(cut):
        assert after.start >= before.end - 0.001


def test_nothing_said_before_the_end_is_lost(speech: np.ndarray) -> None:
    """The sound stops in the middle of a word."""
    first = phrases(speech)[0]
    cut = speech[: round((first.start + 0.6 * (first.end - first.start)) * RATE)]
    last = phrases(cut)[-1]
    assert last.end * RATE >= len(cut) - 480
