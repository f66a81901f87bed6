"""Numbers as they are said and written: values, and digit strings for bands.

A run of number words may be said in several ways: as a cardinal (two thousand one hundred), digit by
digit (one oh seven, double four), in pairs (nineteen fifty; two twelve), with a point (one point eight
five). `read` gives the value and, for bands, the string of digits. A run that is no one number is cut
where it stops being one: "four two thousand and twenty" is 4 and 2020. Checked against num2words in
the tests.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from dictate.vocabulary.entries import NumberWord

__all__ = ["Number", "NumberReader"]

SMALL = frozenset({"unit", "teen", "ten"})
VULGAR = {"½": 0.5, "¼": 0.25, "¾": 0.75}
WRITTEN = {("1", "2"): 0.5, ("1", "4"): 0.25, ("3", "4"): 0.75}
HALVES: dict[tuple[str, ...], float] = {
    ("and", "a", "half"): 0.5,
    ("and", "a", "quarter"): 0.25,
    ("and", "three", "quarters"): 0.75,
    ("and", "three", "quarter"): 0.75,
}
NOUGHT = "oh"
SAYS_OH = frozenset(  # "blue four one, oh she's a screamer"
    "she he she's he's look dear no my that it you i and well there what this bless come god lord yes but her "
    "his".split()
)
ORPHANS = frozenset({NOUGHT, "tree", "hundreds"})  # "oh" and "tree" begin no number by themselves


@dataclass(frozen=True, slots=True)
class Number:
    """A number in tokens start..end. `digits` is what a band would carry ("107"); `value` its size.

    `spelled`: said digit by digit. `bare_one`: the single word "one", which is often a pronoun.
    `several`: a word for a vague or broken number (a couple, half). `cuts`: where the number could be
    cut in two (token, characters of `digits` before it), for a band and a weight said in one breath."""

    value: float
    digits: str
    start: int
    end: int
    spelled: bool = False
    bare_one: bool = False
    several: bool = False
    cuts: tuple[tuple[int, int], ...] = ()


@dataclass(slots=True)
class _Group:
    """A piece of a spoken number: its size, first token, and whether hundred has been folded in."""

    value: int
    start: int
    paired: bool = False  # 10..99 said as one
    scaled: bool = False


class NumberReader:
    """Reads numbers from token words; built from the lexicon's number entries."""

    def __init__(self, entries: Mapping[str, NumberWord]) -> None:
        self.words: dict[str, NumberWord] = {}
        for entry in entries.values():
            for say in entry.say:
                if " " not in say:
                    self.words[say.lower()] = entry
        self.several: dict[tuple[str, ...], float] = {
            tuple(say.lower().split()): entry.value
            for entry in entries.values()
            if entry.role in ("several", "fraction")
            for say in entry.say
        }
        self.starts = {key[0] for key in self.several}
        self.may_start = {"a", *self.starts, *self.words}

    def _role(self, word: str) -> str:
        entry = self.words.get(word)
        return entry.role if entry else ""

    def read(self, words: Sequence[str], at: int) -> Number | None:
        """The longest number that starts at token `at`, or None."""
        word = words[at]
        first = word[0]
        if word not in self.may_start and not (first.isdecimal() or first == "."):
            return None
        if first.isdecimal() or (first == "." and len(word) > 1 and word[1:].isdecimal()):
            return self._written(words, at)
        if word in self.starts:
            for size in (4, 3, 2, 1):
                key = tuple(words[at : at + size])
                if len(key) == size and key in self.several:
                    return Number(self.several[key], "", at, at + size, several=True)
        role, follower = self._role(word), words[at + 1] if at + 1 < len(words) else ""
        if word == "a" and self._role(follower) in ("hundred", "thousand") and follower not in ORPHANS:
            return self._spoken(words, at)
        if role in ("hundred", "thousand") and word not in ORPHANS and at and words[at - 1] == "a":
            return self._spoken(words, at)
        if role == "point" and self._role(follower) in SMALL:
            decimals, stop = self._decimals(words, at + 1)
            return Number(float(f"0.{decimals}"), f"0.{decimals}", at, stop)
        if role == "repeat" and self._role(follower) == "unit":
            return self._spoken(words, at)
        if role not in SMALL:
            return None
        if word in ORPHANS and not (word == NOUGHT and self._digits(words, at + 1) > 1):
            return None
        return self._spoken(words, at)

    def _digits(self, words: Sequence[str], at: int) -> int:
        """How many single digits follow from `at`, at most two ("oh one six" begins a number, "oh one" does not)."""
        follow = [w for w in words[at : at + 2] if self._role(w) == "unit" and w not in ORPHANS]
        return len(follow)

    def _written(self, words: Sequence[str], at: int) -> Number | None:
        word = words[at]
        if "/" in word or "-" in word:
            return None
        value = float(word.replace(",", ""))
        end = at + 1
        after = tuple(words[end : end + 3])
        if after[:1] and after[0] in VULGAR:
            value, end = value + VULGAR[after[0]], end + 1
        elif len(after) == 3 and after[1] == "/" and (after[0], after[2]) in WRITTEN and "." not in word:
            value, end = value + WRITTEN[after[0], after[2]], end + 3
        elif after in HALVES:
            value, end = value + HALVES[after], end + 3
        elif after[:1] and self._role(after[0]) in ("hundred", "thousand") and after[0] not in ORPHANS:
            value, end = value * (self.words[after[0]].value), end + 1
            return Number(value, f"{value:g}", at, end)
        return Number(value, word.replace(",", "") if end == at + 1 else "", at, end)

    def _spoken(self, words: Sequence[str], at: int) -> Number:
        groups, total, end = self._groups(words, at)
        cuts = () if total else _cuts(groups)
        value, digits = _join(groups, total)
        scaled = bool(total) or any(group.scaled for group in groups)
        size = len(words)
        if end < size and self._role(words[end]) == "point":
            decimals, stop = self._decimals(words, end + 1)
            if decimals:
                return Number(float(f"{int(value)}.{decimals}"), f"{int(value)}.{decimals}", at, stop, cuts=cuts)
        half = HALVES.get(tuple(words[end : end + 3]))
        if half:
            return Number(value + half, "", at, end + 3)
        many = end - at > 1
        spelled = many and not scaled and not any(group.paired for group in groups)
        return Number(value, digits, at, end, spelled, bare_one=words[at] == "one" and not many, cuts=cuts)

    def _groups(self, words: Sequence[str], at: int) -> tuple[list[_Group], int, int]:
        """The groups below one thousand, the thousands before them, and the end token."""
        groups: list[_Group] = []
        total, last = 0, ""  # last: what the last word was
        i, size, end = at, len(words), at
        while i < size:
            word = words[i]
            entry = self.words.get(word)
            role = entry.role if entry else ""
            if last == "" and role in ("hundred", "thousand"):
                groups.append(_Group(1, i))  # a | hundred, the "a" in a phrase before
                last = "unit"
            if last == "" and word == "a":
                groups.append(_Group(1, i))
                last, i = "unit", i + 1
                continue
            value = int(entry.value) if entry and role in SMALL else 0
            after_scale = last in ("hundred", "thousand")
            if role == "repeat" and not after_scale and i + 1 < size and self._role(words[i + 1]) == "unit":
                times = int(entry.value) if entry else 0
                digit = int(self.words[words[i + 1]].value)
                groups += [_Group(digit, i) for _ in range(times)]
                last, i = "unit", i + 2
                end = i
                continue
            if role == "unit" and last == "ten" and value:
                groups[-1].value += value
                last = "done"
            elif role in SMALL and after_scale and value:
                if last == "hundred":
                    groups[-1].value += value
                    last = "ten" if role == "ten" else "done"
                else:
                    groups.append(_Group(value, i, role != "unit"))
                    last = role
            elif role in SMALL and not total and not (groups and groups[-1].scaled):
                digits = len(groups) > 2 and not any(group.paired for group in groups)
                follow = words[i + 1] if i + 1 < size else ""
                if (
                    word in ORPHANS
                    and not value
                    and not digits
                    and self._role(follow) not in SMALL
                    and not (len(groups) > 1 and not any(g.paired for g in groups) and follow not in SAYS_OH)
                ):
                    break
                groups.append(_Group(value, i, role != "unit"))
                last = "ten" if role == "ten" else "done" if role == "teen" else "unit"
            elif role == "hundred" and groups and not groups[-1].scaled and last != "thousand":
                if len(groups) > 1:
                    return _cut(groups, total)
                groups[-1].value *= 100
                groups[-1].scaled = True
                last = "hundred"
            elif role == "thousand" and groups and not total and last != "thousand":
                if len(groups) > 1:
                    return _cut(groups, total)
                total, groups = groups[0].value * 1000, []
                last = "thousand"
            elif (
                word == "and"
                and after_scale
                and i + 1 < size
                and self._role(words[i + 1]) in SMALL
                and words[i + 1] not in ORPHANS
            ):
                i += 1
                continue
            else:
                break
            i += 1
            end = i
        return groups, total, end

    def _decimals(self, words: Sequence[str], at: int) -> tuple[str, int]:
        out, i = "", at
        last = ""
        while i < len(words):
            entry = self.words.get(words[i])
            if entry is None or entry.role not in SMALL:
                break
            if entry.role == "unit" and last == "ten" and entry.value:
                out = out[:-1] + str(int(entry.value))
                last = "done"
            else:
                out += str(int(entry.value))
                last = entry.role
            i += 1
        return out, i


def _cut(groups: list[_Group], total: int) -> tuple[list[_Group], int, int]:
    """The last group begins a number of its own: yellow four | two thousand and twenty."""
    return groups[:-1], total, groups[-1].start


def _cuts(groups: list[_Group]) -> tuple[tuple[int, int], ...]:
    out, before = [], len(str(groups[0].value)) if groups else 0
    for group in groups[1:]:
        out.append((group.start, before))
        before += len(str(group.value))
    return tuple(out)


def _join(groups: list[_Group], total: int) -> tuple[float, str]:
    """One value from the groups: 2|12 → 212, 1|0|7 → 107, 19|50 → 1950; sums where a scale was said."""
    if total or any(group.scaled for group in groups):
        value = total + sum(group.value for group in groups)
        return float(value), str(value)
    digits = "".join(str(group.value) for group in groups)
    return float(digits), digits
