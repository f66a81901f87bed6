"""Recordings are cut at pauses into pieces for recognisers that take half a minute at a time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from dictate.speech import RATE, read_sound
from dictate.speech.pieces import Piece, Pieces

SAMPLE = Path(__file__).parents[2] / "audio_samples" / "2026-03-07_2_red_seven.flac"


@pytest.fixture(scope="module")
def speech() -> np.ndarray:
    return read_sound(SAMPLE)


def cut(samples: np.ndarray, seconds: float) -> list[Piece]:
    pieces = Pieces(seconds)
    out = [p for at in range(0, len(samples), 4000) for p in pieces.feed(samples[at : at + 4000])]
    return out + pieces.finish()


@pytest.mark.parametrize("seconds", [0.0, 6.0, 28.0])
def test_pieces_are_the_very_samples_of_their_times(speech: np.ndarray, seconds: float) -> None:
    twice = np.concatenate([speech, np.zeros(RATE, np.int16), speech])
    pieces = cut(twice, seconds)
    for piece in pieces:
        start = round(piece.start * RATE)
        assert np.array_equal(piece.samples, twice[start : start + len(piece.samples)])
        assert all(piece.start <= a < b <= piece.start + len(piece.samples) / RATE + 0.01 for a, b in piece.phrases)


def test_pieces_are_as_long_as_they_may_be(speech: np.ndarray) -> None:
    pieces = cut(np.tile(speech, 3), 10.0)
    lengths = [len(piece.samples) / RATE for piece in pieces]
    assert max(lengths) <= 10.5
    assert np.mean(lengths[:-1]) > 6
    assert len(cut(speech, 0.0)) == sum(len(piece.phrases) for piece in cut(speech, 28.0))


def test_every_phrase_is_in_one_piece(speech: np.ndarray) -> None:
    phrases = [p.phrases[0] for p in cut(speech, 0.0)]
    assert [phrase for piece in cut(speech, 8.0) for phrase in piece.phrases] == phrases


def test_sound_that_is_done_with_is_forgotten() -> None:
    pieces = Pieces(28.0)
    for _ in range(600):
        pieces.feed(np.zeros(RATE, np.int16))
    assert sum(map(len, pieces._sound)) < 5 * RATE
