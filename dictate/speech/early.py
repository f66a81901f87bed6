"""The words of a phrase before it has ended: decoded while it is spoken, looked at whenever there is a hush.

The pause that ends a phrase is only certain after nearly half a second, and decoding it whole takes a
tenth of its length. Who waits for an answer need not wait for either: a second decoder takes the sound as it
comes in one quick pass, and gives its words at the first short hush (`EarlyWords.words`). At a longer
hush the phrase is decoded whole, in advance: if nothing more is said, that is the last word on it. Whole phrases
are decoded beside, in a thread of their own, for the decoder lets go of Python meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from typing import TYPE_CHECKING, Any

from dictate.speech.endpoint import Phrase, voice_detector
from dictate.speech.sound import as_samples

if TYPE_CHECKING:
    from dictate.model import Utterance
    from dictate.speech.listener import Block, Samples

    Beside = Callable[[Callable[[Phrase], Utterance | None], Phrase], Future[Utterance | None]]

__all__ = ["EarlyWords", "at_once"]

FRAME_SECONDS = 0.03
HUSH_FRAMES = 4
"""Frames without voice after which the words so far are worth a look: .12 s."""
WHOLE_FRAMES = 8
"""And after which it is worth decoding the phrase whole before its end is certain: .24 s."""
GROWN = 1.5
"""A phrase that was decoded whole in advance must have grown by this factor before it is again: all that is
decoded in vain stays within a few times its length, however often somebody draws breath."""
VAD_MODE = 2
BEFORE_SECONDS = 0.2
"""Sound kept from before the place where a phrase is found to have begun."""
PEAK, MOST_GAIN, HISS = 16000.0, 30.0, 25.0


def at_once(whole: Callable[[Phrase], Utterance | None], phrase: Phrase) -> Future[Utterance | None]:
    """Decodes a phrase here and now, for who needs no thread."""
    done: Future[Utterance | None] = Future()
    done.set_result(whole(phrase))
    return done


class EarlyWords:
    """Follows one stretch of sound. `decoder` takes sound as it comes; `read` takes the words out of it
    (given the second at which its phrase began), `whole` decodes a phrase at one go, which `beside` does."""

    def __init__(
        self, decoder: Any, read: Callable[[Any, float], Utterance | None],
        whole: Callable[[Phrase], Utterance | None], beside: Beside,
    ) -> None:
        self._decoder, self._read, self._whole = decoder, read, whole
        self._beside = beside
        self._vad = voice_detector(VAD_MODE, FRAME_SECONDS)
        self._width: int = self._vad.frame_bytes
        self._rest = b""
        self._sound: list[bytes] = []  # frames from `_first` on
        self._first = 0  # number of the first frame kept
        self._open = False
        self._decoded = 0  # frames of `_sound` that the decoder has had
        self._quiet = self._spoke = 0
        self._tried = 0  # frames of the phrase when it was last decoded whole
        self._gain = 0.0
        self._advance: tuple[int, Future[Utterance | None]] | None = None
        self.words: Utterance | None = None
        """What was understood at the last hush of the phrase being spoken; None outside a phrase."""

    def feed(self, block: Block) -> None:
        """Take the next samples; frames are kept until `follow` says what they belong to."""
        data = self._rest + as_samples(block).tobytes()
        whole = len(data) // self._width * self._width
        self._rest = data[whole:]
        for at in range(0, whole, self._width):
            frame = data[at : at + self._width]
            self._sound.append(frame)
            if self._vad.is_speech(frame):
                self._quiet, self._spoke = 0, self._spoke + 1
                self._advance = None
            else:
                self._quiet += 1

    def follow(self, since: float, in_speech: bool) -> None:
        """Go on with the phrase that began at `since`; without one, forget sound older than that."""
        if not in_speech:
            self._close()
            self._forget(since - BEFORE_SECONDS)
            return
        if not self._open:
            self._forget(since - BEFORE_SECONDS)
            self._decoder.start_utt()
            self._open, self._decoded, self._spoke, self._tried = True, 0, 0, 0
            self._gain = self._gain or self._gain_for(b"".join(self._sound))
        if self._decoded < len(self._sound):
            self._decoder.process_raw(self._loud(b"".join(self._sound[self._decoded :])))
            self._decoded = len(self._sound)
        if self._quiet >= HUSH_FRAMES and self._spoke:
            self.words = self._read(self._decoder, self._first * FRAME_SECONDS)
            self._spoke = 0
        if self._quiet >= WHOLE_FRAMES and self._advance is None and len(self._sound) >= self._tried * GROWN:
            self._tried = len(self._sound)
            start = self._first * FRAME_SECONDS
            whole = self._beside(self._whole, Phrase(start, self._samples(self._sound)))
            self._advance = (self._first + len(self._sound), whole)
        if self._advance is not None and self._advance[1].done():
            self.words = self._advance[1].result()

    def ended(self, phrase: Phrase) -> Future[Utterance | None]:
        """The words of a phrase that has ended: those looked for in advance where nothing was said since."""
        self._gain = self._gain_for(phrase.samples.tobytes())
        known, self._advance = self._advance, None
        self._close()
        if known is not None and abs(phrase.end - known[0] * FRAME_SECONDS) < 1.0:
            return known[1]
        return self._beside(self._whole, phrase)

    def _close(self) -> None:
        if self._open:
            self._decoder.end_utt()
        self._open, self.words, self._advance = False, None, None

    def _forget(self, seconds: float) -> None:
        drop = max(0, int(seconds / FRAME_SECONDS) - self._first)
        del self._sound[:drop]
        self._first += drop

    @staticmethod
    def _samples(frames: list[bytes]) -> Samples:
        import numpy as np

        return np.frombuffer(b"".join(frames), np.int16)

    def _gain_for(self, data: bytes) -> float:
        """What brings sound to the loudness that the decoder knows."""
        import numpy as np

        peak = float(np.abs(np.frombuffer(data, np.int16).astype(np.float32)).max(initial=1.0))
        return min(MOST_GAIN, PEAK / max(peak, 1.0))

    def _loud(self, data: bytes) -> bytes:
        """Sound at the loudness of the phrase before it, over a faint hiss."""
        import numpy as np

        samples = np.frombuffer(data, np.int16).astype(np.float32)
        hiss = np.random.default_rng(self._decoded).standard_normal(len(samples)) * HISS
        return np.clip(samples * self._gain + hiss, -32768, 32767).astype(np.int16).tobytes()
