"""Which bird is spoken of where: bands in every way of saying, names, sexes, "next bird".

Gives Mentions in the order of the text; which exam a mention opens, continues or corrects is decided
when the exams are put together. Units that name a bird are marked used, so that a blue band is never
a blue comb.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dictate.extraction.units import COPULAS, Unit
from dictate.model import Span
from dictate.vocabulary import Vocabulary

__all__ = ["BirdFinder", "Mention"]

AFTER_NAME = frozenset("she he she's he's she'd he'd also who her his the a an and no not has had is 's looks was we "
                       "i i'm i'll i've now here next first come let , . - : ; ? ! ( isn't weighs it an old".split())
WEAK_INTRO = frozenset("it 's it's that's got come and then now i i've we've here's here".split())
STRONG_INTRO = frozenset(["called", "we call him", "we call her", "her name is", "his name is", "name is", "named",
                          "name of", "answers to", "goes by", "known as", "her name 's", "his name 's", "name",
                          "aka", "name 's"])


@dataclass(slots=True)
class Mention:
    """One mention of a bird at unit `at` (up to `end`). `new`: said to be another one ("next bird").
    `denied`: "this isn't …". `again`: "back to …". Empty marks with `new` open a bird not yet named."""

    at: int
    end: int
    band: str = ""
    name: str = ""
    new: bool = False
    denied: bool = False
    again: bool = False
    weak: bool = False
    span: Span = Span(0, 0)


class BirdFinder:
    """Finds mentions with the lexicon's bird words."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.roles: dict[str, str] = {entry.id: entry.role for entry in vocabulary.birds.values()}
        self.not_names: set[str] = set()
        for entry in vocabulary.birds.values():
            if entry.role == "not-a-name":
                self.not_names.update(word.lower() for word in entry.say)

    def find(self, units: list[Unit], text: str) -> list[Mention]:
        """All mentions; marks the units they use."""
        cased = any(c.isupper() for c in text[:400])
        mentions: list[Mention] = []
        i = 0
        while i < len(units):
            mention = None if units[i].used else self._at(units, i, text, cased)
            if mention is None:
                i += 1
                continue
            mention.span = units[mention.at].span.cover(units[mention.end - 1].span)
            for unit in units[mention.at : mention.end]:
                unit.used = "bird"
            mentions.append(mention)
            i = max(mention.end, i + 1)
        if not any(m.band or m.name for m in mentions):
            mentions += self._fallback(units, text, cased)
        return sorted(mentions, key=lambda m: m.at)

    # -- what may stand at a place

    def _at(self, units: list[Unit], i: int, text: str, cased: bool) -> Mention | None:
        unit = units[i]
        if self._role(unit, "next") and self._is_next(units, i):
            return self._after_next(units, i, text, cased)
        if self._role(unit, "again"):
            found = self._band(units, i + 1, text) or self._name_word(units, i + 1, text, cased)
            if found:
                found.at, found.again = i, True
                return found
        found = self._band(units, i, text)
        if found:
            found.denied = self._denied(units, i)
            return found
        return self._name(units, i, text, cased)

    def _role(self, unit: Unit, role: str) -> str:
        return unit.role(role, self.roles) if unit.birds else ""

    @staticmethod
    def _is_next(units: list[Unit], i: int) -> bool:
        """"next week" and "the next one" of two toes are no new bird; "next," and "next bird" are."""
        low = units[i].low
        after = units[i + 1] if i + 1 < len(units) else None
        before = units[i - 1] if i else None
        if low in ("next", "on to", "then we have", "moving on to", "number one", "last one", "first one", "second one",
                   "another one"):
            if after is None:
                return False
            if low == "next" and (after.delay or after.low in ("to", "time", "door", "check")):
                return False
            if before is not None and before.low in ("look", "the", "her", "at", "in", "look at", "every") and low != "on to":
                return False
            if low != "next":
                return bool(after.number or after.birds or after.low in ("is", ":", ",", "'s", "a"))
            return not (after.region or after.side) or (before is not None and before.hard)
        return not (before is not None and before.low in ("the", "until the", "for the"))

    def _after_next(self, units: list[Unit], i: int, text: str, cased: bool) -> Mention:
        """next bird [is] [a] <band or name>"""
        j = i + 1
        while j < len(units) and j < i + 5 and units[j].low in ("is", "'s", ":", "a", "an", ",", "up", "-", "will", "be",
                                                                "the", "with", "for", "bird", "one", "now", "we",
                                                                "have", "okay", "and", "on", "'ve", "got", "here"):
            j += 1
        found = self._band(units, j, text)
        if found is None and j < len(units) and units[j].number and not units[j].number.bare_one:
            follower = units[j + 1] if j + 1 < len(units) else None
            if follower is None or not (follower.unit or follower.delay or follower.measures):
                found = Mention(j, j + 1, band=_digits(units[j]))
        if found is None:
            found = self._name_word(units, j, text, cased)
        if found is None:
            return Mention(i, i + 1, new=True)
        found.at, found.new = i, True
        return found

    def _band(self, units: list[Unit], i: int, text: str) -> Mention | None:
        if i >= len(units) or units[i].used:
            return None
        unit = units[i]
        colour, letter = self._role(unit, "colour"), self._role(unit, "letter")
        j = i + 1
        if colour or letter:
            if letter and i and units[i - 1].number and unit.unit:
                return None
            while j < len(units) and j <= i + 3 and (
                (self._role(units[j], "band") and units[j].low not in ("no",)) or units[j].low in ("with", "number", "on")
            ):
                j += 1
            if j < len(units) and self._is_band_number(units, j):
                mark = letter.lower() if letter and not colour else colour
                band = f"{mark} {_digits(units[j])}"
                return Mention(i, self._said_twice(units, j + 1, mark, _digits(units[j])), band=band)
            return None
        single = unit.low.rstrip(".")
        if (
            len(single) == 1 and single.isalpha() and unit.kind == "word" and j < len(units) and units[j].number
            and single not in "xai" and units[j].low.isdigit()
            and units[j].span.start - unit.span.end <= (1 if text[unit.span.end : units[j].span.start] == "-" else 0)
            and (single not in "lrtdgcfwq" or text[unit.span.start : unit.span.end + 1].endswith("-")
                 or self._line_start(units, i))
            and not (j + 1 < len(units) and (units[j + 1].unit or units[j + 1].delay)
                     and units[j + 1].span.start == units[j].span.end)
        ):
            return Mention(i, j + 1, band=f"{single} {_digits(units[j])}")
        if self._role(unit, "band") or self._role(unit, "bird") or (
            self._role(unit, "sex") and j < len(units) and units[j].number
        ):
            if unit.low in ("no", "id", "ring", "band") and j < len(units) and units[j].low not in ("is", ":", "no", ".",
                                                                                                  "number", "=") \
                    and not units[j].number and not self._role(units[j], "colour"):
                return None
            if unit.low == "no" and not (j < len(units) and units[j].low == "."):
                return None
            while j < len(units) and j <= i + 3 and (
                units[j].low in ("is", "number", ":", ".", "=", "no", "'s", "she", "wears", "on", "her", "left", "leg")
                or self._role(units[j], "band")
            ):
                j += 1
            nested = self._band(units, j, text) if j < len(units) and (
                self._role(units[j], "colour") or self._role(units[j], "letter")) else None
            if nested:
                nested.at = i
                return nested
            if j < len(units) and self._is_band_number(units, j):
                digits = _digits(units[j])
                return Mention(i, self._said_twice(units, j + 1, "", digits), band=digits)
            return None
        if unit.number and self._line_start(units, i) and j < len(units) and unit.low.isdigit() and (
            units[j].low in ("-", ":") or self._role(units[j], "sex")
        ) and not (units[j].low == "-" and j + 1 < len(units) and units[j + 1].number):
            return Mention(i, j, band=_digits(unit))
        return None

    def _is_band_number(self, units: list[Unit], j: int) -> bool:
        number = units[j].number
        if number is None or number.several or "." in number.digits or not number.digits:
            return False
        after = units[j + 1] if j + 1 < len(units) else None
        if after is None:
            return True
        if after.unit and after.span.start - units[j].span.end <= 1 and after.low not in ("in", "c", "f", "#"):
            return False
        if number.bare_one and not (
            after.kind in ("punct", "newline") or after.gap or self._role(after, "sex") or after.low in AFTER_NAME
            or after.region or after.birds
        ):
            return False
        return after.low not in ("points", "mm", "cm")

    def _said_twice(self, units: list[Unit], j: int, mark: str, digits: str) -> int:
        """The end of a band that is said again at once: yellow seventeen yellow one seven."""
        k = j
        if k < len(units) and units[k].low in (",", "that", "'s", "so"):
            k += 1
        if k < len(units) and mark and (self._role(units[k], "colour") or self._role(units[k], "letter")).lower() == mark:
            k += 1
            if k < len(units) and self._role(units[k], "band"):
                k += 1
        elif not (k < len(units) and units[k].number):
            return j
        if k < len(units) and units[k].number and _digits(units[k]) == digits:
            return k + 1
        return j

    @staticmethod
    def _line_start(units: list[Unit], i: int) -> bool:
        return i == 0 or units[i - 1].kind == "newline"

    @staticmethod
    def _denied(units: list[Unit], i: int) -> bool:
        back = units[max(0, i - 3) : i]
        return any(u.low in ("n't", "not", "isn't") for u in back) and not any(u.hard for u in back)

    # -- names

    def _could_be_name(self, unit: Unit, text: str, cased: bool) -> bool:
        low = unit.low
        if unit.kind != "word" or unit.used or " " in low or not low.isalpha() or len(low) < 3 or low in self.not_names:
            return False
        if cased and not text[unit.span.start].isupper():
            return False
        if unit.region or unit.measures or unit.unit or unit.delay or unit.side or unit.grade or unit.cues:
            return False
        if unit.action or unit.signs:
            return cased and text[unit.span.start].isupper() and not unit.action
        return not any(self.roles[m.id] in ("sex", "band", "bird", "next", "no-band", "pen", "name", "letter")
                       for m in unit.birds)

    def _name_word(self, units: list[Unit], j: int, text: str, cased: bool) -> Mention | None:
        if j < len(units) and self._could_be_name(units[j], text, cased):
            after = units[j + 1] if j + 1 < len(units) else None
            if after is None or after.low in AFTER_NAME or after.gap or self._role(after, "sex") or after.kind != "word" \
                    or self._role(after, "no-band") or after.low == units[j].low:
                return Mention(j, j + 1, name=text[units[j].span.start : units[j].span.end])
        return None

    def _name(self, units: list[Unit], i: int, text: str, cased: bool) -> Mention | None:
        unit = units[i]
        after = units[i + 1] if i + 1 < len(units) else None
        intro = self._role(unit, "name")
        if intro and after is not None:
            j = i + 1
            while j < len(units) and j < i + 3 and units[j].low in ("=", ":", ",", "a", "little", "old", "our", '"', "miss",
                                                                   "is", "young", "is", "the", "now"):
                j += 1
            found = self._name_word(units, j, text, cased)
            if found and (unit.low in STRONG_INTRO or self._is_intro(units, i, j, text, cased)):
                found.at = i if unit.low in STRONG_INTRO else j
                found.denied = self._denied(units, j)
                return found
            if unit.low in STRONG_INTRO and j < len(units) and units[j].kind == "word" and j == i + 1 and \
                    self._could_be_name(units[j], text, cased):
                return Mention(i, j + 1, name=text[units[j].span.start : units[j].span.end])
        if not self._could_be_name(unit, text, cased):
            return None
        name = text[unit.span.start : unit.span.end]
        before = units[i - 1] if i else None
        if before is not None and before.is_cue("other-bird"):
            return None
        opening = before is None or before.hard or unit.gap or before.low in ("okay", "right", "now", "and", "so", ",", '"')
        if before is not None and before.low == '"' and after is not None and after.low == '"':
            return Mention(i, i + 1, name=name)
        if after is None:
            return None
        rest = units[i + 1 : i + 6]
        words = [u.low for u in rest]
        sexed = any(self._role(u, "sex") for u in rest[:4]) and not any(u.hard for u in rest[:2])
        if words[0] in ("is", "'s", "was") and sexed and words[1:2] and words[1] in ("a", "an", "the", "our", "my"):
            return Mention(i, i + 1, name=name)
        if opening and words[0] in ("the", ",", "a", "an", "also", "here", "(") and sexed:
            return Mention(i, i + 1, name=name)
        if opening and words[0] in ("next", "here", "first") and (len(words) < 2 or rest[1].kind != "word" or rest[1].gap
                                                        or rest[1].low in AFTER_NAME or rest[0].gap or rest[1].is_cue("returning")):
            return Mention(i, i + 1, name=name)
        if cased and not unit.signs and self._line_start(units, i) and words[0] in ("-", ".", ":", ",") and (
            len(rest) > 1 and (words[0] != "." or not unit.birds)
        ):
            return Mention(i, i + 1, name=name, weak=words[0] == ",")
        return None

    def _is_intro(self, units: list[Unit], i: int, j: int, text: str, cased: bool) -> bool:
        """Weak openings ("it's …") need more evidence that a name follows."""
        low = units[i].low
        after = units[j + 1] if j + 1 < len(units) else None
        if cased:
            return True
        if low.split()[0] in WEAK_INTRO or low in ("and", "then", "as for"):
            if units[j].birds and low in ("it 's", "that 's"):
                return False
            return after is None or after.gap or after.low in ("she", "he", "she's", "he's", "the", "a", "an") and \
                any(self._role(u, "sex") for u in units[j + 1 : j + 4]) or after.low == units[j].low or bool(
                    self._role(after, "no-band")) or after.low in ("she", "he")
        return True

    def _fallback(self, units: list[Unit], text: str, cased: bool) -> list[Mention]:
        """With no bird named at all: a capitalised unknown word spoken to or of ("Okay, Captain, …")."""
        if not cased:
            return []
        for i, unit in enumerate(units[:40]):
            before, after = (units[i - 1] if i else None), (units[i + 1] if i + 1 < len(units) else None)
            if (
                before is not None and not before.hard and self._could_be_name(unit, text, cased)
                and not unit.birds and before.low == "," and after is not None and after.low in (",", ".", "!")
            ):
                unit.used = "bird"
                return [Mention(i, i + 1, name=text[unit.span.start : unit.span.end], weak=True, span=unit.span)]
        return []


def _digits(unit: Unit) -> str:
    number = unit.number
    if number is None:
        return ""
    digits = number.digits or str(int(number.value))
    return digits.lstrip("0") or "0" if not number.spelled else digits


def sex_of(units: list[Unit], roles: Mapping[str, str], start: int, end: int) -> str:
    """The first sex word said of the bird in units start..end."""
    for i in range(start, end):
        unit = units[i]
        if unit.muted or not unit.birds or unit.low.endswith("s") and unit.low not in ("hens",):
            continue
        sex = unit.role("sex", dict(roles))
        if not sex or unit.low == "hens":
            continue
        before = [u.low for u in units[max(0, i - 3) : i]]
        if before and (before[-1] in ("other", "another", "every", "by", "any") or "from" in before
                       or before[-1] == "the" and len(before) > 1 and before[-2] in ("from", "by", "with", "of", "to")):
            continue
        near = i - start <= 14 or any(w in COPULAS or w in ("a", "an", "she's", "he's") for w in before)
        if near:
            return sex
    return ""
