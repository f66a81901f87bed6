"""Bands: colour, letter or band word and digits, in every way they are said and written.

blue 42, blue band forty two, a black ring with a twelve on it, number 63, bravo double four, W-118,
white, one, one, eight. A number with a unit, an age or a count is no band.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from dictate.extraction.english import COPULAS
from dictate.extraction.numbers import Number
from dictate.extraction.units import Unit, unit_at
from dictate.model import Span
from dictate.vocabulary import Vocabulary

__all__ = ["Band", "BandReader"]

BETWEEN = frozenset(
    "is : . = 's with a the on number reads reading says , she he wears wearing her his left right leg of "
    "marked and it has got".split()
)
AFTER_WORD = frozenset(
    "with | a | the | , | reading | marked | it | has | got | says | that | is | 's | : | her | his | "
    "on her | on his".split(" | ")
)
SIDE_LETTERS = frozenset("lrtdgcfwq")  # letters that also stand for sides, grams, days … in notes
NO_LETTER = frozenset("xai")
LONGEST_ROW = 40  # bands in one row
LONGEST = 4  # digits of a band; more are a band and something else said in one breath
BAND_WORDS = frozenset("no id ring band tag nr".split())
BEFORE_COLOUR = frozenset("a the on left right and".split())
BEFORE_LETTER = frozenset(", - : & and is 's to + (".split())
QUANTITIES = frozenset("in, c, f, l, #, a minute".split(", "))
AFTER_MARK = frozenset("she he has and first next".split())
LISTED = frozenset(", and & + to -".split())


@dataclass(slots=True)
class Band:
    """The mark in record form, the units start..end it took, and whether a band word was said."""

    mark: str
    start: int
    end: int
    worded: bool = False


class BandReader:
    """Reads bands with the lexicon's colours, letters and band words."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.roles = {entry.id: entry.role for entry in vocabulary.birds.values()}
        self.table = vocabulary.units
        self.heaviest = vocabulary.measures["weight"].high

    def role(self, unit: Unit, role: str) -> str:
        """The id of the bird word of that role, or nothing."""
        return unit.role(role, self.roles) if unit.birds else ""

    def read(self, units: list[Unit], i: int, text: str) -> Band | None:
        """The band that starts at unit i, or None. May cut a number in two (the list changes)."""
        if i >= len(units) or units[i].used:
            return None
        unit = units[i]
        if not unit.birds and len(unit.low) > 2:
            return None
        if self.role(unit, "colour") or self.role(unit, "letter"):
            return self._marked(units, i, text, worded=False)
        if self._single_letter(units, i, text):
            return Band(f"{unit.low[0]} {digits_of(units[i + 1])}", i, i + 2)
        if self.role(unit, "band") or self.role(unit, "bird"):
            return self._worded(units, i, text)
        if self.role(unit, "sex") and i + 1 < len(units) and not unit.low.endswith("s"):
            after = units[i + 1]
            if any(u.used == "bird" for u in units[max(0, i - 2) : i]):
                return None
            if after.number or (self.role(after, "band") and i + 2 < len(units) and units[i + 2].number):
                return self._worded(units, i, text)
        return None

    # -- the ways

    def _marked(self, units: list[Unit], i: int, text: str, worded: bool) -> Band | None:
        """colour or letter [band words] digits"""
        unit = units[i]
        colour, letter = self.role(unit, "colour"), self.role(unit, "letter")
        if letter and i and units[i - 1].number and unit.unit:
            return None
        if unit.low == "or" and not (text[unit.span.start] == "O" and (i == 0 or units[i - 1].kind == "newline")):
            return None  # short for orange only where it cannot be the word
        mark = colour or letter.lower()
        j = i + 1
        while j < len(units) and j <= i + 6:
            low = units[j].low
            if self.role(units[j], "band") and low not in ("no", "nb"):
                worded = True
            elif low in ("on", "number") or (worded and low in AFTER_WORD):
                pass
            elif (
                low == "."
                and j == i + 1
                and unit.low != mark
                and j + 1 < len(units)
                and (units[j + 1].number or self.role(units[j + 1], "band"))
            ):
                pass  # wh. 40, wh. ring 40
            elif low == "," and j + 1 < len(units) and self.role(units[j + 1], "band") and units[j + 1].low != "no":
                pass  # red, number 2
            else:
                break
            j += 1
        if j >= len(units) or not units[j].number or (j > i + 1 and units[j - 1].low == "," and not worded):
            return None
        digits, end = self.digits(units, j, worded, marked=not (i and units[i - 1].region))
        if not digits or self._coloured_part(units, i, j, end):
            return None
        end = self._said_again(units, end, mark, digits)
        if worded and [u.low for u in units[end : end + 2]] == ["on", "it"]:
            end += 2
        return Band(f"{mark} {digits}", i, end, worded)

    def _coloured_part(self, units: list[Unit], i: int, j: int, end: int) -> bool:
        """"comb red two scabs": the colour is said of a region and the number counts something."""
        after = unit_at(units, end)
        before = unit_at(units, i - 1)
        if after is None or before is None or j > i + 1:
            return False
        counted = bool(after.signs or after.low in ("points", "of"))
        return counted and (bool(before.region) or before.low in COPULAS or bool(before.grade))

    def _worded(self, units: list[Unit], i: int, text: str) -> Band | None:
        """band word, bird or hen, [links] then a marked band or bare digits"""
        unit = units[i]
        j, band_word = i + 1, bool(self.role(unit, "band"))
        short = unit.low in BAND_WORDS
        linked = False
        while (
            j < len(units)
            and j <= i + 7
            and (
                self.role(units[j], "band")
                or (band_word and units[j].low in BETWEEN)
                or units[j].low in (":", "=", ".", "is", "number")
            )
        ):
            if units[j].low == "." and unit.low not in ("no", "nr"):
                return None
            band_word = band_word or bool(self.role(units[j], "band"))
            linked = True
            j += 1
        if j >= len(units) or units[j].used:
            return None
        if unit.low == "no" and not (linked and units[i + 1].low == "."):
            return None
        if band_word and (self.role(units[j], "colour") or self.role(units[j], "letter")):
            nested = self._marked(units, j, text, worded=True)
            if nested:
                nested.start = i
                return nested
        if band_word and self._single_letter(units, j, text, worded=True):
            return Band(f"{units[j].low[0]} {digits_of(units[j + 1])}", i, j + 2, True)
        number = units[j].number
        if number is None or (short and linked and units[j - 1].low in BEFORE_COLOUR):
            return None
        if self.role(unit, "sex") and (number.bare_one or any(self.role(u, "no-band") for u in units[j + 1 : j + 4])):
            return None
        digits, end = self.digits(units, j, band_word)
        if not digits:
            return None
        after = unit_at(units, end)
        if (
            band_word
            and after is not None
            and self.role(after, "colour")
            and (
                end + 1 == len(units)
                or units[end + 1].hard
                or units[end + 1].low == ","
                or self.role(units[end + 1], "band")
                or self.role(units[end + 1], "sex")
            )
        ):
            return Band(f"{self.role(after, 'colour')} {digits}", i, end + 1, True)
        suffix = unit_at(units, end)
        if (
            band_word
            and suffix is not None
            and suffix.kind == "word"
            and len(suffix.low) == 1
            and (text[units[end - 1].span.end : suffix.span.start] in ("", "-"))
        ):
            return Band(f"{digits} {suffix.low}", i, end + 1, True)  # 42-B
        return Band(digits, i, self._said_again(units, end, "", digits), band_word)

    def _single_letter(self, units: list[Unit], i: int, text: str, worded: bool = False) -> bool:
        """Y17, W-118, B 12: a letter written to its number."""
        unit = units[i]
        single = unit.low.rstrip(".")
        if len(single) != 1 or not single.isalpha() or single in NO_LETTER or i + 1 >= len(units):
            return False
        follower = units[i + 1]
        if follower.number is None or not follower.low.isdigit() or not self.is_digits(units, i + 1, worded=False):
            return False
        between = text[unit.span.end : follower.span.start]
        if between not in ("", "-", " ") or (between == " " and not text[unit.span.start].isupper()):
            return False
        before = unit_at(units, i - 1)
        opening = before is None or before.hard or before.low in BEFORE_LETTER
        if worded or any(u.used == "bird" and u.low == single for u in units[max(0, i - 200) : i]):
            return True  # the letter has begun a band before
        third = unit_at(units, i + 2)
        if text[unit.span.start].isupper() and between == "" and third is not None and self.role(third, "sex"):
            return True
        if single in SIDE_LETTERS:
            return between == "-" or (
                opening and between == "" and (before is None or before.low not in (",", "-", "&"))
            )
        return between != " " or opening

    # -- digits

    def is_digits(self, units: list[Unit], j: int, worded: bool) -> bool:
        """May the number at j be a band's? Not with a unit, an age, a count or a point."""
        number = units[j].number
        if number is None or number.several or not number.digits or "." in number.digits:
            return False
        after = unit_at(units, j + 1)
        if after is None:
            return True
        tight = after.span.start - units[j].span.end <= 1
        if after.unit and tight and after.low not in QUANTITIES:
            return False
        follow = unit_at(units, j + 2)
        if len(after.low) == 1 and follow is not None and follow.number and follow.span.start == after.span.end:
            return True  # W1-W5
        if (after.delay and tight and not after.gap) or (after.measures and "age" in after.measures):
            return False
        if after.low in ("points", "%", "point", "of them", "of") or (
            after.low == "/" and j + 2 < len(units) and units[j + 2].number
        ):
            return False
        return not (
            number.bare_one
            and not worded
            and not (
                after.kind in ("punct", "newline", "number")
                or after.gap
                or self.role(after, "sex")
                or after.region
                or after.low in COPULAS
                or after.low in AFTER_MARK
                or any(self.roles[m.id] in ("sex", "no-band", "breed", "next") for m in after.birds)
            )
        )

    def digits(self, units: list[Unit], j: int, worded: bool, marked: bool = False) -> tuple[str, int]:
        """The digit string from unit j and its end; cuts what is too long for a band."""
        number = units[j].number
        assert number is not None
        if number.cuts and ("." in number.digits or len(number.digits) > LONGEST or self._measured(units, j, marked)):
            _cut(units, j)
            number = units[j].number
            assert number is not None
        if not self.is_digits(units, j, worded):
            return "", j
        half = len(number.digits) // 2
        if number.cuts and not number.spelled and half and number.digits[:half] == number.digits[half:] and half == 2:
            return number.digits[:half], j + 1  # sixty three, sixty three
        digits, end = digits_of(units[j]), j + 1
        single = len(digits) == 1
        while single and end < len(units):
            k = end + (units[end].low == "," and units[j].low.isalpha())
            other = units[k].number if k < len(units) else None
            if (
                other is None
                or len(other.digits) != 1
                or not self.is_digits(units, k, worded)
                or (k + 1 < len(units) and (units[k + 1].unit or units[k + 1].signs))
            ):
                break
            digits, end = digits + other.digits, k + 1
        return digits, end

    # -- lists

    def listed(self, units: list[Unit], at: int, mark: str) -> Band | None:
        """The next of a list of bands: blue 4, 5 and 6; 12 & 14."""
        j, joined = at, False
        while j < len(units) and j < at + 2 and units[j].low in LISTED:
            j, joined = j + 1, True
        number = units[j].number if joined and j < len(units) and not units[j].used else None
        if (
            number is None
            or number.bare_one
            or not self.is_digits(units, j, False)
            or len(digits_of(units[j])) > LONGEST
        ):
            return None
        after = unit_at(units, j + 1)
        if after is not None and (
            after.measures
            or (after.signs and after.low.endswith("s") and after.kind == "word" and not after.is_cue("rest"))
        ):
            return None
        kind = mark.rpartition(" ")[0]
        digits = digits_of(units[j])
        return Band(f"{kind} {digits}" if kind else digits, j, j + 1)

    def between(self, units: list[Unit], at: int, mark: str, text: str) -> list[str]:
        """The bands inside "4 to 7" where the whole row is spoken of ("Red 4 to 7 all fine", "W1-W5 NAD")."""
        kind, _, digits = mark.rpartition(" ")
        if at >= len(units) or not digits.isdigit():
            return []
        joined = units[at].low in ("to", "-", "through", "thru")
        if not joined and text[units[at - 1].span.end : units[at].span.start] != "-":
            return []
        k = at + joined
        while k < len(units) and k < at + 3 and not units[k].number:
            k += 1
        number = units[k].number if k < len(units) else None
        if number is None or not number.digits.isdigit() or not 1 < int(number.digits) - int(digits) <= LONGEST_ROW:
            return []
        if not any(
            u.low.partition(" ")[0] in ("all", "both", "each", "none", "every") or u.is_cue("rest")
            for u in units[k + 1 : k + 4]
        ):
            return []
        return [f"{kind} {n}" if kind else str(n) for n in range(int(digits) + 1, int(number.digits))]

    def _measured(self, units: list[Unit], j: int, marked: bool) -> bool:
        """The last part of the number has a unit: yellow five | sixteen forty grams."""
        number = units[j].number
        after = unit_at(units, j + 1)
        if number is not None and len(number.cuts) == 1 and after is not None and after.unit:
            return marked or self._too_much(number.value, after)
        return (
            number is not None
            and len(number.cuts) > 1
            and not number.spelled
            and after is not None
            and bool((after.unit or after.delay) and after.span.start - units[j].span.end <= 1)
        )

    def _too_much(self, value: float, unit: Unit) -> bool:
        """No bird weighs that: "blue one nine pounds" is band 1 and nine pounds."""
        entry = self.table[unit.unit[0]]
        return entry.quantity == "mass" and value * entry.factor > self.heaviest

    def _said_again(self, units: list[Unit], j: int, mark: str, digits: str) -> int:
        """The end of a band that is said again at once: yellow seventeen yellow one seven."""
        k = j
        while k < len(units) and units[k].low in (",", "that", "'s", "so", "-"):
            k += 1
        if k < len(units) and mark and (self.role(units[k], "colour") or self.role(units[k], "letter")).lower() == mark:
            k += 1
            if k < len(units) and self.role(units[k], "band"):
                k += 1
        if not (k < len(units) and units[k].number) or not self.is_digits(units, k, worded=True):
            return j
        return k + 1 if digits_of(units[k]) == digits else j


