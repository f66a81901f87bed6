"""Recordings of every shape come out as 16 kHz mono; broken ones are refused by name."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest
import soundfile

from dictate.errors import SoundError
from dictate.speech.sound import RATE, as_samples, open_sound, read_sound


def tone(seconds: float = 1.0, rate: int = RATE, hertz: float = 440.0, level: float = 0.3) -> np.ndarray:
    return level * np.sin(2 * np.pi * hertz * np.arange(int(seconds * rate)) / rate)


def pitch(samples: np.ndarray, rate: int = RATE) -> float:
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
    return float(np.argmax(spectrum) * rate / len(samples))


@pytest.mark.parametrize("rate", [8000, 11025, 16000, 22050, 44100, 48000, 96000])
@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE", "ULAW"])
def test_wav_of_any_rate_and_width(tmp_path: Path, rate: int, subtype: str) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, tone(rate=rate), rate, subtype=subtype)
    samples = read_sound(path)
    assert samples.dtype == np.int16
    assert len(samples) == pytest.approx(RATE, abs=2)
    assert pitch(samples) == pytest.approx(440, abs=2)
    assert np.abs(samples).max() == pytest.approx(0.3 * 32767, rel=0.06)


@pytest.mark.parametrize(("name", "kind"), [("a.flac", "FLAC"), ("a.ogg", "OGG"), ("a.mp3", "MP3"), ("a.aiff", "AIFF")])
def test_other_kinds_of_file(tmp_path: Path, name: str, kind: str) -> None:
    soundfile.write(tmp_path / name, tone(2.0, 44100), 44100, format=kind)
    samples = read_sound(tmp_path / name)
    assert pitch(samples) == pytest.approx(440, abs=2)
    assert len(samples) == pytest.approx(2 * RATE, abs=0.1 * RATE)


def test_stereo_with_a_dead_channel_is_heard_at_full_level_and_told(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, np.stack([np.zeros(RATE), tone()], axis=1), RATE)
    recording = open_sound(path)
    assert recording.channel == 1
    assert len(recording.warnings) == 1
    assert "channel 1 of 2 is dead" in recording.warnings[0]
    assert np.abs(read_sound(path)).max() == pytest.approx(0.3 * 32767, rel=0.02)


def test_channels_wired_against_each_other_do_not_cancel(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, np.stack([tone(), -tone()], axis=1), RATE)
    assert np.abs(read_sound(path)).max() == pytest.approx(0.3 * 32767, rel=0.02)


def test_like_channels_are_averaged(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, np.stack([tone()] * 6, axis=1), RATE)
    recording = open_sound(path)
    assert (recording.channel, recording.channels, recording.warnings) == (None, 6, ())


def test_clipping_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, np.clip(tone(level=3.0), -1, 1), RATE)
    assert "clipped" in open_sound(path).warnings[0]


def test_a_far_microphone_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, tone(level=0.002), RATE)
    assert "very quiet" in open_sound(path).warnings[0]


def test_blocks_are_small_and_join_without_a_seam(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    soundfile.write(path, tone(7.3, 44100), 44100)
    blocks = list(open_sound(path).blocks(0.5))
    assert max(map(len, blocks)) <= 0.6 * RATE
    samples = np.concatenate(blocks).astype(float)
    assert len(samples) == pytest.approx(7.3 * RATE, abs=2)
    ideal = 32767 * tone(7.3)[: len(samples)]
    assert np.abs(samples[200:-200] - ideal[200 : len(samples) - 200]).max() < 60


def cut(path: Path, share: float) -> Path:
    path.write_bytes(path.read_bytes()[: int(path.stat().st_size * share)])
    return path


def make(path: Path, content: bytes | None) -> Path:
    if content is not None:
        path.write_bytes(content)
    return path


BAD = {
    "missing": (lambda d: d / "no.wav", "no such file"),
    "folder": (lambda d: d, "it is a folder"),
    "empty": (lambda d: make(d / "a.wav", b""), "the file is empty"),
    "text": (lambda d: make(d / "a.wav", b"left foot pad is hard\n" * 50), "not a sound file"),
    "random": (lambda d: make(d / "a.mp3", bytes(range(1, 255)) * 40), "not a sound file"),
    "header only": (lambda d: cut(written(d / "a.wav"), 0.0004), "not a sound file"),
    "no samples": (lambda d: written(d / "a.wav", np.zeros(0)), "no sound at all"),
    "silent": (lambda d: written(d / "a.wav", np.zeros(RATE)), "silent from end to end"),
    "nearly silent": (lambda d: written(d / "a.wav", tone(level=0.0002)), "silent from end to end"),
    "cut WAV": (lambda d: cut(written(d / "a.wav"), 0.6), "its end is cut off"),
    "cut FLAC": (lambda d: cut(written(d / "a.flac"), 0.6), "its end is cut off"),
}


def written(path: Path, samples: np.ndarray | None = None) -> Path:
    soundfile.write(path, tone(3.0) if samples is None else samples, RATE)
    return path


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_is_refused_with_its_name_and_a_remedy(tmp_path: Path, name: str) -> None:
    build, found = BAD[name]
    path = build(tmp_path)
    with pytest.raises(SoundError) as raised:
        open_sound(path)
    assert str(path) in str(raised.value)
    assert found in raised.value.found
    assert raised.value.remedy


@pytest.mark.parametrize("name", ["a.wav", "a.flac"])
def test_a_cut_recording_can_be_taken_as_far_as_it_goes(tmp_path: Path, name: str) -> None:
    recording = open_sound(cut(written(tmp_path / name), 0.7), allow_truncated=True)
    assert 1.5 <= recording.seconds <= 2.2
    assert "its end is cut off" in recording.warnings[0]
    assert sum(map(len, recording.blocks())) == pytest.approx(recording.seconds * RATE, abs=0.5 * RATE)


@pytest.mark.parametrize("size", [0, 0xFFFFFFFF])
def test_a_header_that_was_never_finished_is_taken(tmp_path: Path, size: int) -> None:
    """Recorders that lose power leave 0 or the largest number as the length."""
    path = written(tmp_path / "a.wav")
    content = bytearray(path.read_bytes())
    at = content.index(b"data") + 4
    content[at : at + 4] = struct.pack("<I", size)
    content[4:8] = struct.pack("<I", size)
    path.write_bytes(bytes(content))
    if size:
        assert open_sound(path).seconds == pytest.approx(3.0, abs=0.01)
    else:
        with pytest.raises(SoundError):
            open_sound(path)


def test_a_format_block_before_the_samples_may_be_long_or_odd(tmp_path: Path) -> None:
    path = written(tmp_path / "a.wav")
    content = path.read_bytes()
    at = content.index(b"data")
    odd = b"note" + struct.pack("<I", 5) + b"hens!\0"
    path.write_bytes(b"RIFF" + struct.pack("<I", len(content) - 8 + len(odd)) + content[8:at] + odd + content[at:])
    assert open_sound(path).seconds == pytest.approx(3.0)


def test_bytes_and_arrays_are_the_same_samples() -> None:
    samples = np.array([0, 1, -1, 32767, -32768], np.int16)
    assert np.array_equal(as_samples(samples.astype("<i2").tobytes()), samples)
    assert as_samples(samples) is samples


@pytest.mark.parametrize("block", [b"abc", np.zeros(4), np.zeros((2, 2), np.int16)])
def test_samples_of_another_kind_are_refused(block: object) -> None:
    with pytest.raises(SoundError):
        as_samples(block)  # type: ignore[arg-type]
