"""Steady noise is taken down, and what is said over it stays."""

from __future__ import annotations

import numpy as np
import pytest

from dictate.speech.quieten import quietened, spread

RATE = 16000


def talk(noise: float, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """Three seconds of tones in bursts over hiss, and where the bursts are."""
    t = np.arange(3 * RATE) / RATE
    spoken = (np.sin(2 * np.pi * 1.5 * t) > 0.2)
    tone = 6000 * np.sin(2 * np.pi * 700 * t) * spoken
    return np.clip(tone + np.random.default_rng(seed).normal(0, noise, len(t)), -32768, 32767).astype(np.int16), spoken


def level(samples: np.ndarray) -> float:
    return float(np.sqrt(np.mean(np.square(samples.astype(float)))))


@pytest.mark.parametrize("noise", [600.0, 1500.0])
def test_noise_between_words_goes_and_words_stay(noise: float) -> None:
    samples, spoken = talk(noise)
    quiet = quietened(samples)
    assert quiet.dtype == np.int16
    assert len(quiet) == len(samples)
    edges = np.convolve(np.abs(np.diff(spoken.astype(int), prepend=0)), np.ones(1600), "same") > 0
    assert level(quiet[~spoken & ~edges]) < 0.4 * level(samples[~spoken & ~edges])
    assert level(quiet[spoken & ~edges]) == pytest.approx(level(samples[spoken & ~edges]), rel=0.15)


def test_talk_in_a_quiet_room_stays_as_it_is() -> None:
    samples, _ = talk(10.0)
    assert spread(samples) > 40
    assert np.array_equal(quietened(samples), samples)


@pytest.mark.parametrize("samples", [np.zeros(RATE, np.int16), np.zeros(0, np.int16), np.ones(100, np.int16)])
def test_silence_and_scraps_pass_as_they_are(samples: np.ndarray) -> None:
    assert np.array_equal(quietened(samples), samples)
