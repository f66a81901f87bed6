"""Voice commands: phrases that count only when they are all that is said between two pauses."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

__all__ = ["Commands"]

AROUND = "around"
"""The entry whose words may stand before or after any command."""

_WORD = re.compile(r"[a-z0-9]+(?:'[a-z]+)?")


class Commands:
    """Tells a command from dictation. `phrases`: id → ways of saying it; `around`: words to overlook."""

    def __init__(self, phrases: Mapping[str, Iterable[str]], around: Iterable[str] = ()) -> None:
        self._ids = {_words(say): command for command, ways in phrases.items() for say in ways}
        self._around = frozenset(word for say in around for word in _words(say))

    @classmethod
    def of(cls, vocabulary: Vocabulary) -> Commands:
        """The commands of the lexicon."""
        entries = vocabulary.entries("command")
        around = entries[AROUND].around if AROUND in entries else ()
        return cls({name: entry.say for name, entry in entries.items() if name != AROUND}, around)

    def match(self, text: str) -> str | None:
        """The id of the command that `text` is, as a whole; None for dictation."""
        words = _words(text)
        first, last = 0, len(words)
        while first < last and words[first] in self._around:
            first += 1
        while last > first and words[last - 1] in self._around:
            last -= 1
        # A command may itself begin with a word of `around` ("now the next bird").
        for start in range(first + 1):
            for end in range(len(words), last - 1, -1):
                if (command := self._ids.get(words[start:end])) is not None:
                    return command
        return None


def _words(text: str) -> tuple[str, ...]:
    """Small letters, no punctuation, whichever recogniser it came from."""
    return tuple(_WORD.findall(text.casefold().replace("’", "'")))
