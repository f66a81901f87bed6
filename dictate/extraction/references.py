"""Going back to a bird by what she is: "his spur's cracked, hers are fine", "the hen goes in the crate".

Where both sexes were introduced, a word of the other sex than that of the bird in hand goes to the last bird of
that sex. A bird of whom no sex was said is taken for a female, unless "he" follows its first mention.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dictate.extraction.actions import FoundAction
from dictate.extraction.exams import OpenExam
from dictate.extraction.mentions import Mention, sex_of
from dictate.extraction.units import Unit, unit_at

__all__ = ["refer"]

MALE = frozenset("he him his he's he'll he'd himself".split())
FEMALE = frozenset("she her hers she's she'll she'd herself".split())
MALE_SEXES = frozenset("rooster cockerel".split())
SPEAKS = frozenset("says said say reckons reckoned thinks thought told asked wants came comes can wrote".split())
FIRST_WORDS = 8  # units after the first mention in which a pronoun tells the sex
NEAR_PERSON = 8


def refer(
    units: list[Unit], exams: Sequence[OpenExam], actions: Sequence[FoundAction], roles: Mapping[str, str]
) -> list[Mention]:
    """Mentions for the places where the talk goes to the bird of the other sex."""
    known = [e for e in exams if e.known and e.mentions]
    male = {id(e): _is_male(units, e, roles) for e in known}
    if len(set(male.values())) < 2:
        return []
    starts = {s.start: e for e in exams for s in e.segments}
    inside = {k: a.at for a in actions for k in range(a.at, a.end)}
    out: list[Mention] = []
    here: OpenExam | None = None
    since = 0
    latest: dict[bool, OpenExam] = {}  # the last bird of each sex
    for i, unit in enumerate(units):
        if i in starts:
            here, since = starts[i], i
            if id(here) in male:
                latest[male[id(here)]] = here
        sex = _sex_said(units, i, roles)
        if not sex or here is None or id(here) not in male or male[id(here)] == (sex == "male") or unit.muted:
            continue
        other = latest.get(sex == "male")
        if other is None or _of_a_person(units, i):
            continue
        here = latest[sex == "male"] = other
        place = max(inside.get(i, i), since + 1)
        out.append(Mention(place, place, band=here.band, name=here.name, again=True, span=unit.span))
        since = place
    return out


def _is_male(units: list[Unit], exam: OpenExam, roles: Mapping[str, str]) -> bool:
    sex = next((s for s in (sex_of(units, roles, part.start, part.end) for part in exam.segments) if s), "")
    if sex:
        return sex in MALE_SEXES
    first = exam.mentions[0]
    for unit in units[first.end : first.end + FIRST_WORDS]:
        if unit.used == "bird" or unit.low in FEMALE:
            return False
        if unit.low in MALE:
            return True
    return False


def _sex_said(units: list[Unit], i: int, roles: Mapping[str, str]) -> str:
    unit = units[i]
    if unit.kind != "word":
        return ""
    words = unit.low.split()
    if any(w in MALE for w in words):
        return "male"
    if any(w in FEMALE for w in words):
        return "female"
    before = unit_at(units, i - 1)
    if unit.birds and unit.used != "bird" and before is not None and before.low == "the" and unit.low[-1] != "s":
        sex = unit.role("sex", roles)
        return ("male" if sex in MALE_SEXES else "female") if sex else ""
    return ""


def _of_a_person(units: list[Unit], i: int) -> bool:
    """"he says", "the vet, he …": no bird."""
    after = unit_at(units, i + 1)
    if after is not None and after.low in SPEAKS:
        return True
    return any(m.id == "vet" for u in units[max(0, i - NEAR_PERSON) : i] for m in u.action)
