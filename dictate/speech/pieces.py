"""Sound in pieces for recognisers that take half a minute at a time: cut where somebody pauses."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from dictate.speech.endpoint import Endpointing, EndpointSettings, Phrase
from dictate.speech.sound import RATE, as_samples

if TYPE_CHECKING:
    from dictate.speech.listener import Block, Samples

__all__ = ["Piece", "Pieces"]

MARGIN = 0.2  # seconds kept before the first and after the last phrase of a piece


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of sound with one or more phrases in it; `start` in seconds from the first sample fed,
    `phrases` their start and end."""

    start: float
    samples: Samples
    phrases: tuple[tuple[float, float], ...]


class Pieces:
    """Joins neighbouring phrases, with the pauses between, into pieces of at most `seconds`; with 0
    each phrase is a piece. Silence is never in a piece of its own."""

    def __init__(self, seconds: float, settings: EndpointSettings | None = None) -> None:
        self._seconds = seconds
        self._endpointing = Endpointing(settings or EndpointSettings())
        self._sound: list[Samples] = []
        self._first = 0  # number of the first sample kept
        self._fed = 0
        self._waiting: list[Phrase] = []

    def feed(self, block: Block) -> list[Piece]:
        samples = as_samples(block)
        self._sound.append(samples)
        self._fed += len(samples)
        pieces = self._take(self._endpointing.feed(samples))
        self._forget()
        return pieces

    def finish(self) -> list[Piece]:
        pieces = self._take(self._endpointing.finish())
        return pieces + self._close()

    def _take(self, phrases: list[Phrase]) -> list[Piece]:
        pieces = []
        for phrase in phrases:
            if self._waiting and phrase.end - self._waiting[0].start + 2 * MARGIN > self._seconds:
                pieces += self._close()
            self._waiting.append(phrase)
            if self._seconds <= phrase.end - self._waiting[0].start:
                pieces += self._close()
        return pieces

    def _close(self) -> list[Piece]:
        """The waiting phrases as one piece."""
        import numpy as np

        if not self._waiting:
            return []
        first = max(self._first, round((self._waiting[0].start - MARGIN) * RATE))
        last = min(self._fed, round((self._waiting[-1].end + MARGIN) * RATE))
        sound = np.concatenate(self._sound)[first - self._first : last - self._first]
        phrases = tuple((phrase.start, phrase.end) for phrase in self._waiting)
        self._waiting = []
        return [Piece(first / RATE, sound, phrases)]

    def _forget(self) -> None:
        """Drop sound that no piece can want any more."""
        wanted = self._waiting[0].start if self._waiting else self._endpointing.since
        keep = int((wanted - MARGIN - 1.0) * RATE)
        while self._sound and self._first + len(self._sound[0]) <= keep:
            self._first += len(self._sound.pop(0))
