"""Sentences of exam talk made from the lexicon, from which a recogniser learns what is likely.

The patterns are data (lexicon/sentences.toml, blocks [[sentence]] and [[slot]]):

    left [foot] pad is (hard|fine)    [ ] may be left out, ( | ) is a choice
    {name}                            the patterns of the slot with that id
    {region:paired:plural}            words of the lexicon: a kind of entry, then any of: an id; a value
                                      such as a category or role; a yes-or-no key; the list to take
                                      (plural, noun, before …; "any" for all; else say)
    {number:1:20}  {number:400:4800:10}  {decimal:0.5:4.8:2}  {digits:3}
                                      numbers in words: from, to, step; decimals; digit by digit
    … *3                              this choice is three times as likely

A sign is chosen to suit the region spoken of last. Of the ways of saying one thing, its id and those
made of common words are said more often.
"""

from __future__ import annotations

import itertools
import random
from bisect import bisect
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from dictate.errors import LexiconError
from dictate.vocabulary.entries import Sign
from dictate.vocabulary.patterns import Choice, Node, Slot, Words, read_pattern, tokens
from dictate.vocabulary.spoken_numbers import NumberSpeller

if TYPE_CHECKING:
    from dictate.vocabulary.entries import Entry
    from dictate.vocabulary.words import Vocabulary

__all__ = ["SentenceMaker", "make_sentences"]

NUMBERS = ("number", "digits", "decimal")
JOIN = 0.6  # how likely a speaker goes on without a pause
# Weights of a sign on its usual regions, of its words for that region alone, elsewhere, and of one that
# may be anywhere.
USUAL, SAID_ON, RARE, ANYWHERE = 2.0, 3.0, 0.12, 1.0
# Within an entry: the power of the commonness of a phrase's rarest word, what each further word takes
# off, and what the entry's own name is worth.
POWER, FURTHER, NAMED = 0.5, 0.6, 4.0
RAREST = 1e-7


@dataclass(slots=True)
class _Pool:
    """Things to choose from, with running totals of their weights."""

    items: list[tuple[str, tuple[Node, ...], str]]
    totals: list[float]


@dataclass(slots=True)
class _Talk:
    """What has been said in this sentence so far."""

    words: list[str] = field(default_factory=list)
    region: str = ""


