"""Sentences of exam talk made from the lexicon, from which a recogniser learns what is likely.

The patterns are data (lexicon/sentences.toml, blocks [[sentence]] and [[slot]]):

    left [foot] pad is (hard|fine)    [ ] may be left out, ( | ) is a choice
    {name}                            the patterns of the slot with that id
    {region:paired:plural}            words of the lexicon: a kind of entry, then any of: an id; a value
                                      such as a category or role; a yes-or-no key; the list to take
                                      (plural, noun, before, done …; else say)
    {number:1:20}  {number:400:4800:10}  {decimal:0.5:4.8:2}  {digits:3}
                                      numbers in words: from, to, step; decimals; digit by digit
    … *3                              this choice is three times as likely

A sign is chosen to suit the region spoken of last. Earlier words of a list count as more usual.
"""

from __future__ import annotations

import itertools
import random
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from dictate.vocabulary.spoken_numbers import NumberSpeller

if TYPE_CHECKING:
    from dictate.vocabulary.entries import Entry
    from dictate.vocabulary.words import Vocabulary

__all__ = ["SentenceMaker", "make_sentences", "tokens"]

JOIN = 0.6  # how likely a speaker goes on without a pause
# Weights of a sign on its usual regions, of the words for it on that region alone, and elsewhere.
USUAL, SAID_ON, RARE = 2.0, 3.0, 0.12
FALLING = 1.0  # the n-th word of a list has the weight n ** -FALLING


def tokens(text: str) -> list[str]:
    """The words of a text as a recogniser knows them: small letters, hyphens parted, no other marks."""
    return re.findall(r"[a-z]+(?:'[a-z]+)*'?(?<!')|[a-z]+", text.lower().replace("’", "'"))


@dataclass(frozen=True, slots=True)
class _Word:
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Slot:
    name: str
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Choice:
    options: tuple[tuple[_Node, ...], ...]
    optional: bool


_Node = _Word | _Slot | _Choice


@dataclass(slots=True)
class _Pool:
    """Things to choose from, with running totals of their weights."""

    items: list[tuple[str, tuple[_Node, ...], str]]
    totals: list[float]


@dataclass(slots=True)
class _Talk:
    """What has been said in this sentence so far."""

    words: list[str] = field(default_factory=list)
    region: str = ""


