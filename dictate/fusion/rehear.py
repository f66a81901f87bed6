"""Words sought anew by their sound: a noisy channel.

A recogniser that has never met "preen gland" writes what sounds like it ("m preen plant"). Its words are
turned back into sounds, and the likeliest words for them are sought. Three things count, each a cost (a
natural logarithm of odds), and the cheapest sum wins:

- sound: how seldom the recogniser writes this sound for that (confusions.toml, learned), less where it was
  itself in doubt;
- language: how seldom these words follow one another (the trigram model made from the lexicon);
- agreement: what is taken off for a word that another listener heard at the same time.

A word may always stay as it was written. A beam search over a tree of sounds finds the way through.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from dictate.fusion.written import Heard

__all__ = ["Choice", "Costs", "Rehearer", "SoundTree", "Weights"]

START, STOP = "<s>", "</s>"
ROOT = 0

Agreement = Callable[[str, float, float], float]
"""agree(word, start, end): how far (0..1) another listener heard that word between these seconds."""
Language = Callable[[str, str, str], float]
"""language(before, last, word): the cost of a word after two others."""

Key = tuple[int, str, str]  # where in the tree, and the last two words
Value = tuple[float, Any, int]  # cost, way so far, sound at which the word began
Layer = dict[Key, Value]


@dataclass(frozen=True, slots=True)
class Weights:
    """What counts how much; see weights.toml."""

    language: float
    unknown: float
    nonsense: float
    name: float
    pause: float
    guard: float
    agree: float
    doubt: float
    beam: float
    most: int


@dataclass(frozen=True, slots=True)
class Choice:
    """A word of the best way: its seconds, and whether it is the recogniser's own."""

    word: str
    start: float
    end: float
    kept: bool


@dataclass(frozen=True, slots=True)
class Costs:
    """`swap[written][meant]`: one sound for another (absent: never); `lost[meant]`: not written at all;
    `added[written]`: written where none was meant."""

    swap: Mapping[str, Mapping[str, float]]
    lost: Mapping[str, float]
    added: Mapping[str, float]


class SoundTree:
    """All words of the language as a tree of their sounds; `ahead` is the cost of the commonest word
    that can still come of a node."""

    def __init__(self, words: Mapping[str, Iterable[str]], cost: Callable[[str], float]) -> None:
        self.children: list[dict[str, int]] = [{}]
        self.words: list[list[str]] = [[]]
        for word, ways in words.items():
            for way in ways:
                node = ROOT
                for sound in way.split():
                    following = self.children[node].get(sound)
                    if following is None:
                        following = self.children[node][sound] = len(self.children)
                        self.children.append({})
                        self.words.append([])
                    node = following
                if word not in self.words[node]:
                    self.words[node].append(word)
        self.ahead = [0.0] * len(self.children)
        for node in range(len(self.children) - 1, ROOT, -1):
            here = min((cost(word) for word in self.words[node]), default=math.inf)
            self.ahead[node] = min([here, *(self.ahead[child] for child in self.children[node].values())])


class Rehearer:
    """Finds the likeliest words for what was heard. `known`: words that the language model has; `written`:
    further words that exist; `guarded`: pairs of words of which the second is dear unless it was
    written, for much hangs on them ("next bird")."""

    def __init__(
        self, tree: SoundTree, costs: Costs, language: Language, known: Callable[[str], bool],
        exists: Callable[[str], bool], weights: Weights, guarded: Iterable[tuple[str, str]] = (),
    ) -> None:
        self.tree, self.costs, self.weights = tree, costs, weights
        self._language, self._known, self._exists = language, known, exists
        self._guarded = frozenset(guarded)
        self._remembered: dict[tuple[str, str, str], float] = {}

    def cost(self, before: str, last: str, word: str) -> float:
        """What a word costs after two others."""
        key = (before, last, word)
        cost = self._remembered.get(key)
        if cost is None:
            if len(self._remembered) > 200_000:
                self._remembered.clear()
            cost = self.weights.language * self._language(before, last, word)
            if (last, word) in self._guarded:
                cost += self.weights.guard
            self._remembered[key] = cost
        return cost

    def as_written(self, item: Heard, before: str, last: str) -> tuple[float, str, str]:
        """What it costs to leave a word as it is, and the two words that are last then."""
        cost, w = 0.0, self.weights
        for word in item.spoken or (item.word,):
            if self._known(word):
                cost += self.cost(before, last, word) - (w.guard if (last, word) in self._guarded else 0.0)
            elif item.name:
                cost += w.name
            else:
                cost += w.unknown if item.spoken or self._exists(word) else w.nonsense
            before, last = last, word
        return cost, before, last

    def best(self, heard: Sequence[Heard], agree: Agreement | None = None) -> list[Choice]:
        """The cheapest words for a stretch of talk."""
        return _Search(self, heard, agree).run() if heard else []


