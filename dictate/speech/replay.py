"""A listener that says what a file tells it to: for tests, and to go over what was heard before.

The file is JSON:

    {"utterances": [{"start": 0.4, "end": 1.9,
                     "words": [{"word": "left", "start": 0.4, "end": 0.7, "confidence": 0.9}]}]}
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dictate.errors import ListenerError
from dictate.model import Utterance, Word
from dictate.speech.listener import Hearing, Listener, ListenerOptions, hear_blocks

if TYPE_CHECKING:
    from dictate.speech.listener import Block
    from dictate.vocabulary import Vocabulary

__all__ = ["ReplayListener", "open_listener", "read_utterances", "utterances_record"]

NAME = "replay"
RATE = 16000


class ReplayListener:
    """Yields stored utterances, each once the sound fed has reached its end."""

    name = NAME

    def __init__(self, utterances: Iterable[Utterance]) -> None:
        self.utterances = tuple(utterances)

    def begin(self) -> Hearing:
        return _Replay(self.utterances)

    def hear(self, blocks: Iterable[Block]) -> Iterator[Utterance]:
        return hear_blocks(self.begin(), blocks)

    def close(self) -> None:
        self.utterances = ()


class _Replay:
    partial = ""

    def __init__(self, utterances: tuple[Utterance, ...]) -> None:
        self.waiting = list(utterances)
        self.samples = 0

    @property
    def in_speech(self) -> bool:
        """Whether an utterance has begun at the second reached, and not ended."""
        return bool(self.waiting) and (self.waiting[0].start or 0.0) <= self.samples / RATE

    def feed(self, block: Block) -> list[Utterance]:
        self.samples += len(block) // 2 if isinstance(block, bytes) else len(block)
        reached, due = self.samples / RATE, 0
        while due < len(self.waiting) and (self.waiting[due].end or 0.0) <= reached:
            due += 1
        ready, self.waiting = self.waiting[:due], self.waiting[due:]
        return ready

    def finish(self) -> list[Utterance]:
        ready, self.waiting = self.waiting, []
        return ready


def open_listener(vocabulary: Vocabulary, options: ListenerOptions) -> Listener:
    """The replay listener on `options.replay`. Raises ListenerError without a readable file."""
    if options.replay is None:
        raise ListenerError(
            "opening the listener", NAME, "no file of utterances is given",
            "Name a JSON file made from an earlier hearing.",
        )
    return ReplayListener(read_utterances(options.replay))


def read_utterances(path: Path) -> tuple[Utterance, ...]:
    """Utterances from a JSON file. Raises ListenerError, naming the file and what is wrong."""
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        return tuple(_utterance(item) for item in record["utterances"])
    except OSError as error:
        raise ListenerError(
            "reading utterances from", str(path), error.strerror or str(error), "Check the name."
        ) from error
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise ListenerError(
            "reading utterances from", str(path), f"not the JSON expected ({error!r})",
            'It must be {"utterances": [{"start", "end", "words": [{"word", "start", "end"}]}]}.',
        ) from error


def _utterance(item: dict[str, Any]) -> Utterance:
    words = tuple(
        Word(str(w["word"]), w.get("start"), w.get("end"), w.get("confidence")) for w in item["words"]
    )
    return Utterance(words, item.get("listener", NAME), item.get("start"), item.get("end"))


def utterances_record(utterances: Iterable[Utterance]) -> dict[str, Any]:
    """Utterances as the JSON object that read_utterances takes."""
    return {
        "utterances": [
            {
                "listener": u.listener, "start": u.start, "end": u.end,
                "words": [
                    {"word": w.text, "start": w.start, "end": w.end, "confidence": w.confidence}
                    for w in u.words
                ],
            }
            for u in utterances
        ]
    }
