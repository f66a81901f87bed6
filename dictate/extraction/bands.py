"""Bands: colour, letter or band word and digits, in every way they are said and written.

blue 42, blue band forty two, a black ring with a twelve on it, number 63, bravo double four, W-118,
white, one, one, eight. A number with a unit, an age or a count is no band.
"""

from __future__ import annotations

from dataclasses import dataclass

from dictate.extraction.band_digits import LONGEST, DigitReader, digits_of
from dictate.extraction.english import COPULAS
from dictate.extraction.units import Unit, unit_at

__all__ = ["Band", "BandReader", "digits_of"]

BETWEEN = frozenset(
    "is : . = 's with a the on number reads reading says , she he wears wearing her his left right leg of "
    "marked and it has got".split()
)
AFTER_WORD = frozenset(
    "with | a | the | , | reading | reads | marked | it | has | got | says | that | is | 's | : | her | his | "
    "on her | on his".split(" | ")
)
SIDE_LETTERS = frozenset("lrtdgcfwq")  # letters that also stand for sides, grams, days … in notes
NO_LETTER = frozenset("xai")
LONGEST_ROW = 40  # bands in one row
BAND_WORDS = frozenset("no id ring band tag nr".split())
BEFORE_LATE_COLOUR = frozenset("in on a the it's it is 's she's , and".split())
BEFORE_COLOUR = frozenset("a the on left right and".split())
BEFORE_LETTER = frozenset(", - : & and is 's to + (".split())
LISTED = frozenset(", and & + to -".split())


@dataclass(slots=True)
class Band:
    """The mark in record form, the units start..end it took, and whether a band word was said."""

    mark: str
    start: int
    end: int
    worded: bool = False


class BandReader(DigitReader):
    """Reads bands with the lexicon's colours, letters and band words."""

    def read(self, units: list[Unit], i: int, text: str) -> Band | None:
        """The band that starts at unit i, or None. May cut a number in two (the list changes)."""
        if i >= len(units) or units[i].used:
            return None
        unit = units[i]
        if unit.number is not None and i + 1 < len(units) and units[i + 1].low in ("on", "in") and unit.number.digits:
            coloured = self._colour_behind(units, i + 1)
            if coloured and self.role(units[coloured[1] - 1], "band") and self.is_digits(units, i, False):
                return Band(f"{coloured[0]} {digits_of(unit)}", i, coloured[1], True)
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
        if letter and unit.unit and i and (units[i - 1].number or units[i - 1].low in ("a", "about a", "just a")):
            return None  # a kilo eight
        if unit.low == "or" and not (text[unit.span.start] == "O" and (i == 0 or units[i - 1].kind == "newline")):
            return None  # short for orange only where it cannot be the word
        mark = colour or letter.lower()
        j = i + 1
        while j < len(units) and j <= i + 8:
            low = units[j].low
            if self.role(units[j], "band") and low not in ("no", "nb"):
                worded = True
            elif low in ("on", "number") or (worded and low in AFTER_WORD):
                pass
            elif worded and (units[j].side or units[j].region) and self._number_word_follows(units, j + 1):
                pass  # a red ring on her left leg number four
            elif (
                worded and low == "and" and units[j + 1 : j + 2] and units[j + 1].low in ("it", "says", "reads", "it's")
            ):
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
        number = units[j].number if j < len(units) else None
        if number is None or (j > i + 1 and units[j - 1].low == "," and not worded):
            return None
        if number.bare_one and j == i + 1 and i and units[i - 1].low in ("a", "the", "that", "this"):
            return None  # it's a purple one
        digits, end = self.digits(units, j, worded, marked=not (i and units[i - 1].region))
        if not digits or self._coloured_part(units, i, j, end):
            return None
        end = self._said_again(units, end, mark, digits)
        if worded and [u.low for u in units[end : end + 2]] == ["on", "it"]:
            end += 2
        return Band(f"{mark} {digits}", i, end, worded)

    def _number_word_follows(self, units: list[Unit], k: int) -> bool:
        """Within a word or two "number" or its like stands before a number: "… left leg number four"."""
        while k < len(units) and (units[k].side or units[k].region or units[k].low in (",", "and", "it", "the")):
            k += 1
        said = k < len(units) and (bool(self.role(units[k], "band")) or units[k].low in ("says", "reads", "reading"))
        return said and k + 1 < len(units) and units[k + 1].number is not None

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
        coloured = self._colour_behind(units, end) if band_word else None
        if coloured:
            return Band(f"{coloured[0]} {digits}", i, coloured[1], True)
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

    def _colour_behind(self, units: list[Unit], at: int) -> tuple[str, int] | None:
        """The colour said after the number, and its end: 12, green; 12 in green; it's a purple one."""
        k = at
        while k < len(units) and k < at + 4 and units[k].low in BEFORE_LATE_COLOUR:
            k += 1
        colour = self.role(units[k], "colour") if k < len(units) else ""
        if not colour:
            return None
        after = unit_at(units, k + 1)
        words = [u.low for u in units[at:k]]
        if after is not None and (self.role(after, "band") or (after.low == "one" and "a" in words)):
            return colour, k + 2
        ends = after is None or after.hard or after.low == "," or bool(self.role(after, "sex"))
        if (ends and not words) or words in (["in"], ["on"]):
            return colour, k + 1
        return None

    def _single_letter(self, units: list[Unit], i: int, text: str, worded: bool = False) -> bool:
        """Y17, W-118, B 12: a letter written to its number."""
        unit = units[i]
        single = unit.low.rstrip(".")
        if len(single) != 1 or not single.isalpha() or single in NO_LETTER or i + 1 >= len(units):
            return False
        follower = units[i + 1]
        if (
            follower.number is None
            or not (follower.low.isdigit() or worded)
            or not self.is_digits(units, i + 1, worded=False)
        ):
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

    def corrected(self, units: list[Unit], at: int, mark: str) -> Band | None:
        """"green thirty, sorry, thirteen": the number alone said anew right after a band that ends at `at`."""
        j, said = at, False
        while j < len(units) and j < at + 4 and not units[j].number:
            unit = units[j]
            said = said or unit.is_cue("correction") or unit.low in ("no", "sorry")
            if not (
                unit.is_cue("correction") or unit.low in ("no", "sorry", ",", "it's", "make", "that", "is", "wait")
            ):
                return None
            j += 1
        number = units[j].number if said and j < len(units) else None
        kind = mark.rpartition(" ")[0]
        after = unit_at(units, j + 1)
        if number is None or number.bare_one or not self.is_digits(units, j, False) or (after and after.signs):
            return None
        return Band(f"{kind} {digits_of(units[j])}".strip(), j, j + 1)

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
