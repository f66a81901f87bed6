"""One recording, one or more listeners: what each of them heard."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from dictate.model import Utterance, Word
from dictate.speech.listener import Listener
from dictate.speech.sound import RATE, Recording, open_sound

if TYPE_CHECKING:
    from dictate.speech.listener import Samples

__all__ = ["Heard", "hear"]


@dataclass(frozen=True, slots=True)
class Heard:
    """What was heard in one recording: utterances in order of time for each listener by name."""

    recording: Recording
    utterances: Mapping[str, tuple[Utterance, ...]]

    @property
    def path(self) -> Path:
        return self.recording.path

    @property
    def seconds(self) -> float:
        return self.recording.seconds

    @property
    def warnings(self) -> tuple[str, ...]:
        """Sentences for the person: clipping, a dead channel, a low level."""
        return self.recording.warnings

    def words(self, listener: str) -> tuple[Word, ...]:
        """All words of one listener in order."""
        return tuple(word for utterance in self.utterances[listener] for word in utterance.words)

    def text(self, listener: str) -> str:
        """All words of one listener, utterances parted by spaces."""
        return " ".join(u.text for u in self.utterances[listener])


def hear(
    path: Path | str,
    listeners: Sequence[Listener],
    *,
    allow_truncated: bool = False,
    progress: Callable[[float, float], None] | None = None,
) -> Heard:
    """Hear a recording with each of the listeners, in constant memory.

    The listeners stay open and may hear the next file. `progress(done, of)` is called with
    seconds of sound, over all listeners together.
    Raises SoundError when the recording cannot be used, ListenerError when a listener fails.
    """
    recording = open_sound(path, allow_truncated=allow_truncated)
    heard: dict[str, tuple[Utterance, ...]] = {}
    for number, listener in enumerate(listeners):
        blocks = _counted(recording, number, len(listeners), progress)
        heard[listener.name] = tuple(listener.hear(blocks))
    return Heard(recording, heard)


def _counted(
    recording: Recording, number: int, of: int, progress: Callable[[float, float], None] | None
) -> Iterator[Samples]:
    """The blocks of a recording for listener `number`, telling the progress over all of them."""
    total, samples = recording.seconds * of, 0
    for block in recording.blocks():
        yield block
        samples += len(block)
        if progress is not None:
            progress(min(total, number * recording.seconds + samples / RATE), total)
