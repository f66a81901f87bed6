"""Names of birds: which words are names, by what stands around them.

Names are often common words (Fern, Button, Blue), and speech has no capitals. So a word is taken for a
name by the pattern it stands in ("this is …", "… is a hen", "…'s comb"), and once it is known for one it
is a name wherever it stands as one. Words known to the lexicon need a stronger pattern.
"""

from __future__ import annotations

from dictate.extraction.english import SHE_OR_HE
from dictate.extraction.name_words import NameWords
from dictate.extraction.units import Unit, unit_at

__all__ = ["NOT_BEFORE", "TALK", "NameReader"]

SHE = frozenset("she he she's he's she'd he'd".split())
AFTER = frozenset(
    "she he she's he's also who the a an has 's is no here now first next again then and i i'll we let's "
    "come up what with from in at down good".split()
)
AFTER_BARE = frozenset("she he she's he's who has here now first next again then".split())
NOT_BEFORE = frozenset(
    "from by with like than of not to at for in unlike on under isn't n't mr mrs dr doctor uncle aunt auntie "
    "grandad a an the".split()
)
VERBS = frozenset(
    "is 's was has had looks feels seems weighs got needs gets goes can could couldn't can't wasn't isn't "
    "hasn't did didn't does doesn't came went".split()
)
TITLES = frozenset("mrs mr ms miss lady lord sir dame madam auntie aunt captain doctor".split())
OF_A = frozenset("a an the our my".split())
BEFORE_NAME = frozenset("= : , \" a is 's now the".split())
AFTER_OPENING = frozenset("next first now here then again of my our one i you're this".split())
TALK = frozenset(
    "i've we've got let's do have up today my our old the okay ok right now then so well and um yes yeah aye och oh "
    "hello hi come here good girl , let's see".split()
)
LINE_MARKS = frozenset("- : = ( , .".split())
AFTER_LONE = frozenset("had got been a not an in lost".split())