def digits_of(unit: Unit) -> str:
    """What a band carries for this number: "107"; a leading nought is kept only where it was said."""
    number = unit.number
    if number is None:
        return ""
    digits = number.digits or str(int(number.value))
    return digits if number.spelled else digits.lstrip("0") or "0"


def _cut(units: list[Unit], j: int) -> None:
    """Cut the number unit in two: a weight said in pairs or with a point keeps the last groups."""
    unit = units[j]
    number = unit.number
    assert number is not None
    assert number.cuts
    point = "." in number.digits
    token, before = number.cuts[-2] if len(number.cuts) > 1 and not point else number.cuts[-1]
    words = unit.low.split()
    head, tail = words[: token - number.start], words[token - number.start :]
    place = unit.span.end - len(" ".join(tail))
    first = Number(
        float(number.digits[:before]),
        number.digits[:before],
        number.start,
        token,
        len(head) > 1 and number.spelled,
        head == ["one"],
        cuts=tuple(cut for cut in number.cuts if cut[0] < token),
    )
    rest = Number(float(number.digits[before:]), number.digits[before:], token, number.end)
    units[j : j + 1] = [
        replace(unit, end=token, low=" ".join(head), span=Span(unit.span.start, place - 1), number=first, notes=[]),
        replace(
            unit, start=token, low=" ".join(tail), span=Span(place, unit.span.end), number=rest, gap=False, notes=[]
        ),
    ]
