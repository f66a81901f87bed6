"""Which bird is named at one place: by a band, a name, or "next bird"."""

from __future__ import annotations

from dictate.extraction.bands import Band, BandReader, digits_of
from dictate.extraction.mentions import Mention, denied, written
from dictate.extraction.names import NameReader
from dictate.extraction.numbers import NumberReader
from dictate.extraction.units import Unit, unit_at
from dictate.vocabulary import Vocabulary

__all__ = ["BirdReader"]

BEFORE_NEXT = frozenset(
    "look, the, her, at, in, look at, every, his, until, for, until the, for the, from, this".split(", ")
)
LINKS = frozenset(
    "is 's : a an , - will be the with for bird one now we have okay and on 've got here it it's she's he's "
    "up she he . that's this then so right little old".split()
)
NO_NEW_BIRD = frozenset("to time door check week day".split())  # "next time", "next door"
MOST_COUNTED = 30  # birds counted through in one sitting
IN_A_ROW = frozenset("is 's : , the a".split())
WORN = frozenset("the her his on wearing wears with a ,".split())
PRESENTED_THEN = frozenset("she he she's he's , no here".split())


class BirdReader:
    """Reads at one place which bird is named there."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.roles: dict[str, str] = {entry.id: entry.role for entry in vocabulary.birds.values()}
        not_names = {
            word.lower()
            for entry in vocabulary.birds.values()
            if entry.role in ("not-a-name", "title", "kin", "group")
            for word in entry.say
        }
        self.bands = BandReader(vocabulary)
        self.numbers = NumberReader(vocabulary.numbers)
        self.names = NameReader(self.roles, not_names)

    def at(self, units: list[Unit], i: int, text: str, cased: bool) -> Mention | None:
        """The bird named at unit i, or None."""
        unit = units[i]
        if not unit.birds and unit.number is None and len(unit.low) > 2:
            named = self._name(units, i, text, cased) if self.names.possible(units, i, text, cased) else None
            if named:
                named.denied = denied(units, named.at)
            return named
        if unit.birds:
            if self.role(unit, "again"):
                found = self._marked(units, i + 1, text, cased, bare=True)
                if found:
                    found.at, found.again = i, True
                    return found
            starting = bool(self.role(unit, "start"))
            counted = self.begun(units, i) if starting else None
            if counted:
                return Mention(i, counted.end, band=counted.mark)
            if starting or (self.role(unit, "next") and self._is_next(units, i, text, cased)):
                return self._after_next(units, i, text, cased, starting)
        found = self._band(units, i, text) or self._the_one(units, i, text, cased)
        if found is None and unit.birds and self.names.intro(unit):
            found = self._introduced(units, i, text, cased)
        if found is None:
            found = self._name(units, i, text, cased)
        if found:
            found.denied = denied(units, found.at)
        return found

    def role(self, unit: Unit, role: str) -> str:
        """The id of the bird word of that role, or nothing."""
        return unit.role(role, self.roles)

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
        if after is None or after.delay or after.action or after.low in NO_NEW_BIRD:
            return False
        j = i + 1
        while j < len(units) and j < i + 5 and units[j].low in LINKS:
            j += 1
        if j < len(units):
            number = units[j].number
            if (number and not number.bare_one) or any(
                self.role(units[j], role) for role in ("colour", "letter", "sex", "breed")
            ):
                return True
        if j < len(units) and (units[j].region or units[j].action):
            return False
        if unit.low == "next":
            return not (after.region or after.side or after.signs) and (
                before is None or before.hard or unit.gap or j >= len(units) or self.names.plain(units[j])
            )
        return (
            j < len(units)
            and j <= i + 3
            and self.names.plain(units[j])
            and units[j].kind == "word"
            and units[j].low not in self.names.not_names
        ) or (cased and self.names.fresh(units, j, text, cased))

    def _after_next(self, units: list[Unit], i: int, text: str, cased: bool, starting: bool) -> Mention | None:
        """next bird [is] [a] <band or name>"""
        j = i + 1
        while (
            j < len(units)
            and j < i + 7
            and (
                units[j].low in LINKS
                or self.role(units[j], "title")
                or (
                    self.role(units[j], "sex")
                    and j + 1 < len(units)
                    and bool(units[j + 1].number or self.role(units[j + 1], "colour"))
                )
                or (self.names.intro(units[j]) and not units[j].region)
            )
        ):
            if self.role(units[j], "colour"):
                break
            j += 1
        found = self._marked(units, j, text, cased, bare=True)
        if found is None and j > i + 1 and units[j - 1].birds and self.role(units[j - 1], "sex"):
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

    def begun(self, units: list[Unit], i: int) -> Band | None:
        """"number one six four", "number one hundred and six": the phrase "number one" begins a longer number."""
        if not units[i].low.endswith(" one"):
            return None
        words, ends = ["one"], {1: i + 1}
        for k in range(i + 1, min(len(units), i + 6)):
            if units[k].hard or units[k].gap:
                break
            words += units[k].low.split()
            ends[len(words)] = k + 1
        number = self.numbers.read(words, 0)
        if number is None or number.end < 2 or number.end not in ends or not number.digits.isdigit():
            return None
        after = unit_at(units, ends[number.end])
        if after is not None and (after.unit or after.delay or after.signs):
            return None
        return Band(number.digits, i, ends[number.end], True)

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
            if digits and not (
                after is not None
                and (after.unit or after.signs or after.measures)
                and after.span.start - units[end - 1].span.end <= 1
            ):
                return Mention(j, end, band=digits)
        if self.names.described(units, j, text, cased):
            return Mention(j, j + 1, name=written(units[j], text))
        named = self.names.fresh(units, j, text, cased) or self.names.subject(units, j, text, cased)
        if named and (cased or self.names.stands(units, j)):
            return Mention(j, j + 1, name=written(units[j], text))
        return None

    def _band(self, units: list[Unit], i: int, text: str) -> Mention | None:
        band = self.bands.read(units, i, text)
        if band:
            said = {u.low for u in units[max(0, i - 3) : i] if not u.hard}
            own = band.worded and bool(said & WORN)
            if self._given(units, i) or said & {"from", "unlike", "than"}:
                return None
            if band.worded and band.mark.isdigit() and int(band.mark) <= MOST_COUNTED:
                j = band.end
                while j < len(units) and j < band.end + 3 and units[j].low in IN_A_ROW:
                    j += 1
                marked = self.bands.read(units, j, text) if j > band.end else None
                if marked and " " in marked.mark:  # "number two is blue five": the bird's place in the row
                    return Mention(i, marked.end, band=marked.mark, new=True)
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
        if (
            line
            and unit.low.isdigit()
            and (
                (after.low in ("-", ":") and not (follow is not None and follow.number))
                or (self.role(after, "sex") and not after.low.endswith("s"))
            )
        ):
            return Mention(i, i + 1, band=digits_of(unit))
        sexed = self.role(after, "sex") and not after.low.endswith("s")
        parted = after.low in (",", ".", ":") and follow is not None and self.role(follow, "sex")
        if parted and follow is not None and not follow.low.endswith("s") and self.names.opens(units, i):
            return Mention(i, i + 1, band=digits_of(unit))
        copula = (
            after.low in ("is", "'s")
            and follow is not None
            and follow.low in ("a", "an", "the")
            and self.names.sexed(units, i + 3)
        )
        before = unit_at(units, i - 1)
        if (
            (sexed or copula)
            and (self.names.opens(units, i) or (before is not None and before.low in ("is", "'s", "it's")))
            and unit.number.value > 1
        ):
            return Mention(i, i + 1, band=digits_of(unit))
        if (
            before is not None
            and self.names.intro(before)
            and any(m.id == "presented" for m in before.birds)
            and (after.hard or (after.low in PRESENTED_THEN and not after.signs) or (after.region and not after.plural))
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
        weak = not self.names.described(units, j, text, cased) and (
            kind == "perhaps" or (kind != "called" and not cased and not self.names.plain(units[j]))
        )
        return Mention(i if kind == "called" else j, j + 1, name=written(units[j], text), weak=weak)

    def _the_one(self, units: list[Unit], i: int, text: str, cased: bool) -> Mention | None:
        """"the white one's bluebell", "the brown one is foxglove": a bird told by her colour."""
        if i < 2 or units[i].low != "one" or i + 2 >= len(units) or units[i + 1].low not in ("'s", "is"):
            return None
        if units[i - 2].low not in ("the", "this") or not any(self.role(units[i - 1], r) for r in ("colour", "breed")):
            return None
        j = self.names.introduced(units, i + 1, "presented", text, cased)
        return Mention(j, j + 1, name=written(units[j], text)) if j >= 0 else None

    def _name(self, units: list[Unit], i: int, text: str, cased: bool) -> Mention | None:
        if not self.names.possible(units, i, text, cased):
            return None
        strong = self.names.described(units, i, text, cased)
        if not strong and self.names.titled(units, i) and self.names.subject(units, i, text, cased):
            return Mention(i, i + 1, name=written(units[i], text), weak=True, titled=True)
        if strong or self.names.subject(units, i, text, cased) or self.names.heads_line(units, i, text, cased):
            return Mention(i, i + 1, name=written(units[i], text), weak=not strong)
        return None
