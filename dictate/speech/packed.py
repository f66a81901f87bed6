"""Recordings that libsndfile does not read (m4a and the like, as telephones make them), by the package av.

It is no part of the core: where it is not installed such a file is refused with the way to get it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["PackedFacts", "facts", "frames", "looks_packed", "readable"]

NAMES = frozenset((".m4a", ".mp4", ".aac", ".3gp", ".amr", ".wma", ".webm", ".mka", ".m4b"))


@dataclass(frozen=True, slots=True)
class PackedFacts:
    """What a file says of itself; `frames` may be a little more or less than it holds."""

    samplerate: int
    channels: int
    frames: int
    format: str


def looks_packed(path: Path) -> bool:
    """Whether the name is that of a kind that only av reads."""
    return path.suffix.lower() in NAMES


def readable() -> bool:
    """Whether av is installed."""
    return find_spec("av") is not None


def facts(path: Path) -> PackedFacts | None:
    """Rate, channels and length of the first track of sound; None where there is none that can be read."""
    import av

    try:
        with av.open(str(path)) as file:
            stream = file.streams.audio[0]
            rate = int(stream.rate)
            if stream.duration is not None and stream.time_base is not None:
                seconds = float(stream.duration * stream.time_base)
            else:
                seconds = (file.duration or 0) / av.time_base
            return PackedFacts(rate, int(stream.channels), round(seconds * rate), file.format.name.upper())
    except (av.FFmpegError, IndexError, ValueError):
        return None


def frames(path: Path, seconds: float) -> Iterator[NDArray[np.float32]]:
    """The samples, a row each and a column a channel, about `seconds` at a time. Raises ValueError where the
    file breaks off."""
    import av
    import numpy as np

    waiting: list[Any] = []
    count = 0
    try:
        with av.open(str(path)) as file:
            stream = file.streams.audio[0]
            plain = av.AudioResampler(format="fltp", layout=stream.layout, rate=stream.rate)
            size = max(1, int(seconds * stream.rate))
            for packed in file.decode(stream):
                for frame in plain.resample(packed):
                    waiting.append(frame.to_ndarray().T)
                    count += len(waiting[-1])
                if count >= size:
                    yield np.concatenate(waiting).astype(np.float32, copy=False)
                    waiting, count = [], 0
    except av.FFmpegError as error:
        raise ValueError(str(error)) from error
    if count:
        yield np.concatenate(waiting).astype(np.float32, copy=False)
