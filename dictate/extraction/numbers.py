"""Numbers as they are said and written: values, and digit strings for bands.

A run of number words may be said in several ways: as a cardinal (two thousand one hundred), digit by
digit (one oh seven), in pairs (nineteen fifty; two twelve), with a point (one point eight five).
`read` gives the value and, for bands, the string of digits. Checked against num2words in the tests.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from dictate.vocabulary.entries import NumberWord

__all__ = ["Number", "NumberReader"]


@dataclass(frozen=True, slots=True)
class Number:
    """A number in tokens start..end. `digits` is what a band would carry ("107"); `value` its size.

    `spelled`: said digit by digit. `bare_one`: the single word "one", which is often a pronoun."""

    value: float
    digits: str
    start: int
    end: int
    spelled: bool = False
    bare_one: bool = False
    several: bool = False


class NumberReader:
    """Reads numbers from token words; built from the lexicon's number entries."""

    def __init__(self, entries: Mapping[str, NumberWord]) -> None:
        self.words: dict[str, NumberWord] = {}
        for entry in entries.values():
            for say in entry.say:
                if " " not in say:
                    self.words[say.lower()] = entry
        self.several = {
            tuple(say.lower().split()): entry.value
            for entry in entries.values() if entry.role in ("several", "fraction")
            for say in entry.say
        }
        self.starts = {key[0] for key in self.several}

    def read(self, words: Sequence[str], at: int) -> Number | None:
        """The longest number that starts at token `at`, or None."""
        word = words[at]
        first = word[0]
        if first.isdigit() or (first == "." and len(word) > 1):
            return self._written(words, at)
        if word in self.starts:
            for size in (4, 3, 2, 1):
                key = tuple(words[at : at + size])
                if len(key) == size and key in self.several:
                    return Number(self.several[key], "", at, at + size, several=True)
        entry = self.words.get(word)
        if entry is None or entry.role in ("point", "fraction", "several"):
            return None
        if word in ("oh", "hundred", "thousand", "hundreds", "tree"):
            return None
        return self._spoken(words, at)

    def _written(self, words: Sequence[str], at: int) -> Number | None:
        word = words[at]
        if "/" in word or "-" in word:
            return None
        value = float(word.replace(",", ""))
        end = at + 1
        if end < len(words) and words[end] in ("½", "¼", "¾"):
            value += {"½": 0.5, "¼": 0.25, "¾": 0.75}[words[end]]
            end += 1
        elif words[end : end + 3] == ["and", "a", "half"]:
            value, end = value + 0.5, end + 3
        return Number(value, word.replace(",", ""), at, end)

    def _spoken(self, words: Sequence[str], at: int) -> Number:
        groups: list[int] = []  # the numbers below one hundred, hundreds folded in, in speech order
        spelled = True
        total, current, used_scale = 0, -1, False
        i, size, last_role = at, len(words), ""
        end = at
        while i < size:
            entry = self.words.get(words[i])
            role = entry.role if entry else ""
            if role == "unit" and (words[i] != "oh" or last_role in ("unit", "ten", "teen", "hundred")):
                value = int(entry.value) if entry else 0
                if last_role == "ten" and value:
                    groups[-1] += value
                    last_role = "done"
                else:
                    groups.append(value)
                    last_role = "unit"
            elif role in ("teen", "ten") and entry:
                groups.append(int(entry.value))
                spelled = False
                last_role = "ten" if role == "ten" else "done"
            elif role == "hundred" and last_role in ("unit", "ten", "done", "teen"):
                groups[-1] *= 100
                spelled, used_scale = False, True
                last_role = "hundred"
            elif role == "thousand" and last_role in ("unit", "ten", "done", "hundred"):
                total += sum(groups) * 1000
                groups, spelled, used_scale = [], False, True
                last_role = "thousand"
            elif words[i] == "and" and last_role in ("hundred", "thousand") and i + 1 < size:
                follower = self.words.get(words[i + 1])
                if follower is None or follower.role not in ("unit", "teen", "ten"):
                    break
                i += 1
                continue
            else:
                break
            i += 1
            end = i
        value, digits = self._join(groups, total, used_scale)
        if end < size and words[end] == "point" and not (used_scale and total):
            decimals, stop = self._decimals(words, end + 1)
            if decimals:
                return Number(float(f"{int(value)}.{decimals}"), f"{int(value)}.{decimals}", at, stop)
        if list(words[end : end + 3]) == ["and", "a", "half"]:
            return Number(value + 0.5, digits, at, end + 3)
        if list(words[end : end + 3]) == ["and", "a", "quarter"]:
            return Number(value + 0.25, digits, at, end + 3)
        if list(words[end : end + 3]) == ["and", "three", "quarters"]:
            return Number(value + 0.75, digits, at, end + 3)
        many = end - at > 1
        return Number(value, digits, at, end, spelled and many, bare_one=words[at] == "one" and not many)

    @staticmethod
    def _join(groups: list[int], total: int, used_scale: bool) -> tuple[float, str]:
        """One value from the groups: 20|100 → 2100 and 19|50 → 1950, 2|12 → 212, 1|0|7 → 107."""
        if used_scale:
            value = total
            for group in groups:
                value += group
            return float(value), str(value)
        digits = "".join(str(group) for group in groups)
        if not digits:
            return float(total), str(total)
        return float(digits), digits

    def _decimals(self, words: Sequence[str], at: int) -> tuple[str, int]:
        out, i = "", at
        last = ""
        while i < len(words):
            entry = self.words.get(words[i])
            if entry is None or entry.role not in ("unit", "teen", "ten"):
                break
            if entry.role == "unit" and last == "ten" and entry.value:
                out = out[:-1] + str(int(entry.value))
                last = "done"
            else:
                out += str(int(entry.value))
                last = entry.role
            i += 1
        return out, i