class SentenceMaker:
    """Makes sentences from the patterns and words of one vocabulary; the same seed, the same sentences."""

    def __init__(self, vocabulary: Vocabulary, seed: int = 1) -> None:
        self._vocabulary = vocabulary
        self._random = random.Random(seed)
        self._numbers = NumberSpeller(vocabulary.numbers.values())
        self._pools: dict[tuple[str, ...], _Pool] = {}
        self._parsed: dict[str, tuple[tuple[_Node, ...], float]] = {}
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

    def _say(self, nodes: Sequence[_Node], talk: _Talk) -> None:
        for node in nodes:
            if isinstance(node, _Word):
                talk.words += node.words
            elif isinstance(node, _Choice):
                if not node.optional or self._random.random() < 0.5:
                    self._say(self._random.choice(node.options), talk)
            else:
                self._fill(node, talk)

    def _fill(self, slot: _Slot, talk: _Talk) -> None:
        spoken = self._number(slot)
        if spoken is not None:
            talk.words += spoken
            return
        if slot.name == "sign" and talk.region:
            pool = self._pool_of(slot, talk.region)
        else:
            pool = self._pool_of(slot)
        if not pool.items:
            return
        _, nodes, id_ = self._pick(pool)
        if slot.name == "region":
            talk.region = id_
        self._say(nodes, talk)

    def _number(self, slot: _Slot) -> list[str] | None:
        numbers, rng = self._numbers, self._random
        if slot.name == "number":
            low, high, *step = (int(key) for key in slot.keys)
            return numbers.whole(rng.randrange(low, high + 1, step[0] if step else 1), rng)
        if slot.name == "digits":
            return numbers.digits([rng.randrange(10) for _ in range(int(slot.keys[0]))], rng)
        if slot.name == "decimal":
            low_, high_, places = float(slot.keys[0]), float(slot.keys[1]), int(slot.keys[2])
            return numbers.decimal(f"{rng.uniform(low_, high_):.{places}f}", rng)
        return None

    def _pick(self, pool: _Pool) -> tuple[str, tuple[_Node, ...], str]:
        return self._random.choices(pool.items, cum_weights=pool.totals)[0]

    def _pool_of(self, slot: _Slot, region: str = "") -> _Pool:
        key = (slot.name, *slot.keys, "@", region)
        if key not in self._pools:
            self._pools[key] = _Pool([], [])  # for a slot that comes back to itself
            self._pools[key] = self._make_pool(slot, region)
        return self._pools[key]

    def _make_pool(self, slot: _Slot, region: str) -> _Pool:
        weighted = []
        slots = self._vocabulary.entries("slot")
        if slot.name in slots and not slot.keys:
            for pattern in slots[slot.name].say:
                nodes, weight = self._parse(pattern)
                if not self._missing(nodes):
                    weighted.append(((pattern, nodes, ""), weight))
            return _pool(weighted)
        for entry, form in self._entries(slot):
            phrases = getattr(entry, form, ())
            factor = 1.0
            if slot.name == "sign" and region:
                on = entry.on.get(region, ())  # type: ignore[attr-defined]
                for place, phrase in enumerate(on):
                    weighted.append((_plain(phrase, entry.id), SAID_ON * (place + 1) ** -FALLING / 2))
                usual = region in (*entry.usual, entry.home) or bool(on)  # type: ignore[attr-defined]
                factor = USUAL if usual else RARE
            for place, phrase in enumerate(phrases):
                if any(c.isalpha() for c in phrase):
                    weighted.append((_plain(phrase, entry.id), factor * (place + 1) ** -FALLING))
        return _pool(weighted)

    def _entries(self, slot: _Slot) -> Iterator[tuple[Entry, str]]:
        """The entries a slot such as {region:paired:plural} means, each with the list to take."""
        try:
            entries = self._vocabulary.entries(slot.name)
        except KeyError:
            return
        for entry in entries.values():
            form, fits = "say", True
            for key in slot.keys:
                if isinstance(getattr(entry, key, None), tuple):
                    form = key
                else:
                    fits = fits and _matches(entry, key)
            if fits:
                yield entry, form

    def _missing(self, nodes: Sequence[_Node]) -> list[str]:
        """The slots among the nodes that nothing can fill."""
        out: list[str] = []
        for node in nodes:
            if isinstance(node, _Choice):
                for option in node.options:
                    out += self._missing(option)
            elif isinstance(node, _Slot):
                if node.name in ("number", "digits", "decimal"):
                    known = self._numbers.complete
                else:
                    known = bool(self._pool_of(node).items)
                if not known:
                    out.append(":".join((node.name, *node.keys)))
        return out

    def _parse(self, pattern: str) -> tuple[tuple[_Node, ...], float]:
        if pattern not in self._parsed:
            text, weight = pattern, 1.0
            if (match := re.search(r"\s\*(\d+(?:\.\d+)?)$", pattern)) is not None:
                text, weight = pattern[: match.start()], float(match[1])
            self._parsed[pattern] = (_parse(text), weight)
        return self._parsed[pattern]


def make_sentences(vocabulary: Vocabulary, count: int, seed: int = 1) -> Iterator[list[str]]:
    """Yield every spoken phrase of the vocabulary once, then `count` made sentences, as lists of words."""
    for phrase in vocabulary.spoken_phrases():
        if words := tokens(phrase):
            yield words
    yield from SentenceMaker(vocabulary, seed).sentences(count)


def _plain(phrase: str, id_: str) -> tuple[str, tuple[_Node, ...], str]:
    return phrase, (_Word(tuple(tokens(phrase))),), id_


def _pool(weighted: list[tuple[tuple[str, tuple[_Node, ...], str], float]]) -> _Pool:
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


_PIECE = re.compile(r"\{[^{}]*\}|[\[\](|)]|[^\[\](|){}]+")


def _parse(text: str) -> tuple[_Node, ...]:
    pieces = _PIECE.findall(text)
    options, rest = _parse_options(pieces, 0, "")
    if rest != len(pieces):
        raise ValueError(f'brackets do not match in "{text}"')
    return options[0] if len(options) == 1 else (_Choice(options, False),)


def _parse_options(pieces: list[str], at: int, closing: str) -> tuple[tuple[tuple[_Node, ...], ...], int]:
    """The choices up to the closing bracket, and the place after it."""
    options: list[tuple[_Node, ...]] = []
    nodes: list[_Node] = []
    while at < len(pieces) and pieces[at] != closing:
        piece = pieces[at]
        at += 1
        if piece in "[(":
            inner, at = _parse_options(pieces, at, "]" if piece == "[" else ")")
            nodes.append(_Choice(inner, piece == "["))
            if at >= len(pieces) or pieces[at] not in "])":
                raise ValueError("a bracket is not closed")
            at += 1
        elif piece == "|":
            options.append(tuple(nodes))
            nodes = []
        elif piece[0] == "{":
            name, *keys = piece[1:-1].split(":")
            nodes.append(_Slot(name, tuple(keys)))
        elif piece in "])":
            raise ValueError("a bracket is closed that was not opened")
        elif words := tokens(piece):
            nodes.append(_Word(tuple(words)))
    options.append(tuple(nodes))
    return tuple(options), at
