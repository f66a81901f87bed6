"""A round may be stopped in the middle of a word."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from dictate.speech.endpoint import Endpointing
from dictate.speech.sound import RATE, read_sound

SOUND = Path(__file__).parents[2] / "audio_samples" / "2026-03-07_1_juniper.flac"


@pytest.mark.parametrize("extra", [0, 1, 100])
def test_sound_that_ends_within_a_phrase_gives_that_phrase(extra: int) -> None:
    """Whole frames only, or a part of one more; with whole frames pocketsphinx raised IndexError."""
    finder = Endpointing()
    frame = finder._frame // 2
    samples = read_sound(SOUND)
    speaking = next(
        n for n in range(frame, len(samples), frame)
        if not finder.feed(samples[n - frame : n]) and finder.in_speech and n > 2 * RATE
    )
    finder.feed(samples[speaking : speaking + extra])
    (phrase,) = finder.finish()
    assert phrase.end == pytest.approx((speaking + extra) / RATE, abs=0.05)
    assert np.abs(phrase.samples).max() > 1000
