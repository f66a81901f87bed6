"""Recordings as telephones make them (m4a) are heard with av, and refused with the way to get it without."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from dictate.errors import SoundError
from dictate.speech import packed
from dictate.speech.sound import RATE, open_sound, read_sound

RATE_OF_TELEPHONES = 44100


@pytest.fixture(scope="module")
def m4a(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three seconds of a tone of 440 Hz, stereo, as AAC in an MP4 file."""
    av = pytest.importorskip("av")
    path = tmp_path_factory.mktemp("packed") / "a.m4a"
    t = np.arange(3 * RATE_OF_TELEPHONES) / RATE_OF_TELEPHONES
    tone = np.stack([0.3 * np.sin(2 * np.pi * 440 * t)] * 2).astype(np.float32)
    with av.open(str(path), "w") as file:
        stream = file.add_stream("aac", rate=RATE_OF_TELEPHONES, layout="stereo")
        for at in range(0, tone.shape[1], 1024):
            block = np.ascontiguousarray(tone[:, at : at + 1024])
            frame = av.AudioFrame.from_ndarray(block, format="fltp", layout="stereo")
            frame.sample_rate, frame.pts = RATE_OF_TELEPHONES, at
            file.mux(stream.encode(frame))
        file.mux(stream.encode(None))
    return path


def test_a_telephones_recording_is_heard(m4a: Path) -> None:
    recording = open_sound(m4a)
    assert (recording.rate, recording.channels) == (RATE_OF_TELEPHONES, 2)
    assert recording.seconds == pytest.approx(3.0, abs=0.1)
    samples = read_sound(m4a)
    assert len(samples) == pytest.approx(3 * RATE, abs=0.1 * RATE)
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
    assert np.argmax(spectrum) * RATE / len(samples) == pytest.approx(440, abs=2)
    assert np.abs(samples[RATE : 2 * RATE]).max() == pytest.approx(0.3 * 32767, rel=0.05)


def test_one_that_breaks_off_is_refused(m4a: Path, tmp_path: Path) -> None:
    part = tmp_path / "part.m4a"
    part.write_bytes(m4a.read_bytes()[: m4a.stat().st_size // 2])
    with pytest.raises(SoundError, match=r"part\.m4a"):
        read_sound(part)


def test_text_in_an_m4a_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "notes.m4a"
    path.write_text("no sound at all")
    with pytest.raises(SoundError, match=r"not a sound file|need the package av"):
        open_sound(path)


def test_without_av_it_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "notes.m4a"
    path.write_bytes(b"\0\0\0\x20ftypM4A " + bytes(200))
    monkeypatch.setattr(packed, "readable", lambda: False)
    with pytest.raises(SoundError, match=r"\.m4a need the package av(.|\n)*\[m4a\]"):
        open_sound(path)
