"""Ordinary words that a recogniser writes for trade words: "the meant is clean", "kill straight", "no scam on it".

Which words these are is data (lexicon/misheard.toml, learned from the recognisers' own output). An ordinary word is
taken for a trade word only where the words around leave no other sense: a sign that fits the region stands behind
it, or a region that takes the sign before it, and it does not stand where a verb stands. A proposal: what comes of it
costs a penalty and is never sure.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from dictate.extraction.english import ARTICLES, COPULAS, JOIN, POSSESSIVE, PREPOSITIONS
from dictate.extraction.tokens import Token
from dictate.vocabulary import Meaning, Vocabulary

__all__ = ["Misheard"]

# before a word that is then a verb or its object, not a part of a body
NO_NOUN_AFTER = frozenset(
    "she he it they i we you who that what to 'll 'd will would can could may might must should do does did n't not "
    "'ve 've let please just also then so be".split()
)
BEFORE_REGION = POSSESSIVE | ARTICLES | JOIN | {"left", "right", "upper", "lower", "no", "'s"}
TO_SIGN = COPULAS | {
    "a",
    "bit",
    "very",
    "quite",
    "nice",
    "and",
    "all",
    "still",
    "so",
    "too",
    "no",
    "not",
    "n't",
    "any",
    "some",
    "there",
    "little",
    "really",
    "rather",
    "just",
    "both",
    "also",
}
DENYING = frozenset("no any some a an more few".split())
OF_BIRD = frozenset("it them her him there".split())
REACH = 5
Found = tuple[int, int, Any]  # a phrase: start, end, senses
ANY = "*"  # a sign that every region takes


class Misheard:
    """Proposes the trade word meant by an ordinary one, by the words around it."""

    def __init__(self, vocabulary: Vocabulary, senses: dict[str, tuple[Meaning, ...]]) -> None:
        """`senses`: what each single word of the lexicon may mean."""
        names = {bird.id for bird in vocabulary.birds.values() if bird.role == "not-a-name"}
        senses = {  # an ordinary word of English that is listed only as no name is ordinary all the same
            word: meanings
            for word, meanings in senses.items()
            if any(m.kind != "bird" or m.id not in names for m in meanings)
        }
        self.always: dict[str, str] = {}
        self.perhaps: dict[str, list[str]] = {}
        for entry in vocabulary.entries("misheard").values():
            self.always |= dict.fromkeys((w for w in entry.say if w not in senses), entry.id)
            for word in entry.perhaps:
                if word not in senses:
                    self.perhaps.setdefault(word, []).append(entry.id)
        self.regions: dict[str, str] = {}
        self.signs: dict[str, frozenset[str]] = {}
        usual: dict[str, Any] = {sign.id: sign.usual for sign in vocabulary.signs.values()}
        for word, meanings in senses.items():
            region = next((m.id for m in meanings if m.kind == "region"), "")
            if region:
                self.regions[word] = region
            on = {r for m in meanings if m.kind == "sign" for r in (m.regions or usual[m.id] or (ANY,))}
            if on:
                self.signs[word] = frozenset(on)

    def mend(
        self, words: list[str], tokens: Sequence[Token], phrases: Callable[[list[str]], Sequence[Found]]
    ) -> dict[int, str]:
        """Trade words by the places of the words they are meant by.

        `phrases` finds those of the lexicon; the words of one that is longer than a word stay as they are.
        """
        found: dict[int, str] = {}
        places = [i for i, word in enumerate(words) if word in self.perhaps or word in self.always]
        if not places:
            return found
        whole = {k for start, end, _ in phrases(words) for k in range(start, end) if end - start > 1}
        for i in places:
            word = words[i]
            if i in whole:
                continue
            if word in self.always:
                found[i] = self.always[word]
                continue
            for meant in self.perhaps[word]:
                if (meant in self.regions and self._is_region(words, tokens, i, self.regions[meant])) or (
                    meant in self.signs and self._is_sign(words, tokens, i, self.signs[meant])
                ):
                    found[i] = meant
                    break
        return found

    def _is_region(self, words: list[str], tokens: Sequence[Token], i: int, region: str) -> bool:
        """A sign of the region stands behind, and the word stands where a noun does; or a sign is said to be on it."""
        before = self._before(words, tokens, i)
        if before in NO_NOUN_AFTER:
            return False
        if before and before not in BEFORE_REGION and before not in self.signs and before not in PREPOSITIONS:
            return False
        if before in PREPOSITIONS or (before in BEFORE_REGION and self._before(words, tokens, i - 1) in PREPOSITIONS):
            return any(self._takes(words[k], region, False) for k in range(max(0, i - REACH), i - 1))
        for k in range(i + 1, min(i + 1 + REACH, len(words))):
            if self._parted(tokens, k):
                return False
            if self._takes(words[k], region, True):
                return True
            if words[k] not in TO_SIGN:
                return False
        return False

    def _is_sign(self, words: list[str], tokens: Sequence[Token], i: int, on: frozenset[str]) -> bool:
        """A region that takes the sign stands before, with a verb or nothing between; or "no …" and a place behind."""
        if self._before(words, tokens, i) in NO_NOUN_AFTER - {"n't", "not", "that"}:
            return False
        for k in range(i - 1, max(-1, i - 1 - REACH), -1):
            if self._parted(tokens, k + 1):
                break
            region = self.regions.get(words[k])
            if region and (region in on or ANY in on):
                return i - k > 1 or self._ends(words, tokens, i)
            if words[k] not in TO_SIGN and words[k] not in DENYING:
                break
        before = self._before(words, tokens, i)
        if i + 1 < len(words) and words[i + 1] in PREPOSITIONS and (not before or before in DENYING):
            for k in range(i + 2, min(i + 2 + REACH, len(words))):
                region = self.regions.get(words[k])
                if region:
                    return region in on or ANY in on
                if words[k] in OF_BIRD:
                    return before in ("no", "any")
                if words[k] not in BEFORE_REGION:
                    return False
        return False

    def _takes(self, word: str, region: str, normal: bool) -> bool:
        """Is the word one of a sign that the region takes?"""
        on = self.signs.get(word, frozenset())
        return region in on or (normal and ANY in on)

    @staticmethod
    def _before(words: list[str], tokens: Sequence[Token], i: int) -> str:
        """The word before, or nothing where a sentence or a breath begins."""
        if i <= 0 or tokens[i].gap or tokens[i - 1].kind not in ("word", "number"):
            return ""
        return words[i - 1]

    @staticmethod
    def _ends(words: list[str], tokens: Sequence[Token], i: int) -> bool:
        """Does the statement end behind the word, or go on in a list?"""
        return i + 1 >= len(words) or Misheard._parted(tokens, i + 1) or words[i + 1] in JOIN | PREPOSITIONS

    @staticmethod
    def _parted(tokens: Sequence[Token], i: int) -> bool:
        """Does a mark or a breath stand before the token?"""
        return tokens[i].gap or tokens[i].kind in ("punct", "newline") or tokens[i - 1].kind in ("punct", "newline")
