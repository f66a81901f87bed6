"""Recordings as 16 kHz mono 16-bit samples, read block by block.

A file is gone through twice: once for its levels, so that a silent, broken or truncated
recording is refused before anything is heard, and once for its samples. Memory does not grow
with the length of the recording.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dictate.errors import SoundError
from dictate.speech import packed

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from dictate.speech.listener import Samples

__all__ = ["RATE", "Recording", "as_samples", "open_sound", "read_sound"]

RATE = 16000
BLOCK_SECONDS = 0.5

# Levels are parts of full scale.
SILENT_PEAK = 0.0005  # -66 dB: below the noise of any microphone that is switched on
QUIET_LOUDNESS = 0.003  # loudest tenth of a second below this: whispered from across a barn
CLIPPED = 0.998
CLIPPED_SHARE = 0.0005  # more than one sample of two thousand at full scale is heard as crackle
DEAD_SHARE = 0.03  # a channel 30 dB below the loudest carries no voice

_DOING = "reading the recording"
_FORMATS = "WAV, FLAC, OGG or MP3"  # and with av what telephones make


@dataclass(frozen=True, slots=True)
class Recording:
    """A recording that has been gone through once and can be heard.

    `seconds` is its length, `rate` samples a second and `channels` as stored; `peak` the largest
    sample (1 is full scale); `channel` the one to be heard, None for the mean of all; `warnings`
    are sentences for the person (clipping, a dead channel, a very low level, an end cut off);
    `truncated` is set when its end is cut off and it was taken all the same.
    """

    path: Path
    seconds: float
    rate: int
    channels: int
    peak: float
    channel: int | None = None
    warnings: tuple[str, ...] = ()
    truncated: bool = False

    def blocks(self, seconds: float = BLOCK_SECONDS) -> Iterator[Samples]:
        """Yield the recording as int16 samples, 16 kHz mono, about `seconds` at a time.

        Raises SoundError when the file can no longer be read.
        """
        import numpy as np
        import soxr

        resample = (
            None if self.rate == RATE else soxr.ResampleStream(self.rate, RATE, 1, dtype="float32")
        )
        for frames in _frames(self.path, seconds, to_the_cut=self.truncated):
            mono = frames[:, self.channel] if self.channel is not None else frames.mean(axis=1)
            if resample is not None:
                mono = resample.resample_chunk(mono)
            if len(mono):
                yield _pcm(mono)
        if resample is not None:
            tail = resample.resample_chunk(np.zeros(0, np.float32), last=True)
            if len(tail):
                yield _pcm(tail)


def open_sound(path: Path | str, *, allow_truncated: bool = False) -> Recording:
    """Check a recording of any rate, width and number of channels, and find what to hear in it.

    `allow_truncated`: take a file whose end is cut off as far as it goes, with a warning
    (for our own recordings after a power cut).
    Raises SoundError for a file that is missing, empty, not sound, truncated or silent.
    """
    path = Path(path)
    _check_file(path)
    info = _facts(path)
    levels = _measure(path, info)
    if levels.frames == 0:
        raise SoundError(_DOING, str(path), "it holds no sound at all", "Record it again.")
    warnings: list[str] = []
    declared = _declared_frames(path, info)
    cut = levels.broken or levels.frames < 0.98 * declared
    if cut:
        found = (
            f"its end is cut off: it says it is {_clock(declared / info.samplerate)} long "
            f"but holds {_clock(levels.frames / info.samplerate)}"
        )
        if not allow_truncated:
            raise SoundError(
                _DOING, str(path), found,
                "Copy it from the recorder again, or save what is there as a new "
                "WAV file with a sound editor.",
            )
        warnings.append(f"{path.name}: {found}.")
    if levels.peak < SILENT_PEAK:
        raise SoundError(
            _DOING, str(path), "it is silent from end to end",
            "Check that the microphone was on and the right one was chosen, then record again.",
        )
    channel = levels.best_channel()
    warnings += levels.warnings(path.name, channel)
    return Recording(
        path, levels.frames / info.samplerate, info.samplerate, info.channels,
        levels.peak, channel, tuple(warnings), cut,
    )


def read_sound(path: Path | str) -> Samples:
    """A whole recording as int16 samples, 16 kHz mono. Raises SoundError like open_sound."""
    import numpy as np

    return np.concatenate(list(open_sound(path).blocks()))


def as_samples(block: Samples | bytes) -> Samples:
    """A block as an int16 array; bytes are little-endian 16-bit samples.

    Raises SoundError for an odd number of bytes or samples of another kind.
    """
    import numpy as np

    if isinstance(block, (bytes, bytearray, memoryview)):
        if len(block) % 2:
            raise SoundError("taking in sound", "", "a 16-bit sample is cut in two")
        return np.frombuffer(block, "<i2").astype(np.int16, copy=False)
    if block.dtype != np.int16 or block.ndim != 1:
        raise SoundError("taking in sound", "", f"not 16-bit mono samples but {block.dtype}, {block.ndim}-d")
    return block


@dataclass(slots=True)
class _Levels:
    """What one pass over a file found; arrays have one value for each channel."""

    frames: int
    peak: float
    energy: NDArray[np.float64]
    mean_energy: float
    clipped: float
    loudest: float
    broken: bool

    def best_channel(self) -> int | None:
        """None for the mean of all, else the channel to hear alone: where one is dead, or two
        are wired against each other, the mean loses the voice."""
        if len(self.energy) == 1:
            return 0
        loudest = int(self.energy.argmax())
        if float(self.mean_energy) < 0.5 * float(self.energy[loudest]):
            return loudest
        return None

    def warnings(self, name: str, channel: int | None) -> list[str]:
        out = []
        if len(self.energy) > 1 and channel is not None:
            top = float(self.energy.max())
            dead = [n + 1 for n, e in enumerate(self.energy) if e < DEAD_SHARE**2 * top]
            if dead:
                listed = ", ".join(map(str, dead))
                out.append(f"{name}: channel {listed} of {len(self.energy)} is dead; the other is heard.")
        if self.clipped > CLIPPED_SHARE:
            out.append(
                f"{name}: the sound is too loud and clipped ({self.clipped:.1%} of it); "
                "move the microphone away or turn its level down."
            )
        elif self.loudest < QUIET_LOUDNESS:
            out.append(f"{name}: the sound is very quiet; move the microphone nearer or turn its level up.")
        return out


def _check_file(path: Path) -> None:
    if not path.exists():
        raise SoundError(_DOING, str(path), "there is no such file", "Check the name and the folder.")
    if path.is_dir():
        raise SoundError(_DOING, str(path), "it is a folder", f"Name the {_FORMATS} files in it.")
    try:
        with path.open("rb") as file:
            first = file.read(1)
    except OSError as error:
        raise SoundError(
            _DOING, str(path), f"it cannot be opened ({error.strerror})", "Check its permissions."
        ) from error
    if not first:
        raise SoundError(_DOING, str(path), "the file is empty", "Record it again.")


def _facts(path: Path) -> Any:
    import soundfile

    try:
        return soundfile.info(str(path))
    except (soundfile.LibsndfileError, RuntimeError) as error:
        found = packed.facts(path) if packed.readable() else None
        if found is not None:
            return found
        if packed.looks_packed(path) and not packed.readable():
            raise SoundError(
                _DOING, str(path),
                f"files of the kind {path.suffix.lower()} need the package av, which is not installed",
                f"Install the extra [m4a], or convert it to {_FORMATS}.",
            ) from error
        raise SoundError(
            _DOING, str(path), "it is not a sound file that can be read",
            f"Give {_FORMATS}; convert other kinds first.",
        ) from error


def _frames(path: Path, seconds: float, *, to_the_cut: bool = False) -> Iterator[NDArray[np.float32]]:
    """Yield float frames, one row a sample and one column a channel. A fault in the middle of a file
    is a SoundError, or its end when it is read only `to_the_cut`."""
    import soundfile

    try:
        try:
            file = soundfile.SoundFile(str(path))
        except soundfile.LibsndfileError:
            if not packed.readable():
                raise
            yield from packed.frames(path, seconds)
            return
        with file:
            size = max(1, int(seconds * file.samplerate))
            while True:
                frames = file.read(size, dtype="float32", always_2d=True)
                if not len(frames):
                    return
                yield frames
    except (soundfile.LibsndfileError, RuntimeError, ValueError) as error:
        if to_the_cut:
            return
        raise SoundError(
            _DOING, str(path), "it is broken and cannot be read to its end",
            "Copy it from the recorder again.",
        ) from error


def _measure(path: Path, info: Any) -> _Levels:
    import numpy as np

    levels = _Levels(0, 0.0, np.zeros(info.channels), 0.0, 0.0, 0.0, False)
    clipped = 0
    tenth = max(1, info.samplerate // 10)
    try:
        for frames in _frames(path, BLOCK_SECONDS):
            size = np.abs(frames)
            levels.frames += len(frames)
            levels.peak = max(levels.peak, float(size.max()))
            levels.energy += np.square(frames, dtype=np.float64).sum(axis=0)
            mean = frames.mean(axis=1, dtype=np.float64)
            levels.mean_energy += float(np.square(mean).sum())
            clipped += int((size.max(axis=1) >= CLIPPED).sum())
            loud = size.max(axis=1)[: len(size) // tenth * tenth].reshape(-1, tenth)
            if len(loud):
                levels.loudest = max(levels.loudest, float(loud.mean(axis=1).max()))
    except SoundError:
        if not levels.frames:
            raise
        levels.broken = True
    levels.clipped = clipped / max(1, levels.frames)
    return levels


def _declared_frames(path: Path, info: Any) -> int:
    """How many frames the file says it holds. libsndfile corrects a WAV header that claims too
    much without telling, so the header is read here; 0 and the largest size mean "not known"."""
    frames = int(info.frames)
    if info.format not in ("WAV", "WAVEX"):
        return frames
    with path.open("rb") as file:
        file.seek(12)
        align = 0
        while len(head := file.read(8)) == 8:
            name, size = head[:4], struct.unpack("<I", head[4:])[0]
            if name == b"fmt ":
                align = struct.unpack("<H", file.read(size)[12:14])[0]
                file.seek(size % 2, 1)
            elif name == b"data":
                unknown = size == 0 or size >= 0x7FFFF000 or not align
                return frames if unknown else max(frames, size // align)
            else:
                file.seek(size + size % 2, 1)
    return frames


def _pcm(mono: Any) -> Samples:
    import numpy as np

    pcm: Samples = np.clip(np.rint(mono * 32767.0), -32768, 32767).astype(np.int16)
    return pcm


def _clock(seconds: float) -> str:
    minutes, rest = divmod(seconds, 60)
    return f"{int(minutes)} min {rest:.1f} s" if minutes else f"{rest:.1f} s"
