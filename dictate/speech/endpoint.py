"""Where phrases begin and end: sound cut at pauses into pieces that a recogniser takes whole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dictate.errors import ListenerError
from dictate.speech.sound import RATE, as_samples

if TYPE_CHECKING:
    from dictate.speech.listener import Block, Samples

__all__ = ["EndpointSettings", "Endpointing", "Phrase", "voice_detector"]


@dataclass(frozen=True, slots=True)
class EndpointSettings:
    """How pauses are found. `window` seconds of which the share `ratio` must be speech (or not)
    to begin (or end) a phrase; `mode` 0 (lets much pass as speech) to 3 (strict); a phrase longer
    than `longest` seconds is cut at its quietest place."""

    window: float = 0.45
    ratio: float = 0.9
    mode: int = 0
    longest: float = 20.0


@dataclass(frozen=True, slots=True)
class Phrase:
    """Sound between two pauses; `start` in seconds from the first sample fed."""

    start: float
    samples: Samples

    @property
    def end(self) -> float:
        return self.start + len(self.samples) / RATE


def voice_detector(mode: int, seconds: float) -> Any:
    """Tells of single frames of `seconds` whether there is a voice; `mode` 0 (lenient) to 3 (strict)."""
    from pocketsphinx import Vad

    return Vad(mode, RATE, seconds)


class Endpointing:
    """Cuts a stream of sound into Phrases by pocketsphinx's voice activity detection."""

    def __init__(self, settings: EndpointSettings | None = None) -> None:
        try:
            from pocketsphinx import Endpointer
        except ImportError as error:
            raise ListenerError(
                "finding pauses", "", "the package pocketsphinx is not installed",
                "Install dictate again with its dependencies.",
            ) from error
        self.settings = settings or EndpointSettings()
        self._endpointer = Endpointer(
            self.settings.window, self.settings.ratio, self.settings.mode, RATE
        )
        self._frame = self._endpointer.frame_bytes
        self._rest = b""
        self._speech: list[bytes] = []
        self._start = 0.0
        self._fed = 0

    @property
    def in_speech(self) -> bool:
        return bool(self._speech)

    @property
    def since(self) -> float:
        """Seconds from which sound may still become part of a phrase."""
        if self._speech:
            return self._start
        return max(0.0, self._fed / RATE - self.settings.window - 0.1)

    def feed(self, block: Block) -> list[Phrase]:
        """Take samples; return the phrases that ended in them."""
        samples = as_samples(block)
        self._fed += len(samples)
        data = self._rest + samples.tobytes()
        whole = len(data) // self._frame * self._frame
        self._rest = data[whole:]
        phrases: list[Phrase] = []
        for at in range(0, whole, self._frame):
            before = self._endpointer.in_speech
            speech = self._endpointer.process(data[at : at + self._frame])
            if speech is None:
                continue
            if not before:
                self._start = self._endpointer.speech_start
            self._speech.append(speech)
            if not self._endpointer.in_speech:
                phrases.append(self._take(len(self._speech)))
            elif len(self._speech) * self._frame > self.settings.longest * RATE * 2:
                phrases.append(self._take(self._quietest()))
        return phrases

    def finish(self) -> list[Phrase]:
        """The sound has ended: return the phrase it ended in, if any."""
        if self._endpointer.in_speech:
            # An empty end is an error to pocketsphinx: one sample of silence stands for it.
            speech = self._endpointer.end_stream(self._rest or bytes(2))
            if speech:
                self._speech.append(speech)
        self._rest = b""
        return [self._take(len(self._speech))] if self._speech else []

    def _take(self, frames: int) -> Phrase:
        """Cut the first frames off what has been gathered."""
        import numpy as np

        data = b"".join(self._speech[:frames])
        self._speech = self._speech[frames:]
        phrase = Phrase(self._start, np.frombuffer(data, np.int16))
        self._start += len(data) / 2 / RATE
        return phrase

    def _quietest(self) -> int:
        """Where to cut a phrase that does not end: the quietest frame of its last third."""
        import numpy as np

        first = len(self._speech) * 2 // 3
        levels = [
            float(np.abs(np.frombuffer(frame, np.int16)).mean()) for frame in self._speech[first:]
        ]
        return first + int(np.argmin(levels)) + 1
