"""Find the lexicon's phrases in a line of words: longest first, then leftmost.

The only file that imports spaCy. Phrases are cut by our own tokeniser, so text and table agree.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from dictate.extraction import tokens
from dictate.extraction.tokens import words_of
from dictate.vocabulary import Meaning, Vocabulary

__all__ = ["PhraseFinder"]


def _plural(word: str) -> str:
    """cut → cuts, scratch → scratches, injury → injuries (general English, regular nouns only)."""
    if word.endswith("y") and word[-2:-1] not in "aeiou":
        return f"{word[:-1]}ies"
    return f"{word}es" if word.endswith(("ch", "sh", "x", "z")) else f"{word}s"


def _phrases(vocabulary: Vocabulary) -> dict[str, Any]:
    """All phrases, their words parted by blanks, with the numbers of their senses in the list of all senses."""
    table: dict[tuple[str, ...], list[Meaning]] = {}
    for phrase, meaning in vocabulary.phrases():
        if meaning.kind in ("number", "command") or meaning.form == "glued" or meaning.id == "not-a-name":
            continue
        words = words_of(phrase)
        if words and meaning not in table.setdefault(words, []):
            table[words].append(meaning)
        if meaning.form == "noun" and not words[-1].endswith("s"):
            plural = (*words[:-1], _plural(words[-1]))
            if plural not in table:
                table[plural] = [meaning]
    _spell(vocabulary, table)
    number = {sense: n for n, sense in enumerate(dict.fromkeys(s for senses in table.values() for s in senses))}
    return {
        "senses": [[m.kind, m.id, m.form, m.regions] for m in number],
        "phrases": {" ".join(words): [number[m] for m in senses] for words, senses in table.items()},
    }


def _spell(vocabulary: Vocabulary, table: dict[tuple[str, ...], list[Meaning]]) -> None:
    """A slip takes the senses of what is meant, marked so that it costs a penalty."""
    for entry in vocabulary.spellings.values():
        meant = table.get(words_of(entry.id), [])
        for phrase in (*entry.say, *entry.short):
            senses = table.setdefault(words_of(phrase), [])
            mark = "near" if entry.near else "heard" if entry.heard else "slip"
            form = f"{mark}:{entry.id}"
            senses += [Meaning(m.kind, m.id, f"{m.form}|{form}", m.regions) for m in meant]


class PhraseFinder:
    """All phrases of a vocabulary, with every sense of each."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        from spacy.matcher import PhraseMatcher
        from spacy.tokens import Doc
        from spacy.vocab import Vocab

        self._doc: Any = Doc
        self._vocab = Vocab()
        made = vocabulary.shelf.take("phrases", (__file__, tokens.__file__), lambda: _phrases(vocabulary))
        senses = [Meaning(kind, entry, form, tuple(regions)) for kind, entry, form, regions in made["senses"]]
        self.table = {
            tuple(phrase.split(" ")): tuple([senses[n] for n in numbers]) for phrase, numbers in made["phrases"].items()
        }
        self.single = {words[0]: meant for words, meant in self.table.items() if len(words) == 1}
        self._matcher = PhraseMatcher(self._vocab, attr="ORTH")
        many = [words for words in self.table if len(words) > 1]
        count = Counter(word for words in many for word in words)
        self._waiting: dict[str, list[tuple[str, ...]]] = {}  # phrases by their rarest word
        for words in many:
            self._waiting.setdefault(min(words, key=count.__getitem__), []).append(words)

    def find(self, words: Sequence[str]) -> list[tuple[int, int, tuple[Meaning, ...]]]:
        """(start, end, senses) of every phrase taken, in order, none overlapping."""
        for word in words:
            if word in self._waiting:  # a phrase is made ready when a text first has its rarest word
                ready = [self._doc(self._vocab, words=list(phrase)) for phrase in self._waiting.pop(word)]
                self._matcher.add("phrase", ready)  # one key for all: the table tells which phrase it was
        doc = self._doc(self._vocab, words=list(words))
        found = [(start, end, self.table[tuple(words[start:end])]) for _, start, end in self._matcher(doc)]
        # of two as long, a sign before a mere region ("wing | feathers broken"), then the left one
        found.sort(key=lambda hit: (hit[0] - hit[1], all(m.kind != "sign" for m in hit[2]), hit[0]))
        taken = bytearray(len(words))
        chosen: list[tuple[int, int, tuple[Meaning, ...]]] = []
        for start, end, senses in found:
            if not any(taken[start:end]):
                taken[start:end] = b"\1" * (end - start)
                chosen.append((start, end, senses))
        single = self.single
        for i, word in enumerate(words):
            if not taken[i] and word in single:
                chosen.append((i, i + 1, single[word]))
        chosen.sort()
        return chosen
