"""Numbers as they are said, in the lexicon's own number words."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dictate.vocabulary.entries import NumberWord

__all__ = ["NumberSpeller"]

AND = 0.6  # how often "and" is said after the hundreds
# How often a second way of saying a digit is taken: oh for zero is common, niner for nine is not.
OH, OTHER = 0.4, 0.03


class NumberSpeller:
    """Spells numbers with the words of the lexicon's number entries."""

    def __init__(self, entries: Iterable[NumberWord]) -> None:
        self._small: dict[int, tuple[str, ...]] = {}
        self._scale: dict[str, str] = {}
        for entry in entries:
            words = tuple(w for w in entry.say if w.replace(" ", "").isalpha())
            if not words:
                continue
            if entry.role in ("unit", "teen", "ten"):
                self._small.setdefault(int(entry.value), words)
            elif entry.role in ("hundred", "thousand", "point"):
                self._scale.setdefault(entry.role, words[0])

    @property
    def complete(self) -> bool:
        """Whether there are words for every number from 0 to 9999."""
        needed = {*range(20), *range(20, 100, 10)}
        return needed <= set(self._small) and {"hundred", "thousand", "point"} <= set(self._scale)

    def _digit(self, digit: int, rng: random.Random) -> str:
        words = self._small[digit]
        often = OTHER if digit else OH
        return words[1] if len(words) > 1 and rng.random() < often else words[0]

    def whole(self, number: int, rng: random.Random) -> list[str]:
        """A number from 0 to 999 999: four hundred and eighteen."""
        if number < 20:
            return self._small[number][0].split()
        if number < 100:
            tens, ones = divmod(number, 10)
            return [self._small[tens * 10][0], *([self._small[ones][0]] if ones else [])]
        size, scale = (1000, "thousand") if number >= 1000 else (100, "hundred")
        head, tail = divmod(number, size)
        words = [*self.whole(head, rng), self._scale[scale]]
        if tail:
            if tail < 100 and rng.random() < AND:
                words.append("and")
            words += self.whole(tail, rng)
        return words

    def digits(self, digits: Sequence[int], rng: random.Random) -> list[str]:
        """Digit by digit: one oh seven."""
        return [self._digit(digit, rng) for digit in digits]

    def decimal(self, written: str, rng: random.Random) -> list[str]:
        """A decimal number written with a point: one point eight five."""
        whole, _, part = written.partition(".")
        words = self.whole(int(whole), rng)
        part = part.rstrip("0")
        return [*words, self._scale["point"], *self.digits([int(d) for d in part], rng)] if part else words
