"""How words sound, in the phones of the CMU dictionary (AA AE … ZH, without stress).

A word is looked up in the recogniser's dictionary and in the lexicon (pronunciations.toml, blocks
[[pronunciation]]), whose ways are added to the dictionary's. A word that neither knows is taken
apart (stem and ending, two known words written as one), and at last spelled out by letter_sounds.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from dictate.errors import LexiconError
from dictate.vocabulary.letter_sounds import spell_out
from dictate.vocabulary.patterns import tokens

if TYPE_CHECKING:
    from dictate.vocabulary.words import Vocabulary

__all__ = ["PHONES", "Pronouncer"]

_VOWELS = "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW"
_CONSONANTS = "B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH"
PHONES = frozenset(f"{_VOWELS} {_CONSONANTS}".split())
MOST = 4  # ways of saying one word; more slow the recogniser down and blur it

_HISSING = {"S", "Z", "SH", "ZH", "CH", "JH"}
_VOICELESS = {"P", "T", "K", "F", "TH"}
_ENDINGS: dict[str, tuple[str, ...]] = {
    "ing": ("IH NG",), "y": ("IY",), "ly": ("L IY",), "er": ("ER",), "ness": ("N AH S",),
    "less": ("L AH S",), "ish": ("IH SH",), "est": ("AH S T",), "ful": ("F AH L",), "like": ("L AY K",),
}


class Pronouncer:
    """Gives the ways of saying any word.

    `dictionary` maps small-letter words to ways, each a string of phones parted by spaces.
    Raises LexiconError when an entry of the lexicon has a phone that does not exist, or a
    sound-alike that says nothing.
    """

    def __init__(
        self, dictionary: Mapping[str, tuple[str, ...]], vocabulary: Vocabulary | None = None
    ) -> None:
        self._dictionary = dictionary
        self._own: dict[str, tuple[str, ...]] = {}
        faults: list[str] = []
        entries = vocabulary.entries("pronunciation") if vocabulary is not None else {}
        for entry in entries.values():
            ways = list(entry.phones)
            for way in entry.phones:
                wrong = [phone for phone in way.split() if phone not in PHONES]
                if wrong:
                    faults.append(f'pronunciation "{entry.id}": no such phone: {", ".join(wrong)}')
            for like in entry.like:
                heard = self._like(like)
                if not heard:
                    faults.append(f'pronunciation "{entry.id}": "{like}" has no letters')
                ways += heard
            self._own[entry.id.lower()] = tuple(dict.fromkeys(ways))
        if faults:
            raise LexiconError("pronunciations.toml", faults)

    def known(self, word: str) -> bool:
        """Whether the word is in the dictionary or the lexicon, so that nothing has to be guessed."""
        return word in self._own or word in self._dictionary

    def ways(self, word: str) -> tuple[str, ...]:
        """The ways of saying a small-letter word, the lexicon's first; at least one."""
        ways = self._own.get(word, ()) + self._dictionary.get(word, ())
        if not ways:
            ways = self._taken_apart(word) or (spell_out(word),)
        return tuple(dict.fromkeys(ways))[:MOST]

    def _like(self, text: str) -> list[str]:
        """The sound of a made-up spelling such as "nair eez", word by word."""
        ways = [self.ways(word)[0] for word in tokens(text)]
        return [" ".join(ways)] if ways else []

    def _taken_apart(self, word: str) -> tuple[str, ...]:
        if word.endswith("'s"):
            return tuple(_with_s(way) for way in self.ways(word[:-2]))
        for stem in self._stems(word, "s", ("", "e")):
            return tuple(_with_s(way) for way in self.ways(stem))
        for stem in self._stems(word, "ed", ("", "e")):
            return tuple(_with_ed(way) for way in self.ways(stem))
        for ending, sounds in _ENDINGS.items():
            for stem in self._stems(word, ending, ("", "e", "y")):
                return tuple(f"{way} {sound}" for way in self.ways(stem) for sound in sounds)
        for cut in sorted(range(3, len(word) - 2), key=lambda at: abs(at - len(word) / 2)):
            if self.known(word[:cut]) and self.known(word[cut:]):
                return (f"{self.ways(word[:cut])[0]} {self.ways(word[cut:])[0]}",)
        return ()

    def _stems(self, word: str, ending: str, restored: tuple[str, ...]) -> list[str]:
        """Known words that the word may be a form of: scabby → scab, pasting → paste."""
        if not word.endswith(ending) or len(word) - len(ending) < 3:
            return []
        stem = word[: -len(ending)]
        stems = [stem + letter for letter in restored]
        if ending[0] in "aeiouy" and stem[-1] == stem[-2]:
            stems.append(stem[:-1])
        if stem[-1] == "i":
            stems.append(stem[:-1] + "y")
        return [s for s in stems if self.known(s)]


def _with_s(way: str) -> str:
    last = way.split()[-1]
    return f"{way} " + ("IH Z" if last in _HISSING else "S" if last in _VOICELESS else "Z")


def _with_ed(way: str) -> str:
    last = way.split()[-1]
    voiceless = last in _VOICELESS or last in ("S", "SH", "CH")
    return f"{way} " + ("IH D" if last in ("T", "D") else "T" if voiceless else "D")
