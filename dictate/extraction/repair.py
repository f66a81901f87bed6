"""Slips of the pen: a word nobody knows that is nearly a trade word is taken for it, at a penalty.

The only file that imports rapidfuzz. A proposal, never a fact: the finding that comes of it goes to
review. Words of four letters or fewer, words that are English of their own (lookalikes.toml) and
words the lexicon knows are left as they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from dictate.extraction import tokens
from dictate.extraction.tokens import Token, words_of
from dictate.vocabulary import Vocabulary

__all__ = ["Repairer"]

SHORTEST = 5


def _words(vocabulary: Vocabulary) -> dict[str, list[str]]:
    """The words that are known, those that are left as they are, and those that a slip may be meant for."""
    known: set[str] = set()
    for phrase, _ in vocabulary.phrases():
        known.update(words_of(phrase))
    for spelling in vocabulary.spellings.values():
        for phrase in (*spelling.say, *spelling.short):
            known.update(words_of(phrase))
    guarded = {word for entry in vocabulary.lookalikes.values() for word in entry.say}
    trade = {
        word
        for kind in (vocabulary.regions, vocabulary.signs, vocabulary.actions)
        for entry in kind.values()
        for phrase in (*entry.say, *getattr(entry, "plural", ()), *getattr(entry, "noun", ()))
        for word in words_of(phrase)
        if len(word) >= SHORTEST and word.isalpha() and word not in guarded
    }
    return {"known": sorted(known), "guarded": sorted(guarded), "targets": sorted(trade)}


class Repairer:
    """Finds the trade word meant by a misspelt one."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        made = vocabulary.shelf.take("repair", (__file__, tokens.__file__), lambda: _words(vocabulary))
        self.known, self.guarded = set(made["known"]), set(made["guarded"])
        self.targets: list[str] = made["targets"]
        self.left = self.known | self.guarded
        self.by_letter: dict[str, list[str]] = {}
        for word in self.targets:
            self.by_letter.setdefault(word[0], []).append(word)
        self.best = lru_cache(maxsize=4096)(self._best)

    def words(self, line: Sequence[Token]) -> tuple[list[str], set[int]]:
        """The words for matching, misspelt ones put right, and the tokens that were."""
        words = [token.low for token in line]
        mended: set[int] = set()
        left = self.left
        for i, low in enumerate(words):
            if low not in left and len(low) >= SHORTEST and line[i].kind == "word" and low.isalpha():
                better = self.best(low)
                if better:
                    mended.add(i)
                    words[i] = better
        return words, mended

    def _best(self, word: str) -> str:
        """The one trade word within a slip of `word` (one letter; two in long words), or nothing."""
        from rapidfuzz import process
        from rapidfuzz.distance import DamerauLevenshtein

        reach = 1 if len(word) <= 7 else 2
        targets = self.by_letter.get(word[0], [])
        hits = process.extract(word, targets, scorer=DamerauLevenshtein.distance, score_cutoff=reach, limit=4)
        near = [(distance, target) for target, distance, _ in hits if abs(len(target) - len(word)) <= reach]
        if not near:
            return ""
        near.sort()
        if len(near) > 1 and near[0][0] == near[1][0] and _stem(near[0][1]) != _stem(near[1][1]):
            return ""  # two words are as near: not guessed
        return str(near[0][1])


def _stem(word: str) -> str:
    return word[:5]