class NameReader(NameWords):
    """Finds names by the pattern they stand in."""

    def introduced(self, units: list[Unit], i: int, kind: str, text: str, cased: bool) -> int:
        """The place of the name that the introduction at i brings (`kind`: its lexicon entry), or -1."""
        if kind == "so-called":  # "bramley is her name"
            return i - 1 if self.possible(units, i - 1, text, cased) and self.plain(units[i - 1]) else -1
        j = i + 1
        while (
            j < len(units)
            and j < i + 4
            and ((units[j].low in BEFORE_NAME and units[j].low != units[i].low) or self.role(units[j], "title"))
        ):
            if units[j].low in ("a", "the") and not (j + 1 < len(units) and self.role(units[j + 1], "title")):
                return -1
            j += 1
        if j < len(units) and units[j].low == "." and units[j - 1].low in ("ms", "mr", "mrs"):
            j += 1
        if j + 2 < len(units) and units[j + 1].low == "'s" and any(self.role(u, "kin") for u in units[j + 2 : j + 4]):
            return -1
        if kind == "called":
            return j if self.possible(units, j, text, cased, called=True) else -1
        if not self.fresh(units, j, text, cased) and not (
            kind == "presented"
            and self.possible(units, j, text, cased)
            and (self.is_a(units, j) or (j + 1 < len(units) and units[j + 1].low in SHE))
        ):
            return -1
        after = unit_at(units, j + 1)
        if units[i].low in ("so", *SHE_OR_HE) and not self.given(units[j]):
            return -1
        if after is None or (self.given(units[j]) and not (cased and units[j - 1].low == ",")):
            return j if after is not None or kind == "presented" or (cased and not units[j - 1].hard) else -1
        if cased:
            if kind == "perhaps" and (units[j - 1].hard or units[j - 1].low == ","):
                return -1
            return (
                j
                if kind == "presented"
                or after.kind != "word"
                or after.low in AFTER
                or after.gap
                or (self._follows(after))
                else -1
            )
        good = self._follows(after) or after.low == units[j].low or self.is_a(units, j)
        if kind == "presented":
            good = (
                good
                or after.gap
                or after.low in AFTER_BARE
                or after.kind == "newline"
                or (after.low in VERBS and after.low != "'s")
                or self.begins_report(after)
            )
        else:
            good = good or after.low in SHE or after.low == "here"
        return j if good else -1

    def _opens_talk(self, units: list[Unit], i: int) -> bool:
        """Nothing but small words before: "okay wimbledon comb pale …"."""
        return i < 4 and all(u.low in TALK or self.intro(u) or self.role(u, "title") for u in units[:i])

    def _put_down(self, units: list[Unit], i: int) -> bool:
        """"moppet next", "bramley here she's …"; not "wanda here from the club"."""
        follow = unit_at(units, i + 2)
        return units[i + 1].low in AFTER_OPENING and not (
            follow is not None and follow.low in ("from", "with", "to", "at")
        )

    def begins_report(self, after: Unit) -> bool:
        """Words with which the report of a bird begins: a part of the body, a side, a weight."""
        return bool(
            after.region
            or after.side
            or after.measures
            or after.is_cue("rest")
            or (after.number and not after.number.bare_one)
            or (
                after.birds
                and any(self.roles[m.id] in ("sex", "breed", "colour", "band", "no-band") for m in after.birds)
            )
        )

    def _follows(self, after: Unit) -> bool:
        """Words that are said right after a name: its sex, "no band", its age."""
        return bool(
            self.role(after, "sex")
            or self.role(after, "no-band")
            or self.role(after, "start")
            or self.role(after, "next")
            or self.role(after, "again")
        )

    def is_a(self, units: list[Unit], i: int) -> bool:
        """… is a hen, … the speckled hen, … she's a pullet, … 's our old hen"""
        rest = [u.low for u in units[i + 1 : i + 4]]
        if not rest:
            return False
        if rest[0] == "," and len(rest) > 1 and (rest[1] in OF_A or rest[1] in ("who", "who's")):
            return self.sexed(units, i + 3, 5)
        if (
            rest[0] == ","
            and i + 2 < len(units)
            and self.role(units[i + 2], "sex")
            and not units[i + 2].low.endswith("s")
        ):
            return True
        if rest[0] in (".", "!") and len(rest) > 2 and rest[1] in SHE_OR_HE:
            return self.sexed(units, i + (3 if rest[1] in ("she's", "he's") else 4), 4)
        if rest[0] in ("is", "'s", "was") and len(rest) > 1 and rest[1] in OF_A:
            return self.sexed(units, i + 3, 4)
        if rest[0] in SHE_OR_HE and len(rest) > 2:
            step = 2 if rest[0] in ("she's", "he's") else 3
            if rest[step - 1] in ("a", "an", "the", "our") or rest[1] in ("'s", "is"):
                return self.sexed(units, i + step, 4)
        if rest[0] in ("the", "a", "an", "our"):
            return self.sexed(units, i + 2, 4)
        return False

    def _place(self, units: list[Unit], i: int) -> tuple[Unit | None, bool, bool]:
        """The unit before i (past the point of "Ms."), whether i opens a sentence, whether a title stands before."""
        first = i - 1 - (i > 1 and units[i - 1].low == "." and units[i - 2].low in ("ms", "mrs", "mr"))
        before = units[first] if first >= 0 else None
        titled = before is not None and bool(self.role(before, "title"))
        return before, self.opens(units, i), titled

    def described(self, units: list[Unit], i: int, text: str, cased: bool) -> bool:
        """A name by what is said of it: "fern is a hen", "mabel she's the speckled hen", "ruby next"."""
        if not self.possible(units, i, text, cased) or i + 1 >= len(units):
            return False
        unit, after = units[i], units[i + 1]
        before, opens, titled = self._place(units, i)
        if before is not None and (before.low in NOT_BEFORE or self.role(before, "kin") or before.is_cue("other-bird")):
            return False
        if after.low in ("is", "'s", "was") and self.is_a(units, i) and (opens or self.wordless(unit) or titled):
            return True
        if after.low in (".", "!") and self.plain(unit) and self.is_a(units, i):
            return True
        if (
            (opens or titled)
            and self.is_a(units, i)
            and (cased or self.given(unit) or after.low not in OF_A or not unit.low.endswith(("ed", "ing", "t")))
        ):
            return True
        sexed = bool(self.role(after, "sex")) and not after.low.endswith("s")
        if sexed and (opens or (titled and self.given(unit))) and self.plain(unit):
            return True
        if (
            cased
            and before is not None
            and self.role(before, "sex")
            and self.plain(unit)
            and not before.low.endswith("s")
        ):
            return True  # Roo Magnus
        if (
            after.low == "("
            and opens
            and self.wordless(unit)
            and i + 2 < len(units)
            and (self.role(units[i + 2], "sex") or self.role(units[i + 2], "no-band"))
        ):
            return True
        if (
            (opens or titled)
            and (self.wordless(unit) or (i + 2 < len(units) and units[i + 2].low in SHE))
            and (
                self.role(after, "no-band")
                or self.role(after, "start")
                or after.low in ("next", "first")
                or (
                    after.low == "now"
                    and i + 2 < len(units)
                    and bool(self.role(units[i + 2], "colour") or self.role(units[i + 2], "band"))
                )
                or (after.low == "(" and i + 2 < len(units) and self.role(units[i + 2], "no-band"))
            )
        ):
            return self._said_by_itself(units, i)
        if before is not None and before.low in ("ms", "miss", "lady", "dame", "sir") and self.plain(unit):
            return not units[i - 1].is_cue("other-bird") and (
                after.low in VERBS or after.kind != "word" or after.low in SHE
            )
        return before is not None and before.low == '"' and after.low == '"'

    def subject(self, units: list[Unit], i: int, text: str, cased: bool) -> bool:
        """A name by its own sentence: "mabel she's …", "treacle's comb …", "poor old Hattie has …", a listed name."""
        if not self.possible(units, i, text, cased) or i + 1 >= len(units) or not self.plain(units[i]):
            return False
        unit, after = units[i], units[i + 1]
        before, opens, titled = self._place(units, i)
        if before is not None and self.role(before, "kin"):
            return i > 1 and units[i - 2].low == "'s"
        if before is not None and (before.low in NOT_BEFORE or before.is_cue("other-bird")):
            return False
        if after.low == "'s" and any(self.role(u, "kin") for u in units[i + 2 : i + 4]):
            return False
        described = before is not None and bool(self.role(before, "sex") or self.role(before, "breed"))
        if self.given(unit) and (opens or titled or described):
            return after.low not in (",", "!", "?") or self.is_a(units, i)
        if after.low == "'s" and i + 2 < len(units) and (units[i + 2].region or units[i + 2].side):
            return True
        if opens and after.low in SHE:
            return before is None or before.gap or before.hard or before.low not in ("so", "and", "but", ",")
        if titled and (after.low in VERBS or after.gap or after.hard or after.low == "," or after.low in SHE):
            return before is not None and before.low not in ("a", "my", "big")
        return False

    def _said_by_itself(self, units: list[Unit], i: int) -> bool:
        """"ruby next she …" and not "comb next to the …"."""
        k = i + 2
        if k >= len(units):
            return True
        unit = units[k]
        return (
            unit.kind != "word"
            or unit.gap
            or unit.low in {*AFTER, units[i].low}
            or bool(
                unit.region
                or unit.is_cue("returning")
                or any(self.role(unit, role) for role in ("colour", "band", "no-band", "sex"))
            )
        )

    def titled(self, units: list[Unit], i: int) -> bool:
        """A word not known for a name after "poor old …": it may be no name."""
        return (
            i > 0
            and bool(self.role(units[i - 1], "title"))
            and not self.given(units[i])
            and units[i - 1].low not in TITLES
        )

    def with_title(self, units: list[Unit], i: int) -> int:
        """Where the name begins that ends at i: "Mrs Tibbs", "Ms. Juniper"."""
        k = i - 1 - (i > 1 and units[i - 1].low == "." and units[i - 2].low in TITLES)
        return k if k >= 0 and units[k].low in TITLES and not units[k].used else i

    def stands(self, units: list[Unit], i: int) -> bool:
        """After words that bring a bird: does the word at i stand as a name, or does talk go on ("next ask …")?"""
        after = unit_at(units, i + 1)
        return (
            after is None
            or after.kind != "word"
            or after.gap
            or self.given(units[i])
            or after.low in AFTER
            or (
                after.low in VERBS
                or self._follows(after)
                or self.begins_report(after)
                or bool(after.signs or (after.birds and self.given(after)))
            )
        )

    def heads_line(self, units: list[Unit], i: int, text: str, cased: bool) -> bool:
        """A note's line that begins with a name: "Petal - dull", "Clover = …", "Tawny (no ring)"."""
        if not cased or not self.possible(units, i, text, cased) or i + 1 >= len(units):
            return False
        after = units[i + 1]
        if after.kind == "newline" and i > 0 and units[i - 1].kind == "newline" and self.wordless(units[i]):
            return True
        if not (i == 0 or units[i - 1].kind == "newline"):
            return after.low == "=" and units[i - 1].hard and self.plain(units[i])
        if not self.plain(units[i]):
            known = units[i].region or units[i].signs or units[i].measures or units[i].action
            return after.low == "=" or (after.low in ("(", ":", "-") and not known)
        return after.low in LINE_MARKS or bool(self.role(after, "no-band") or self.role(after, "sex"))

    def again(self, units: list[Unit], i: int, text: str, cased: bool) -> bool:
        """The word at i is a name known from elsewhere in the text: does it stand as one here?"""
        unit = units[i]
        if unit.used or unit.kind != "word" or (cased and not text[unit.span.start].isupper()):
            return False
        before = unit_at(units, i - 1)
        after = unit_at(units, i + 1)
        if before is not None and (
            (before.low in NOT_BEFORE and not self.role(before, "again")) or before.is_cue("other-bird")
        ):
            deed = before.low in ("for", "on") and any(u.action for u in units[max(0, i - 3) : i])  # powder for Mabel
            return deed or (before.low in ("to", "for", "of", "on") and bool(before.role("again", self.roles)))
        if after is not None and after.low == "'s" and any(self.role(u, "kin") for u in units[i + 2 : i + 4]):
            return False
        if self.plain(unit):
            return True
        if after is None:
            return self.opens(units, i)
        return (self.opens(units, i) and (after.low in VERBS or after.low in SHE or after.region != "")) or (
            cased and i > 0 and not units[i - 1].hard
        )

    def acts(self, units: list[Unit], i: int) -> bool:
        """Does the word at i do, have or head something ("Juno has …", "Hetty all normal", "Daisy comb pale")?"""
        after = unit_at(units, i + 1)
        return after is not None and (
            after.low in VERBS
            or after.low in SHE
            or bool(after.region or after.signs or after.side or after.measures or after.is_cue("rest"))
        )

    def vocative(self, units: list[Unit], i: int, text: str, cased: bool) -> bool:
        """Spoken to: "Okay, Captain, …"; taken only where no bird is named otherwise."""
        before, after = unit_at(units, i - 1), unit_at(units, i + 1)
        return bool(
            cased
            and before is not None
            and before.low == ","
            and after is not None
            and after.low in (",", ".", "!")
            and self.possible(units, i, text, cased)
            and self.plain(units[i])
        )

    def alone(self, units: list[Unit], i: int, text: str, cased: bool) -> bool:
        """The last resort: an unknown word that does or has something ("well peony's had a rough spring")."""
        before, after = unit_at(units, i - 1), unit_at(units, i + 1)
        if after is None or not self.possible(units, i, text, cased) or not self.plain(units[i]):
            return False
        if cased and before is not None and (before.low == ":" or self.intro(before)):
            return True
        if cased and self.opens(units, i) and self.acts(units, i):
            return True
        told = self.acts(units, i) or self.begins_report(after) or self._put_down(units, i)
        if not cased and told and (self.given(units[i]) or self._opens_talk(units, i)):
            return before is None or before.low not in NOT_BEFORE
        if not cased and self.given(units[i]) and after.low in VERBS:
            return True
        if cased and self.given(units[i]) and (before is None or before.low not in NOT_BEFORE):
            stop = next((k for k in range(i, len(units)) if units[k].hard), len(units))
            if stop + 1 < len(units) and units[stop + 1].low in SHE:
                return True  # "I went over Saffron this evening. She is …"
        if not self.opens(units, i) and not (before is not None and self.role(before, "title")):
            return False
        follow = unit_at(units, i + 2)
        return (after.low in ("'s", "has") and follow is not None and follow.low in AFTER_LONE) or (
            (after.low in SHE and (before is None or before.low != "so")) or (cased and after.low in VERBS)
        )
