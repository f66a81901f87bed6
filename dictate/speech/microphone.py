"""Blocks of sound from the microphone."""

from __future__ import annotations

import queue
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from dictate.errors import SoundError
from dictate.speech.sound import RATE

if TYPE_CHECKING:
    from dictate.speech.listener import Samples

__all__ = ["microphone", "microphones"]

_DOING = "opening the microphone"


def _sounddevice() -> Any:
    try:
        import sounddevice
    except ImportError as error:
        raise SoundError(
            _DOING, "", "the package sounddevice is not installed",
            "Install the extra [microphone], or record to a file and use: dictate hear FILE.",
        ) from error
    except OSError as error:
        raise SoundError(
            _DOING, "", "the system library PortAudio is missing",
            "Install it (on Debian and Ubuntu: apt install libportaudio2), or record to a file "
            "and use: dictate hear FILE.",
        ) from error
    return sounddevice


def microphones() -> tuple[str, ...]:
    """Names of the input devices, the usual one first. Raises SoundError without sounddevice."""
    sounddevice = _sounddevice()
    try:
        devices = [d for d in sounddevice.query_devices() if d["max_input_channels"] > 0]
        usual = sounddevice.default.device[0]
    except sounddevice.PortAudioError as error:
        raise SoundError(_DOING, "", str(error), "Check the sound settings.") from error
    devices.sort(key=lambda d: d["index"] != usual)
    return tuple(str(d["name"]) for d in devices)


@contextmanager
def microphone(device: str | int | None = None, seconds: float = 0.1) -> Iterator[Iterator[Samples]]:
    """Open a microphone (None: the usual one) and give an endless iterator of int16 blocks,
    16 kHz mono, each of `seconds`. No block is dropped however slow the taker is.

    Raises SoundError when there is no microphone, or when it is unplugged while in use.
    """
    import numpy as np

    sounddevice = _sounddevice()
    waiting: queue.Queue[bytes | None] = queue.Queue()

    def take(data: Any, frames: int, time: Any, status: Any) -> None:
        waiting.put(bytes(data))

    def blocks() -> Iterator[Samples]:
        while (data := waiting.get()) is not None:
            yield np.frombuffer(data, "<i2").astype(np.int16, copy=False)
        raise SoundError("listening to the microphone", str(device or ""), "it stopped", "Plug it in again.")

    try:
        stream = sounddevice.RawInputStream(
            samplerate=RATE, blocksize=int(seconds * RATE), dtype="int16", channels=1,
            device=device, callback=take, finished_callback=lambda: waiting.put(None),
        )
    except (sounddevice.PortAudioError, ValueError) as error:
        raise SoundError(
            _DOING, str(device or ""), str(error),
            "Plug one in or choose another; `dictate check` lists what is found.",
        ) from error
    with stream:
        yield blocks()
