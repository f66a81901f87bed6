"""Voice commands: phrases that count only when they are all that is said between two pauses."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

__all__ = ["ONLY_ASKED", "Commands", "in_words"]

AROUND = "around"
"""The entry whose words may stand before or after any command."""
ONLY_ASKED = ("yes", "no", "later")
"""Entries that are commands only while a question is open."""
EXAMINER = "examiner"
"""The command that may go with a name."""

_WORD = re.compile(r"[a-z0-9]+(?:'[a-z]+)?")


class Commands:
    """Tells a command from dictation. `phrases`: id → ways of saying it; `around`: words to overlook;
    `named`: whole phrases that name somebody, each with the name."""

    def __init__(
        self, phrases: Mapping[str, Iterable[str]], around: Iterable[str] = (),
        named: Mapping[str, str] | None = None,
    ) -> None:
        self._ids = {in_words(say): (command, "") for command, ways in phrases.items() for say in ways}
        self._ids |= {in_words(say): (EXAMINER, name) for say, name in (named or {}).items()}
        self._around = frozenset(word for say in around for word in in_words(say))
        self._starts = {ids[:n] for ids in self._ids for n in range(1, len(ids) + 1)}

    @classmethod
    def of(cls, vocabulary: Vocabulary) -> Commands:
        """The commands of the lexicon."""
        entries = vocabulary.entries("command")
        around = entries[AROUND].around if AROUND in entries else ()
        phrases = {name: entry.say for name, entry in entries.items() if name != AROUND}
        return cls(phrases, around, vocabulary.examiner_phrases())

    def match(self, text: str) -> str | None:
        """The id of the command that `text` is, as a whole; None for dictation."""
        found = self._found(text)
        return found[0] if found else None

    def name(self, text: str) -> str:
        """The name that a command goes with; "" where it goes with none."""
        found = self._found(text)
        return found[1] if found else ""

    def may_become(self, text: str) -> bool:
        """Whether `text` is how a command begins, or one."""
        words = in_words(text)
        while words and words[0] in self._around and words not in self._starts:
            words = words[1:]
        return not words or words in self._starts or self._found(text) is not None

    def _found(self, text: str) -> tuple[str, str] | None:
        words = in_words(text)
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


def in_words(text: str) -> tuple[str, ...]:
    """Small letters, no punctuation, whichever recogniser it came from."""
    return tuple(_WORD.findall(text.casefold().replace("’", "'")))