class _Search:
    """One stretch of talk on its way through the tree, sound by sound."""

    def __init__(self, by: Rehearer, heard: Sequence[Heard], agree: Agreement | None) -> None:
        self.by, self.agree = by, agree
        self.sounds: list[str] = []
        self.scale: list[float] = []
        self.time: list[float] = []
        self.at: dict[int, tuple[Heard, int]] = {}  # first sound → the word written, the sound after it
        self.closed: set[int] = set()  # sounds of numbers, which no other word may take
        for item in heard:
            first, count = len(self.sounds), max(1, len(item.sounds))
            self.at[first] = item, first + count
            if item.spoken:
                self.closed.update(range(first, first + count))
            self.sounds += item.sounds or ("AH",)
            self.scale += [1.0 - by.weights.doubt * (1.0 - item.confidence)] * count
            self.time += [item.start + (item.end - item.start) * n / count for n in range(count)]
        self.time.append(heard[-1].end)
        self.layers: list[Layer] = [{} for _ in range(len(self.sounds) + 1)]
        self.limit = math.inf

    def run(self) -> list[Choice]:
        self.layers[0][ROOT, START, START] = (0.0, None, 0)
        last = len(self.sounds)
        for t in range(last + 1):
            layer = self.layers[t]
            if not layer:
                continue
            self.limit = min(value[0] for value in layer.values()) + self.by.weights.beam
            if t not in self.closed or t in self.at:
                self._ends_and_gaps(layer, t)
            if t == last:
                break
            if t in self.at and self.at[t][0].pause:
                self._pause(layer)
            kept = self._kept(layer)
            if t in self.at:
                self._as_written(kept, t)
            if t not in self.closed:
                self._go_on(kept, t)
            self.layers[t] = {}
        return self._way()

    def _put(self, layer: Layer, key: Key, value: Value, new: list[tuple[Key, Value]]) -> None:
        old = layer.get(key)
        if value[0] <= self.limit and (old is None or value[0] < old[0]):
            layer[key] = value
            new.append((key, value))

    def _ends_and_gaps(self, layer: Layer, t: int) -> None:
        """Words that end here, and up to two sounds that were meant and not written."""
        entries = list(layer.items())
        new = self._ends(layer, entries, t)
        for _ in range(2):
            entries = self._gaps(layer, [*entries, *new], t)
            new = self._ends(layer, entries, t)

    def _ends(self, layer: Layer, entries: list[tuple[Key, Value]], t: int) -> list[tuple[Key, Value]]:
        new: list[tuple[Key, Value]] = []
        tree, w = self.by.tree, self.by.weights
        for (node, before, last), (cost, way, first) in entries:
            if node == ROOT:
                continue
            for word in tree.words[node]:
                total = cost - w.language * tree.ahead[node] + self.by.cost(before, last, word)
                if self.agree is not None:
                    total -= w.agree * self.agree(word, self.time[first], self.time[t])
                self._put(layer, (ROOT, last, word), (total, (way, word, first, t, False), t), new)
        return new

    def _gaps(self, layer: Layer, entries: list[tuple[Key, Value]], t: int) -> list[tuple[Key, Value]]:
        new: list[tuple[Key, Value]] = []
        tree, lost, language = self.by.tree, self.by.costs.lost, self.by.weights.language
        for (node, before, last), (cost, way, first) in entries:
            if self.limit - cost < 1.5:
                continue
            for sound, child in tree.children[node].items():
                total = cost + lost[sound] + language * (tree.ahead[child] - tree.ahead[node])
                if total <= self.limit:
                    self._put(layer, (child, before, last), (total, way, first if node != ROOT else t), new)
        return new

    def _pause(self, layer: Layer) -> None:
        """At a pause a sentence may end and another begin."""
        for (node, before, last), (cost, way, first) in list(layer.items()):
            if node == ROOT and last != START:
                total = cost + min(self.by.weights.pause, self.by.cost(before, last, STOP))
                self._put(layer, (ROOT, START, START), (total, way, first), [])

    def _kept(self, layer: Layer) -> list[tuple[Key, Value]]:
        limit = min(value[0] for value in layer.values()) + self.by.weights.beam
        kept = [item for item in layer.items() if item[1][0] <= limit]
        if len(kept) > self.by.weights.most:
            kept.sort(key=lambda item: item[1][0])
            del kept[self.by.weights.most :]
        self.limit = limit
        return kept

    def _as_written(self, kept: list[tuple[Key, Value]], t: int) -> None:
        """The word that was written here stays."""
        item, end = self.at[t]
        target, bonus = self.layers[end], 0.0
        if self.agree is not None:
            bonus = self.by.weights.agree * self.agree(item.word, self.time[t], self.time[end])
        for (node, before, last), (cost, way, _) in kept:
            if node == ROOT:
                more, before_, last_ = self.by.as_written(item, before, last)
                total, key = cost + more - bonus, (ROOT, before_, last_)
                if key not in target or total < target[key][0]:
                    target[key] = (total, (way, item.word, t, end, True), end)

    def _go_on(self, kept: list[tuple[Key, Value]], t: int) -> None:
        """One sound further: written for itself, for another, or for none."""
        tree, limit, language = self.by.tree, self.limit, self.by.weights.language
        target, scale = self.layers[t + 1], self.scale[t]
        swap = self.by.costs.swap[self.sounds[t]]
        added = self.by.costs.added[self.sounds[t]] * scale
        for (node, before, last), (cost, way, first) in kept:
            total = cost + added
            if total <= limit:
                key = (node, before, last)
                if key not in target or total < target[key][0]:
                    target[key] = (total, way, first if node != ROOT else t + 1)
            children, here = tree.children[node], cost - language * tree.ahead[node]
            begun = first if node != ROOT else t
            for sound in children if len(children) < len(swap) else swap:
                price, child = swap.get(sound), children.get(sound)
                if price is None or child is None:
                    continue
                total = here + price * scale + language * tree.ahead[child]
                if total > limit:
                    continue
                key = (child, before, last)
                if key not in target or total < target[key][0]:
                    target[key] = (total, way, begun)

    def _way(self) -> list[Choice]:
        done = [value for (node, _, _), value in self.layers[-1].items() if node == ROOT]
        out: list[Choice] = []
        way = min(done, key=lambda value: value[0])[1] if done else None
        while way is not None:
            way, word, first, end, kept = way
            out.append(Choice(word, self.time[first], self.time[end], kept))
        return out[::-1]
