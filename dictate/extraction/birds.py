"""Which bird is spoken of where: bands, names, sexes, "next bird", going back to an earlier one.

Gives Mentions in the order of the text; which exam a mention opens, continues or corrects is decided
in exams.py. Units that name a bird are marked used, so that a blue band is never a blue comb.
"""

from __future__ import annotations

from dictate.extraction.bands import BandReader, digits_of
from dictate.extraction.mentions import Mention
from dictate.extraction.names import NameReader
from dictate.extraction.pairs import beside_band, name_at_band
from dictate.extraction.units import Unit, unit_at
from dictate.vocabulary import Vocabulary

__all__ = ["BirdFinder"]

BEFORE_NEXT = frozenset(["look", "the", "her", "at", "in", "look at", "every", "his", "until", "for", "until the",
                         "for the",
                         "from", "this"])
LINKS = frozenset(
    "is 's : a an , - will be the with for bird one now we have okay and on 've got here it it's she's he's "
    "up she he . that's this then so right little old".split())


class BirdFinder:
    """Finds mentions with the lexicon's bird words."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.roles: dict[str, str] = {entry.id: entry.role for entry in vocabulary.birds.values()}
        not_names = {word.lower() for entry in vocabulary.birds.values()
                     if entry.role in ("not-a-name", "title", "kin", "group")
                     for word in entry.say}
        self.bands = BandReader(vocabulary)
        self.names = NameReader(self.roles, not_names)

    def find(self, units: list[Unit], text: str) -> list[Mention]:
        """All mentions; marks the units they use (and may cut a number that is a band and a weight)."""
        cased = any(c.isupper() for c in text[:400])
        mentions: list[Mention] = []
        i = 0
        while i < len(units):
            mention = None if units[i].used else self._at(units, i, text, cased)
            if mention is None or _imagined(units, mention.at):
                i += 1
                continue
            self._take(units, mention, mentions, text)
            i = max(mention.end, i + 1)
            while mention is not None and mention.band and not mention.denied:
                for band in self.bands.between(units, mention.end, mention.band, text):
                    self._take(units, Mention(mention.end, mention.end + 1, band=band, listed=True), mentions, text)
                listed = self.bands.listed(units, mention.end, mention.band)
                mention = None
                if listed is not None:
                    mention = Mention(listed.start, listed.end, band=listed.mark, listed=True)
                    self._take(units, mention, mentions, text)
                    i = mention.end
        self._known_again(units, text, cased, mentions)
        if cased and any(m.name for m in mentions) and not any(m.band for m in mentions):
            for k in range(len(units)):
                start = self.names.with_title(units, k)
                if not units[k].used and (start == 0 or units[start - 1].hard) and self.names.possible(units, k, text,
                    cased) and \
                        (self.names.plain(units[k])
                         or (start < k and self.names.wordless(units[k]))) and (self.names.acts(units, k)
                             or (units[k + 1 : k + 2] and units[k + 1].low in ":=-(")):
                    self._take(units, Mention(k, k + 1, name=_written(units[k], text), weak=True), mentions, text)
        mentions = self._weigh(units, text, cased, mentions)
        for mention in mentions:
            mention.weak = mention.once
        if not any(m.band or m.name for m in mentions):
            self._headings(units, text, cased, mentions)
        if not any(m.band or m.name for m in mentions):
            for test in (self.names.alone, self.names.vocative):
                k = next((k for k in range(min(60, len(units))) if test(units, k, text, cased)
                          and not _imagined(units, k)), -1)
                if k >= 0:
                    self._take(units, Mention(k, k + 1, name=_written(units[k], text), weak=True), mentions, text)
                    self._known_again(units, text, cased, mentions)
                    break
        return sorted(mentions, key=lambda m: m.at)

    def _weigh(self, units: list[Unit], text: str, cased: bool, mentions: list[Mention]) -> list[Mention]:
        """The mentions that stand when all are known: no imagined names, and beside bands only names at a band."""
        unreal = {u.low for k, u in enumerate(units) if u.kind == "word" and self.names.given(u)
                  and _imagined(units, k)}
        kept = [m for m in mentions if m.name.lower() not in unreal]
        if any(m.band for m in kept):
            kept = [m for m in kept if not m.weak or _beside_a_band(units, m, kept)]
            for mention in mentions:
                if mention not in kept:
                    for unit in units[mention.at : mention.end]:
                        unit.used = ""
            for band in [m for m in kept if m.band and not m.denied]:
                k = name_at_band(self.names, units, band.at, band.end, text, cased)
                if k >= 0:
                    self._take(units, Mention(k, k + 1, name=_written(units[k], text)), kept, text)
        if any(m.name and not m.titled for m in kept):
            kept = [m for m in kept if not m.titled]
        return kept

    def _headings(self, units: list[Unit], text: str, cased: bool, mentions: list[Mention]) -> None:
        """With no bird named: numbers, or words unknown to the lexicon, that head sentences ("12: …", "Pip. …")."""
        numbers, names = [], []
        for k, unit in enumerate(units[:-1]):
            after = units[k + 1]
            if not self.names.opens(units, k) or (k and units[k - 1].low in ("/", "-", ",")) or after.low not in (":",
                ".", ",", "-", "="):
                continue
            if unit.number and not unit.number.bare_one and self.bands.is_digits(units, k, False):
                numbers.append(Mention(k, k + 1, band=digits_of(unit)))
            elif cased and after.low != "," and self.names.possible(units, k, text, cased) and self.names.wordless(unit) and (
                after.low != "." or self.names.given(unit) or (len(unit.low) > 3 and not unit.low.endswith(("ed", "ing")))
            ):
                names.append(Mention(k, k + 1, name=_written(unit, text)))
        found = numbers if len(numbers) > 1 or (numbers and numbers[0].at <= 3) else names
        for mention in found:
            if not _imagined(units, mention.at):
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
            if unit.is_cue("correction") or unit.is_cue("withdraw") or unit.low in ("no", "sorry", "wait", "not",
                "n't"):
                mention.corrects = True
        for unit in units[mention.at : mention.end]:
            unit.used = "bird"
        mentions.append(mention)

    def _at(self, units: list[Unit], i: int, text: str, cased: bool) -> Mention | None:
        unit = units[i]
        if unit.birds:
            if self._role(unit, "again"):
                found = self._marked(units, i + 1, text, cased, bare=True)
                if found:
                    found.at, found.again = i, True
                    return found
            starting = bool(self._role(unit, "start"))
            if starting or (self._role(unit, "next") and self._is_next(units, i, text, cased)):
                return self._after_next(units, i, text, cased, starting)
        found = self._band(units, i, text)
        if found is None and unit.birds and self.names.intro(unit):
            found = self._introduced(units, i, text, cased)
        if found is None:
            found = self._name(units, i, text, cased)
        if found:
            found.denied = _denied(units, found.at)
        return found

    def _role(self, unit: Unit, role: str) -> str:
        return unit.role(role, self.roles) if unit.birds else ""

    # -- next

    def _is_next(self, units: list[Unit], i: int, text: str, cased: bool) -> bool:
        """"next week" and "the next one" of two toes are no new bird; "next," and "next bird" are."""
        unit = units[i]
        after = unit_at(units, i + 1)
        before = unit_at(units, i - 1)
        if before is not None and before.low in BEFORE_NEXT and not unit.gap:
            return False
        if not any(m.id == "perhaps-next" for m in unit.birds):
            return True
        if after is None or after.delay or after.action or after.low in ("to", "time", "door", "check", "toe", "week",
            "day"):
            return False
        j = i + 1
        while j < len(units) and j < i + 5 and units[j].low in LINKS:
            j += 1
        if j < len(units):
            number = units[j].number
            if (number and not number.bare_one) or any(
                self._role(units[j], role) for role in ("colour", "letter", "sex", "breed")
            ):
                return True
        if j < len(units) and (units[j].region or units[j].action):
            return False
        if unit.low == "next":
            return not (after.region or after.side or after.signs) and (before is None or before.hard or unit.gap
                                                                     or j >= len(units) or self.names.plain(units[j]))
        return (j < len(units) and j <= i + 3 and self.names.plain(units[j]) and units[j].kind == "word" and \
            units[j].low not in self.names.not_names) or (cased and self.names.fresh(units, j, text, cased))

    def _after_next(self, units: list[Unit], i: int, text: str, cased: bool, starting: bool) -> Mention | None:
        """next bird [is] [a] <band or name>"""
        j = i + 1
        while j < len(units) and j < i + 7 and (units[j].low in LINKS or self._role(units[j], "title")
                                                or (self._role(units[j], "sex") and j + 1 < len(units)
                                                and bool(units[j + 1].number or self._role(units[j + 1], "colour")))
                                                or (self.names.intro(units[j]) and not units[j].region)):
            if self._role(units[j], "colour"):
                break
            j += 1
        found = self._marked(units, j, text, cased, bare=True)
        if found is None and j > i + 1 and units[j - 1].birds and self._role(units[j - 1], "sex"):
            found = self._marked(units, j - 1, text, cased, bare=True)
        if found is None:
            if starting and self._counts_only(units, i):
                return None
            return Mention(i, i + 1, new=not starting, start=starting)
        found.at, found.new, found.start = i, not starting, starting
        return found

    @staticmethod
    def _counts_only(units: list[Unit], i: int) -> bool:
        """"first one" of two toes says nothing of birds."""
        return any(u.region for u in units[max(0, i - 3) : i + 2])

    # -- bands

    def _marked(self, units: list[Unit], j: int, text: str, cased: bool, bare: bool = False) -> Mention | None:
        """A band or name at j, after words that bring one; `bare`: digits alone are enough."""
        if j >= len(units) or units[j].used:
            return None
        band = self.bands.read(units, j, text)
        if band:
            return Mention(j, band.end, band=band.mark)
        number = units[j].number
        if bare and number and not number.bare_one:
            digits, end = self.bands.digits(units, j, False)
            after = unit_at(units, end)
            if digits and not (after is not None and (after.unit or after.signs or after.measures)
                               and after.span.start - units[end - 1].span.end <= 1):
                return Mention(j, end, band=digits)
        if self.names.described(units, j, text, cased):
            return Mention(j, j + 1, name=_written(units[j], text))
        named = self.names.fresh(units, j, text, cased) or self.names.subject(units, j, text, cased)
        if named and (cased or self.names.stands(units, j)):
            return Mention(j, j + 1, name=_written(units[j], text))
        return None

    def _band(self, units: list[Unit], i: int, text: str) -> Mention | None:
        band = self.bands.read(units, i, text)
        if band:
            said = {u.low for u in units[max(0, i - 3) : i] if not u.hard}
            own = band.worded and bool(said & {"the", "her", "his", "on", "wearing", "wears", "with", "a", ","})
            if self._given(units, i) or said & {"from", "unlike", "than"}:
                return None
            return Mention(i, band.end, band=band.mark, own=own or bool(said & {"wears", "wearing"}))
        unit = units[i]
        if unit.number is None or unit.used or unit.number.bare_one or not self.bands.is_digits(units, i, False):
            return None
        after = unit_at(units, i + 1)
        follow = unit_at(units, i + 2)
        if after is None:
            return None
        line = i == 0 or units[i - 1].kind == "newline"
        if line and unit.low.isdigit() and self._heads_list(units, i):
            return Mention(i, i + 1, band=digits_of(unit))
        if line and unit.low.isdigit() and after.low == "|":
            return Mention(i, i + 1, band=digits_of(unit))
        if line and unit.low.isdigit() and ((after.low in ("-", ":") and not (follow is not None and follow.number))
                                            or self._role(after, "sex")):
            return Mention(i, i + 1, band=digits_of(unit))
        sexed = self._role(after, "sex") and not after.low.endswith("s")
        parted = after.low in (",", ".", ":") and follow is not None and self._role(follow, "sex")
        if parted and follow is not None and not follow.low.endswith("s") and self.names.opens(units, i):
            return Mention(i, i + 1, band=digits_of(unit))
        copula = after.low in ("is", "'s") and follow is not None and follow.low in ("a", "an", "the") and \
            self.names.sexed(units, i + 3)
        before = unit_at(units, i - 1)
        if (sexed or copula) and (self.names.opens(units, i)
                                  or (before is not None and before.low in ("is", "'s", "it's"))) and \
                unit.number.value > 1:
            return Mention(i, i + 1, band=digits_of(unit))
        if before is not None and self.names.intro(before) and any(m.id == "presented" for m in before.birds) and (
            after.hard or (after.low in ("she", "he", "she's", "he's", ",", "no", "here") and not after.signs)
        ):
            return Mention(i, i + 1, band=digits_of(unit))
        return None

    def _heads_list(self, units: list[Unit], i: int) -> bool:
        """12, 14 & 15 - …: a list of numbers that a line is about."""
        j = i
        while j + 2 < len(units) and units[j + 1].low in (",", "&", "and", "+") and units[j + 2].number:
            j += 2
        return j > i and j + 1 < len(units) and (units[j + 1].low in ("-", ":") or units[j + 1].is_cue("rest"))

    @staticmethod
    def _given(units: list[Unit], i: int) -> bool:
        """"I'll ring him with a green one": a band put on, not the bird's mark."""
        back = [u.low for u in units[max(0, i - 2) : i]]
        return back[-2:] == ["with", "a"]

    # -- names

    def _introduced(self, units: list[Unit], i: int, text: str, cased: bool) -> Mention | None:
        kind = next((m.id for m in units[i].birds if self.roles[m.id] == "name"), "")
        j = self.names.introduced(units, i, kind, text, cased)
        if j < 0 or self.bands.read(units, j, text):
            return None
        weak = not self.names.described(units, j, text, cased) and (kind == "perhaps"
                                                                    or (kind != "called" and not cased
                                                                        and not self.names.plain(units[j])))
        return Mention(i if kind == "called" else j, j + 1, name=_written(units[j], text), weak=weak)

    def _name(self, units: list[Unit], i: int, text: str, cased: bool) -> Mention | None:
        if not self.names.possible(units, i, text, cased):
            return None
        strong = self.names.described(units, i, text, cased)
        if not strong and self.names.titled(units, i) and self.names.subject(units, i, text, cased):
            return Mention(i, i + 1, name=_written(units[i], text), weak=True, titled=True)
        if strong or self.names.subject(units, i, text, cased) or self.names.heads_line(units, i, text, cased):
            return Mention(i, i + 1, name=_written(units[i], text), weak=not strong)
        return None

    def _known_again(self, units: list[Unit], text: str, cased: bool, mentions: list[Mention]) -> None:
        """Names and band numbers known from elsewhere in the text, where they are said again."""
        names = {m.name.lower() for m in mentions if m.name and not m.denied}
        numbers = {m.band.rsplit(" ", 1)[-1]: m.band for m in mentions if m.band and not m.denied}
        taken = {k for m in mentions for k in range(m.at, m.end)}
        more: list[Mention] = []
        for i, unit in enumerate(units):
            if unit.used or i in taken:
                continue
            if unit.low in names and self.names.again(units, i, text, cased) and not _imagined(units, i):
                more.append(Mention(i, i + 1, name=_written(unit, text), denied=_denied(units, i), once=True))
            elif unit.number and numbers and digits_of(unit) in numbers and not unit.number.bare_one:
                after = unit_at(units, i + 1)
                if (i and units[i - 1].action and not (after is not None and ((after.unit and after.low != "in") or after.delay or after.signs))) or (after is not None and after.low == "'s") or (i and units[i - 1].hard and unit.low.isdigit()
                                                                 and after is not None
                                                             and after.kind == "word" and not (after.unit or after.delay
                                                                                              or after.signs)):
                    more.append(Mention(i, i + 1, band=numbers[digits_of(unit)], again=True))
        for mention in more:
            self._take(units, mention, mentions, text)


def _written(unit: Unit, text: str) -> str:
    return text[unit.span.start : unit.span.end]


def _beside_a_band(units: list[Unit], mention: Mention, mentions: list[Mention]) -> bool:
    """"amber now, purple four": a name and a band in one breath are one bird's."""
    return any(m.band and beside_band(units, min(m.end, mention.end), max(m.at, mention.at)) for m in mentions)


def _denied(units: list[Unit], i: int) -> bool:
    back: list[Unit] = []
    for unit in reversed(units[max(0, i - 3) : i]):
        if unit.hard or unit.used == "bird" or unit.low == ",":
            break
        back.append(unit)
    return any(u.low in ("n't", "not", "isn't") for u in back)


def _imagined(units: list[Unit], at: int) -> bool:
    """Is the bird only imagined ("imagine a hen called …", "if this were …")?"""
    reach = 14 if any(u.kind == "punct" for u in units[max(0, at - 14) : at]) else 6
    for unit in reversed(units[max(0, at - reach) : at]):
        if unit.hard or unit.used:
            return False
        if unit.is_cue("hypothetical") and unit.low not in ("says", "said") and not unit.low.endswith(("says", "said")):
            return True
    return False
