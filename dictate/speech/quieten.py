"""Steady noise taken down: fans, wind, mains, the murmur of a shed.

A Wiener filter on short spectra: in each band of frequencies the noise is taken to be what is there in the
quietest fifth of the phrase, and each moment is weakened as far as it is like that noise. It is made for the
built-in recogniser, which was trained on quiet rooms; Whisper hears better without it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from dictate.speech.listener import Samples

    Spectra = NDArray[np.float64]

__all__ = ["quietened", "spread"]

WINDOW, STEP = 512, 160  # samples: 32 ms every 10 ms
SMOOTH = 5  # spectra over which power is averaged
QUIETEST = 20  # percentile of a band's power that is noise alone
RISE = 1.5  # mean power of noise over that percentile, about
OVER = 1.5  # how far above the noise something must be to be let through
LEAST = 0.15  # gain of what is noise only: silence would be as strange to the recogniser as noise
NOISY = 26.0  # dB between the loudest and the quietest of a phrase; talk in a quiet room has more
FLAT = 8.0  # dB: in sound as even as that there is no telling what is noise
FRAME = 320  # samples: 20 ms
SHORTEST = 0.3  # seconds: in less there is nothing to learn the noise from


def quietened(samples: Samples, rate: int = 16000) -> Samples:
    """A phrase (16-bit, mono) with its steady noise taken down; as long as before. One without noise stays
    as it is: there the filter would take more from the words than it gives."""
    import numpy as np

    if len(samples) < SHORTEST * rate or not FLAT < spread(samples) < NOISY:
        return samples
    window = np.hanning(WINDOW + 1)[:-1]
    padded = np.pad(samples.astype(np.float64), (WINDOW, WINDOW + STEP))
    frames = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::STEP]
    spectra = np.fft.rfft(frames * window)
    heard = np.fft.irfft(spectra * _gain(np.square(np.abs(spectra))), WINDOW) * window
    out, weight = np.zeros(len(padded)), np.zeros(len(padded))
    for n, frame in enumerate(heard):
        out[n * STEP : n * STEP + WINDOW] += frame
        weight[n * STEP : n * STEP + WINDOW] += np.square(window)
    loud = (out / np.maximum(weight, 1e-6))[WINDOW : WINDOW + len(samples)]
    return np.clip(np.rint(loud), -32768, 32767).astype(np.int16)


def spread(samples: Samples) -> float:
    """Decibels between the loudest moments of a phrase (95 in 100 are below) and its quietest (10 in 100)."""
    import numpy as np

    count = len(samples) // FRAME
    power = np.square(samples[: count * FRAME].astype(np.float64)).reshape(count, FRAME).mean(axis=1)
    low, high = np.percentile(10 * np.log10(power + 1.0), [10, 95])
    return float(high - low)


def _gain(power: Spectra) -> Spectra:
    """How much of each band is let through at each moment, LEAST to 1."""
    import numpy as np

    before = np.pad(power, ((SMOOTH // 2, SMOOTH // 2), (0, 0)))
    total = np.cumsum(np.vstack([np.zeros_like(before[:1]), before]), axis=0)
    smooth = (total[SMOOTH:] - total[:-SMOOTH]) / SMOOTH
    noise = np.percentile(smooth, QUIETEST, axis=0) * RISE
    above = np.maximum(smooth / np.maximum(noise, 1e-9) - OVER, 0.0)
    gain: Spectra = np.maximum(above / (above + 1.0), LEAST)
    return gain
