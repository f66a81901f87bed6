"""Pairs of looks at the same birds, of two examiners or of two days, for their agreement."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from dictate.model import Exam
from dictate.record import StoredExam, examined_regions

__all__ = ["GRADES", "Pairs", "pairs_of_days", "pairs_of_examiners"]

GRADES = (0, 1, 2, 3)


@dataclass(frozen=True, slots=True)
class Pairs:
    """Grades of the first and the second look at each bird: 0 looked at and without the sign, else 1 to 3;
    without grades only 0 and 1. `one_only`: birds that only one of the two looked at; `ungraded`: pairs left
    out because the sign was there without a grade, or only perhaps."""

    pairs: tuple[tuple[int, int], ...]
    one_only: int
    ungraded: int


def pairs_of_examiners(
    exams: Iterable[StoredExam], first: str, second: str, *, sign: str, regions: Sequence[str],
    within: int = 1, graded: bool = False,
) -> Pairs:
    """Looks of two examiners at the same bird at most `within` days apart, the nearest of each bird."""
    looks = _looks(exams, sign, regions, graded)
    pairs: list[tuple[int | None, int | None]] = []
    one_only = 0
    for rows in looks.values():
        ones = [r for r in rows if _same(r[1], first)]
        others = [r for r in rows if _same(r[1], second)]
        near = [(a, b) for a in ones for b in others if abs((a[0] - b[0]).days) <= within]
        if near:
            one, other = min(near, key=lambda pair: abs((pair[0][0] - pair[1][0]).days))
            pairs.append((one[2], other[2]))
        elif ones or others:
            one_only += 1
    return _counted(pairs, one_only)


def pairs_of_days(
    exams: Iterable[StoredExam], first: date, second: date, *, sign: str, regions: Sequence[str],
    graded: bool = False,
) -> Pairs:
    """Looks at the same bird on two days, the last of each day."""
    pairs: list[tuple[int | None, int | None]] = []
    one_only = 0
    for rows in _looks(exams, sign, regions, graded).values():
        by_day = {day: grade for day, _, grade in rows}
        if first in by_day and second in by_day:
            pairs.append((by_day[first], by_day[second]))
        elif first in by_day or second in by_day:
            one_only += 1
    return _counted(pairs, one_only)


def _same(one: str | None, other: str) -> bool:
    return one is not None and one.casefold() == other.casefold()


def _counted(pairs: Sequence[tuple[int | None, int | None]], one_only: int) -> Pairs:
    whole = tuple((a, b) for a, b in pairs if a is not None and b is not None)
    return Pairs(whole, one_only, len(pairs) - len(whole))


def _looks(
    exams: Iterable[StoredExam], sign: str, regions: Sequence[str], graded: bool
) -> dict[str, list[tuple[date, str | None, int | None]]]:
    """(day, examiner, grade) of every exam in which one of the regions was looked at, by bird, oldest first."""
    looks: dict[str, list[tuple[date, str | None, int | None]]] = defaultdict(list)
    for stored in exams:
        exam = stored.confirmed
        if stored.bird_id and stored.on and stored.kind == "live" and examined_regions(exam) & set(regions):
            looks[stored.bird_id].append((stored.on, stored.examiner, _grade(exam, sign, regions, graded)))
    for rows in looks.values():
        rows.sort(key=lambda row: row[0])
    return looks


def _grade(exam: Exam, sign: str, regions: Sequence[str], graded: bool) -> int | None:
    """The worst grade of the sign in the regions; None where it cannot be told."""
    found = [f for f in exam.findings if f.sign == sign and f.region in regions and f.when == "now"]
    there = [f for f in found if f.presence == "present"]
    if not there:
        return 0
    sure = [f for f in there if f.certainty == "sure"]
    if not graded:
        return 1 if sure else None
    return None if any(f.grade is None for f in there) or not sure else max(f.grade or 0 for f in sure)