class SentenceMaker:
    """Makes sentences from the patterns and words of one vocabulary; the same seed, the same sentences.

    `common` gives how common a word is in everyday English (0..1), where that is known.
    """

    def __init__(
        self, vocabulary: Vocabulary, seed: int = 1, common: Callable[[str], float] | None = None
    ) -> None:
        self._vocabulary = vocabulary
        self._common = common or (lambda word: RAREST)
        self._random = random.Random(seed)
        self._numbers = NumberSpeller(vocabulary.numbers.values())
        self._pools: dict[tuple[str, ...], _Pool] = {}  # by what slots say; each slot keeps its own too
        self._shares: dict[tuple[str, ...], list[tuple[tuple[str, tuple[Node, ...], str], float]]] = {}
        self._parsed: dict[str, tuple[tuple[Node, ...], float]] = {}
        self._patterns = self._usable(vocabulary)

    def _usable(self, vocabulary: Vocabulary) -> _Pool:
        weighted = []
        for entry in vocabulary.entries("sentence").values():
            each = entry.weight / max(1, len(entry.say))
            for pattern in entry.say:
                nodes, weight = self._parse(pattern)
                if not self._missing(nodes):
                    weighted.append((("", nodes, ""), each * weight))
        return _pool(weighted)

    def faults(self) -> list[str]:
        """Each pattern that names a slot or word kind with nothing in it, as a sentence."""
        found = []
        for kind in ("sentence", "slot"):
            for entry in self._vocabulary.entries(kind).values():
                for pattern in entry.say:
                    for slot in self._missing(self._parse(pattern)[0]):
                        found.append(f'{kind} "{entry.id}": nothing for {{{slot}}} in "{pattern}"')
        return found

    def sentences(self, count: int) -> Iterator[list[str]]:
        """Yield `count` stretches of talk between two pauses, each a list of words."""
        if not self._patterns.items:
            return
        for _ in range(count):
            words: list[str] = []
            while True:
                talk = _Talk()
                self._say(self._pick(self._patterns)[1], talk)
                words += talk.words
                if self._random.random() > JOIN or len(words) > 40:
                    break
            if words:
                yield words

    def _say(self, nodes: Sequence[Node], talk: _Talk) -> None:
        for node in nodes:
            if isinstance(node, Words):
                talk.words += node.words
            elif isinstance(node, Choice):
                if not node.optional or self._random.random() < 0.5:
                    self._say(self._random.choice(node.options), talk)
            else:
                self._fill(node, talk)

    def _fill(self, slot: Slot, talk: _Talk) -> None:
        if slot.name in NUMBERS:
            talk.words += self._number(slot)
            return
        region = talk.region if slot.name == "sign" else ""
        pool = slot.pools.get(region)
        if pool is None:
            pool = slot.pools[region] = self._pool_of(slot, region)
        if not pool.items:
            return
        _, nodes, id_ = self._pick(pool)
        if slot.name == "region":
            talk.region = id_
        self._say(nodes, talk)

    def _number(self, slot: Slot) -> list[str]:
        numbers, rng = self._numbers, self._random
        if slot.name == "number":
            low, high, *step = (int(key) for key in slot.keys)
            return numbers.whole(rng.randrange(low, high + 1, step[0] if step else 1), rng)
        if slot.name == "digits":
            return numbers.digits([rng.randrange(10) for _ in range(int(slot.keys[0]))], rng)
        low_, high_, places = float(slot.keys[0]), float(slot.keys[1]), int(slot.keys[2])
        return numbers.decimal(f"{rng.uniform(low_, high_):.{places}f}", rng)

    def _pick(self, pool: _Pool) -> tuple[str, tuple[Node, ...], str]:
        return pool.items[bisect(pool.totals, self._random.random() * pool.totals[-1], 0, len(pool.items) - 1)]

    def _pool_of(self, slot: Slot, region: str = "") -> _Pool:
        key = (slot.name, *slot.keys, "@", region)
        if key not in self._pools:
            self._pools[key] = _Pool([], [])  # for a slot that comes back to itself
            self._pools[key] = self._make_pool(slot, region)
        return self._pools[key]

    def _make_pool(self, slot: Slot, region: str) -> _Pool:
        weighted = []
        slots = self._vocabulary.entries("slot")
        if slot.name in slots and not slot.keys:
            for pattern in slots[slot.name].say:
                nodes, weight = self._parse(pattern)
                if not self._missing(nodes):
                    weighted.append(((pattern, nodes, ""), weight))
            return _pool(weighted)
        for entry, form in self._entries(slot):
            factor = 1.0
            if region and isinstance(entry, Sign):
                on = entry.on.get(region, ()) if form != "noun" else ()
                weighted += self._shared(on, entry.id, SAID_ON)
                factor = _suits(entry, region, bool(on))
            phrases = _phrases(entry, form)
            if slot.name not in ("region", "sign"):
                factor = max((self._usual(tokens(phrase), "") for phrase in phrases), default=0.0)
            weighted += self._shared(phrases, entry.id, factor)
        return _pool(weighted)

    def _shared(
        self, phrases: Sequence[str], id_: str, whole: float
    ) -> list[tuple[tuple[str, tuple[Node, ...], str], float]]:
        """The phrases of an entry with their parts of the weight `whole`."""
        key = (id_, *phrases)
        if key not in self._shares:
            parted = [(phrase, words) for phrase in phrases if (words := tokens(phrase))]
            weights = [self._usual(words, id_) for _, words in parted]
            total = sum(weights)
            self._shares[key] = [
                ((phrase, (Words(tuple(words)),), id_), weight / total)
                for (phrase, words), weight in zip(parted, weights, strict=True)
            ]
        return [(item, whole * part) for item, part in self._shares[key]]

    def _usual(self, words: list[str], id_: str) -> float:
        rarest = max(RAREST, min(map(self._common, words), default=0.0))
        named = NAMED if " ".join(words) in (id_, f"{id_}s") else 1.0
        return float(named * rarest**POWER * FURTHER ** (len(words) - 1))

    def _entries(self, slot: Slot) -> Iterator[tuple[Entry, str]]:
        """The entries a slot such as {region:paired:plural} means, each with the list to take."""
        try:
            entries = self._vocabulary.entries(slot.name)
        except KeyError:
            return
        for entry in entries.values():
            form, fits = "say", True
            for key in slot.keys:
                if key == "any" or isinstance(getattr(entry, key, None), tuple):
                    form = key
                else:
                    fits = fits and _matches(entry, key)
            if fits:
                yield entry, form

    def _missing(self, nodes: Sequence[Node]) -> list[str]:
        """The slots among the nodes that nothing can fill."""
        out: list[str] = []
        for node in nodes:
            if isinstance(node, Choice):
                for option in node.options:
                    out += self._missing(option)
            elif isinstance(node, Slot):
                number = node.name in NUMBERS
                if not (self._numbers.complete if number else self._pool_of(node).items):
                    out.append(":".join((node.name, *node.keys)))
        return out

    def _parse(self, pattern: str) -> tuple[tuple[Node, ...], float]:
        if pattern not in self._parsed:
            try:
                self._parsed[pattern] = read_pattern(pattern)
            except ValueError as error:
                raise LexiconError("sentences.toml", [f'in "{pattern}" {error}']) from error
        return self._parsed[pattern]


def make_sentences(
    vocabulary: Vocabulary, count: int, seed: int = 1, common: Callable[[str], float] | None = None
) -> Iterator[list[str]]:
    """Yield every spoken phrase of the vocabulary once, then `count` made sentences, as lists of words."""
    for phrase in vocabulary.spoken_phrases():
        if words := tokens(phrase):
            yield words
    yield from SentenceMaker(vocabulary, seed, common).sentences(count)


def _suits(sign: Sign, region: str, on: bool) -> float:
    """How likely a sign is spoken of on a region: its usual ones are listed; an empty list means any."""
    if on or region in (*sign.usual, sign.home):
        return USUAL
    return RARE if sign.usual else ANYWHERE


def _phrases(entry: Entry, form: str) -> list[str]:
    """The phrases of one list of an entry, or of all that are spoken for "any". Words that give way to
    others (`weak`) are said as often as those that do not."""
    names = {"say": ("say", "weak"), "any": ("say", "weak", "noun", "plural")}.get(form, (form,))
    return [phrase for name in names for phrase in getattr(entry, name, ())]


def _pool(weighted: list[tuple[tuple[str, tuple[Node, ...], str], float]]) -> _Pool:
    kept = [(item, weight) for item, weight in weighted if weight > 0]
    return _Pool([item for item, _ in kept], list(itertools.accumulate(weight for _, weight in kept)))


def _matches(entry: Entry, key: str) -> bool:
    """Whether a key of a slot is the entry's id, one of its values, or a yes-or-no key that holds;
    "not-KEY" for one that does not."""
    if key.startswith("not-"):
        return not _matches(entry, key[4:])
    if getattr(entry, key, None) is True:
        return True
    values = (getattr(entry, name, None) for name in ("category", "role", "direction", "quantity"))
    return key in (entry.id, *values)
