"""Which bird is spoken of where: bands, names, sexes, "next bird", going back to an earlier one.

Gives Mentions in the order of the text; which exam a mention opens, continues or corrects is decided
in exams.py. Units that name a bird are marked used, so that a blue band is never a blue comb.
"""

from __future__ import annotations

from dictate.extraction.again import is_known_number
from dictate.extraction.bands import digits_of
from dictate.extraction.bird_reader import BirdReader
from dictate.extraction.evidence import evident
from dictate.extraction.mentions import Mention, denied, imagined, is_cased, written
from dictate.extraction.pairs import NEAR, beside_band, name_at_band
from dictate.extraction.told_by_name import heads, in_running_talk, inside, led_in
from dictate.extraction.told_by_number import begins_line, in_row
from dictate.extraction.units import Unit, unit_at

__all__ = ["BirdFinder"]


class BirdFinder(BirdReader):
    """Finds mentions with the lexicon's bird words."""

    def find(self, units: list[Unit], text: str) -> list[Mention]:
        """All mentions; marks the units they use (and may cut a number that is a band and a weight)."""
        cased = is_cased(text[:400])
        mentions: list[Mention] = []
        i = 0
        while i < len(units):
            mention = None if units[i].used else self.at(units, i, text, cased)
            if mention is None or imagined(units, mention.at):
                i += 1
                continue
            self._take(units, mention, mentions, text)
            i = max(mention.end, i + 1)
            anew = self.bands.corrected(units, mention.end, mention.band) if mention.band else None
            if anew is not None:
                mention = Mention(anew.start, anew.end, band=anew.mark, corrects=True)
                self._take(units, mention, mentions, text)
                i = mention.end
            while mention is not None and mention.band and not mention.denied:
                for band in self.bands.between(units, mention.end, mention.band, text):
                    self._take(units, Mention(mention.end, mention.end + 1, band=band, listed=True), mentions, text)
                listed = self.bands.listed(units, mention.end, mention.band)
                mention = None
                if listed is not None:
                    mention = Mention(listed.start, listed.end, band=listed.mark, listed=True)
                    self._take(units, mention, mentions, text)
                    i = mention.end
        named = any(m.name for m in mentions) and not any(m.band for m in mentions)
        for places in evident(self.names, units, text, cased, named).values():
            for k in places:
                if not (units[k].used or imagined(units, k) or denied(units, k)):
                    self._take(units, Mention(k, k + 1, name=written(units[k], text), weak=True), mentions, text)
        self._more_numbers(units, text, mentions)
        self._more_names(units, text, cased, mentions)
        self._known_again(units, text, cased, mentions)
        mentions = self._weigh(units, text, cased, mentions)
        for mention in mentions:
            mention.weak = mention.once
        if not any(m.band or m.name for m in mentions):
            self._headings(units, text, cased, mentions)
        if not any(m.band or m.name for m in mentions):
            for test in (self.names.alone, self._heads, self.names.vocative, self._inside):
                k = next(
                    (k for k in range(min(60, len(units))) if test(units, k, text, cased) and not imagined(units, k)),
                    -1,
                )
                if k >= 0:
                    self._take(units, Mention(k, k + 1, name=written(units[k], text), weak=True), mentions, text)
                    self._known_again(units, text, cased, mentions)
                    break
        return sorted(mentions, key=lambda m: m.at)

    def _heads(self, units: list[Unit], i: int, text: str, cased: bool) -> bool:
        return heads(self.names, units, i, text, cased) or (cased and led_in(self.names, units, i, text))

    def _inside(self, units: list[Unit], i: int, text: str, cased: bool) -> bool:
        return cased and inside(self.names, units, i, text)

    def _more_names(self, units: list[Unit], text: str, cased: bool, mentions: list[Mention]) -> None:
        """Where birds are told by name and not by band: further names by weaker patterns."""
        if not any(m.name for m in mentions) or any(m.band for m in mentions):
            return
        for k in range(len(units)):
            if units[k].used or imagined(units, k):
                continue
            found = in_running_talk(self.names, units, k, text, cased) or heads(self.names, units, k, text, cased)
            if cased and not found:
                start = self.names.with_title(units, k)
                found = led_in(self.names, units, k, text)
                found = found or (
                    (start == 0 or units[start - 1].hard)
                    and self.names.possible(units, k, text, cased)
                    and (self.names.plain(units[k]) or (start < k and self.names.wordless(units[k])))
                    and (self.names.acts(units, k) or any(u.low in ":=-(" for u in units[k + 1 : k + 2]))
                )
            if found:
                self._take(units, Mention(k, k + 1, name=written(units[k], text), weak=True), mentions, text)

    def _more_numbers(self, units: list[Unit], text: str, mentions: list[Mention]) -> None:
        """Bands that are a mere number: at the start of a note's line, or in a row with others."""
        lines = {k for k in range(len(units)) if begins_line(self.names, self.bands, units, k)}
        lines = {k for k in lines if len(units[k].low) > 1 or len(lines) > 1}
        lengths = {len(m.band) for m in mentions if m.band.isdigit() and not m.denied}
        for k, unit in enumerate(units):
            if unit.used or unit.number is None or imagined(units, k):
                continue
            if k in lines or (lengths and in_row(self.names, self.bands, units, k, lengths)):
                self._take(units, Mention(k, k + 1, band=digits_of(unit)), mentions, text)
                lengths.add(len(digits_of(unit)))

    @staticmethod
    def _stands(units: list[Unit], i: int, numbers: dict[str, str]) -> bool:
        """Does a known band's number stand for the bird: as is_known_number says, or at the head of a sentence?"""
        after = unit_at(units, i + 1)
        heads = i > 0 and units[i - 1].hard and units[i].low.isdigit() and after is not None and after.kind == "word"
        if heads and after is not None and not (after.unit or after.delay or after.signs):
            return True
        return is_known_number(units, i, numbers)

    def _weigh(self, units: list[Unit], text: str, cased: bool, mentions: list[Mention]) -> list[Mention]:
        """The mentions that stand when all are known: no imagined names, and beside bands only names at a band."""
        unreal = {u.low for k, u in enumerate(units) if u.kind == "word" and self.names.given(u) and imagined(units, k)}
        kept = [m for m in mentions if m.name.lower() not in unreal]
        if any(m.band for m in kept):
            bands = {k: m for m in kept if m.band for k in range(m.at, m.end)}
            kept = [m for m in kept if not m.weak or _beside_a_band(units, m, bands)]
            stands = {id(m) for m in kept}
            for mention in mentions:
                if id(mention) not in stands:
                    for unit in units[mention.at : mention.end]:
                        unit.used = ""
            for band in [m for m in kept if m.band and not m.denied]:
                k = name_at_band(self.names, units, band.at, band.end, text, cased)
                if k >= 0:
                    self._take(units, Mention(k, k + 1, name=written(units[k], text)), kept, text)
        if any(m.name and not m.titled for m in kept):
            kept = [m for m in kept if not m.titled]
        return kept

    def _headings(self, units: list[Unit], text: str, cased: bool, mentions: list[Mention]) -> None:
        """With no bird named: numbers, or words unknown to the lexicon, that head sentences ("12: …", "Pip. …")."""
        numbers, names = [], []
        for k, unit in enumerate(units[:-1]):
            after = units[k + 1]
            if (
                not self.names.opens(units, k)
                or (k and units[k - 1].low in ("/", "-", ","))
                or after.low not in (":", ".", ",", "-", "=")
            ):
                continue
            if unit.number and not unit.number.bare_one and self.bands.is_digits(units, k, False):
                numbers.append(Mention(k, k + 1, band=digits_of(unit)))
            elif (
                cased
                and after.low != ","
                and self.names.possible(units, k, text, cased)
                and self.names.wordless(unit)
                and (
                    after.low != "."
                    or self.names.given(unit)
                    or (len(unit.low) > 3 and not unit.low.endswith(("ed", "ing")))
                )
            ):
                names.append(Mention(k, k + 1, name=written(unit, text)))
        found = numbers if len(numbers) > 1 or (numbers and numbers[0].at <= 3) else names
        for mention in found:
            if not imagined(units, mention.at):
                self._take(units, mention, mentions, text)

    def _take(self, units: list[Unit], mention: Mention, mentions: list[Mention], text: str) -> None:
        mention.span = units[mention.at].span.cover(units[mention.end - 1].span)
        title = self.names.with_title(units, mention.end - 1) if mention.name and not mention.band else mention.end
        if title < mention.end - 1:
            mention.at = min(mention.at, title)
            mention.name = text[units[title].span.start : units[mention.end - 1].span.end]
            mention.span = units[mention.at].span.cover(mention.span)
        back = units[max(0, mention.at - 10) : mention.at]
        for unit in reversed(back):
            if unit.used == "bird" or unit.signs or unit.region:
                break
            if (
                unit.is_cue("correction")
                or unit.is_cue("withdraw")
                or unit.low in ("no", "sorry", "wait", "not", "n't")
            ):
                mention.corrects = True
        for unit in units[mention.at : mention.end]:
            unit.used = "bird"
        mentions.append(mention)

    def _known_again(self, units: list[Unit], text: str, cased: bool, mentions: list[Mention]) -> None:
        """Names and band numbers known from elsewhere in the text, where they are said again."""
        names = {m.name.lower() for m in mentions if m.name and not m.denied}
        numbers = _known_numbers(mentions)
        taken = {k for m in mentions for k in range(m.at, m.end)}
        for i, unit in enumerate(units):
            if unit.used or i in taken:
                continue
            if unit.low in names and self.names.again(units, i, text, cased) and not imagined(units, i):
                mention = Mention(i, i + 1, name=written(unit, text), denied=denied(units, i), once=True)
                self._take(units, mention, mentions, text)
            elif unit.number and digits_of(unit) in numbers and self._stands(units, i, numbers):
                mention = Mention(i, i + 1, band=numbers[digits_of(unit)], again=True)
                self._take(units, mention, mentions, text)


def _known_numbers(mentions: list[Mention]) -> dict[str, str]:
    """The band of each number, where only one band has it."""
    bands: dict[str, set[str]] = {}
    for m in mentions:
        if m.band and not m.denied:
            bands.setdefault(m.band.rsplit(" ", 1)[-1], set()).add(m.band)
    full = {number: {b for b in these if " " in b} or these for number, these in bands.items()}
    return {number: min(these) for number, these in full.items() if len(these) == 1}


def _beside_a_band(units: list[Unit], mention: Mention, bands: dict[int, Mention]) -> bool:
    """"amber now, purple four": a name and a band in one breath are one bird's. `bands` by the units they take."""
    near = [bands[k] for k in range(mention.at - NEAR - 1, mention.end + NEAR + 1) if k in bands]
    return any(beside_band(units, min(m.end, mention.end), max(m.at, mention.at)) for m in near)
