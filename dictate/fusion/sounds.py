"""How words sound, and what it costs to have written one sound for another."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

from dictate.errors import LexiconError
from dictate.fusion.rehear import Costs
from dictate.speech.pocketsphinx_model import english_dictionary
from dictate.vocabulary.pronunciations import PHONES, Pronouncer

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

__all__ = ["Sounds", "confusion_costs"]


class Sounds:
    """The sounds of any word, by the English dictionary, the lexicon, or rule."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._pronouncer = Pronouncer(english_dictionary(), vocabulary)
        self.first = lru_cache(maxsize=20_000)(self._first)

    def known(self, word: str) -> bool:
        """Whether a dictionary has the word."""
        return self._pronouncer.known(word)

    def _first(self, word: str) -> tuple[str, ...]:
        """The commonest way of saying a word."""
        return tuple(self._pronouncer.ways(word)[0].split())


def confusion_costs(vocabulary: Vocabulary) -> Costs:
    """Costs from confusions.toml. Raises LexiconError when a sound is missing or written wrongly."""
    swap: dict[str, dict[str, float]] = {sound: {} for sound in PHONES}
    entries = vocabulary.entries("confusion")
    faults = [f'confusion "{sound}": the sound is missing' for sound in sorted(PHONES - entries.keys())]
    faults += [f'confusion "{sound}": no such sound' for sound in sorted(entries.keys() - PHONES)]
    for meant, entry in entries.items():
        for line in entry.written:
            written, _, share = line.partition(" ")
            try:
                swap[written][meant] = -math.log(float(share))
            except (KeyError, ValueError):
                faults.append(f'confusion "{meant}": "{line}" is not a sound and its share ("D 0.03")')
    if faults:
        raise LexiconError("confusions.toml", faults)
    return Costs(
        swap, {sound: -math.log(entry.lost) for sound, entry in entries.items()},
        {sound: -math.log(entry.added) for sound, entry in entries.items()},
    )
