"""A name and a band said of one bird in one breath: "Dolly, red 4", "Red 4. Dolly.", "red four that's dolly".

Where bands are used, a word is taken for a name only where it stands at a band with nothing but small
words between: people are spoken to in the same texts.
"""

from __future__ import annotations

from dictate.extraction.english import ARTICLES, POSSESSIVE, SHE_OR_HE
from dictate.extraction.names import NOT_BEFORE, TALK, NameReader
from dictate.extraction.told_by_name import likely_name
from dictate.extraction.units import Unit, unit_at

__all__ = ["NEAR", "beside_band", "name_at_band"]

LIGHT = frozenset(
    ", | ( | ) | : | - | \" | is | 's | that's | this | this is | it's | and | so | okay | right | with | "
    "on | now | my | our | then | also | or | = | – | / | wears | wearing | has | got | old".split(" | ")
)
AFTER_NAME = frozenset(". ! ?".split())
WORN = frozenset("her his who's who wearing wears isn't it , ring's band's with on".split())
KNOWN_AS = frozenset("which also known as aka otherwise called again again, named".split())
CLOSE = frozenset("she's that's who's 's she he he's with wearing".split())
IN_TALK = frozenset("a the so and then now".split())
REACH = 8
NEAR = 4  # units between two mentions in one breath
BIRD_ROLES = frozenset("sex breed band title colour start name".split())


def name_at_band(names: NameReader, units: list[Unit], at: int, end: int, text: str, cased: bool) -> int:
    """The place of a name beside the band in units at..end, or -1."""
    stops = 0
    for k in range(at - 1, max(-1, at - REACH), -1):
        unit = units[k]
        if unit.used == "bird":
            break
        if (
            (k + 1 == at or not units[k + 1].number)
            and (not stops or units[k + 1].low in AFTER_NAME)
            and (
                (_may_be(names, units, k, text, cased) and _opens(names, units, k))
                or (_likely(names, units, k, text, cased) and _brought(names, units, k, at))
            )
        ):
            return k
        stops += unit.hard
        if stops > 1 or not (unit.hard or _light(names, unit) or unit.low in SHE_OR_HE or unit.low in WORN):
            break
    stops = 0
    for k in range(end, min(len(units), end + REACH)):
        unit = units[k]
        if unit.used == "bird":
            break
        if _may_be(names, units, k, text, cased) or _likely(names, units, k, text, cased):
            after = unit_at(units, k + 1)
            closed = (
                after is None
                or after.kind != "word"
                or after.gap
                or after.low in {*SHE_OR_HE, "is", "'s", "to"}
                or (
                    names.begins_report(after) and not (after.birds or after.number) and units[k - 1].low not in IN_TALK
                )
            )
            return k if closed and (not stops or after is None or after.hard) else -1
        stops += unit.hard
        if stops > 1 or unit.low in SHE_OR_HE or not (unit.hard or _light(names, unit) or unit.low in KNOWN_AS):
            break
    return -1


def _likely(names: NameReader, units: list[Unit], k: int, text: str, cased: bool) -> bool:
    """In speech: a word that the lexicon does not know and that looks like no adjective or verb."""
    return not cased and likely_name(names, units, k, text, cased)


def _brought(names: NameReader, units: list[Unit], k: int, at: int) -> bool:
    """Is the word at k brought as a bird ("this is moppet blue seven"), or does it stand right at the band?"""
    before, after = unit_at(units, k - 1), units[k + 1]
    if before is not None and before.low in NOT_BEFORE | POSSESSIVE | {"n't", "to", "my", "i", "you"}:
        return False
    close = k + 1 == at or after.low in CLOSE
    if before is None:
        return True
    if names.intro(before) in ("presented", "called"):
        return True
    begins = (
        before.gap
        or before.used in ("bird", "measure")
        or bool(before.unit or names.intro(before) or names.role(before, "next"))
    )
    return close and (begins or before.low in TALK or bool(before.signs))


def _may_be(names: NameReader, units: list[Unit], k: int, text: str, cased: bool) -> bool:
    return names.possible(units, k, text, cased) and (names.plain(units[k]) if cased else names.given(units[k]))


def _opens(names: NameReader, units: list[Unit], k: int) -> bool:
    return names.opens(units, k) or bool(names.role(units[k - 1], "title"))


def _light(names: NameReader, unit: Unit) -> bool:
    """Words that may stand between the name and the band of one bird."""
    return (
        unit.low in LIGHT
        or unit.low in ARTICLES
        or bool(unit.number)
        or bool(unit.delay)
        or bool(unit.birds and any(names.roles[m.id] in BIRD_ROLES for m in unit.birds))
        or "age" in unit.measures
    )


def beside_band(units: list[Unit], first: int, last: int) -> bool:
    """Are the units between two mentions (end of one, start of the other) few, and in one breath?"""
    return last - first <= NEAR and not any(u.hard or u.signs or u.region for u in units[first:last])
