"""One bird over time: each sign head to tail, what became of it, and what came of what was done.

Not spoken of, looked at and normal, and looked at and absent stay three things: a sign is gone only when
somebody said so, or called its region normal.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time
from itertools import pairwise
from typing import Literal

from dictate.care.rechecks import RECHECK, regions_of
from dictate.model import Action, Exam, Finding, Measurement
from dictate.record import StoredExam, examined_regions

__all__ = ["Came", "Outcome", "Seen", "SignLine", "Timeline", "timeline"]

NORMAL = "normal"
WEIGHT = "weight"
State = Literal["new", "same", "better", "worse", "still there", "gone"]


@dataclass(frozen=True, slots=True)
class Seen:
    """What one exam says of a sign on one side of a region: there with its grade, or gone."""

    on: date
    exam_id: str
    there: bool
    grade: int | None = None
    perhaps: bool = False
    quote: str = ""


@dataclass(frozen=True, slots=True)
class SignLine:
    """One sign on one side of one region. `since`: first seen this time; `seen`: every exam that says
    anything of it, oldest first. `silent_on`: the last later exam in which the region was examined and
    nothing was said of the sign; `unseen_on`: the last later exam in which the region was not examined."""

    region: str
    side: str | None
    sign: str
    state: State
    since: date
    seen: tuple[Seen, ...]
    silent_on: date | None = None
    unseen_on: date | None = None

    @property
    def last(self) -> Seen:
        return self.seen[-1]

    @property
    def grade(self) -> int | None:
        """The grade when it was last there."""
        return next((one.grade for one in reversed(self.seen) if one.there), None)

    @property
    def times(self) -> int:
        """How many times it has come."""
        return self.seen[0].there + sum(b.there and not a.there for a, b in pairwise(self.seen))


@dataclass(frozen=True, slots=True)
class Came:
    """What was next said of a sign after something was done about it (`after` None: nothing yet)."""

    region: str
    side: str | None
    sign: str
    before: Seen
    after: Seen | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """An action and what came of it. For a recheck `looked_on` is the day by which all of `regions`
    (of the whole bird where there are none) had been looked at again."""

    action: Action
    on: date | None
    exam_id: str
    regions: tuple[str, ...]
    came: tuple[Came, ...]
    looked_on: date | None = None


@dataclass(frozen=True, slots=True)
class Timeline:
    """`weights`: (day, grams). `well`: regions of the last exam in which nothing was wrong; `not_looked_at`:
    regions of which the last exam says nothing. `rest_normal`: that exam called the rest normal."""

    signs: tuple[SignLine, ...]
    weights: tuple[tuple[date, float], ...]
    measures: tuple[tuple[tuple[str, str | None, str | None], tuple[tuple[date, float], ...]], ...]
    outcomes: tuple[Outcome, ...]
    last_on: date | None
    well: tuple[str, ...]
    not_looked_at: tuple[str, ...]
    rest_normal: bool


def timeline(
    history: Iterable[StoredExam], head_to_tail: Sequence[str], *, until: date | None = None,
    everywhere: Collection[str] = (), states: Collection[str] = (), plain: Collection[str] = (),
) -> Timeline:
    """The timeline of one bird's confirmed exams, up to a day. Post-mortems and undated exams are no part
    of it; the caller shows them apart. `everywhere`: regions that stand for the whole bird: what is absent
    from one of them is absent all over ("no mites"). `states`: signs of which a region has one at a time, so
    that one ends the other. `plain`: signs that may be seen with nothing wrong, and make no line.
    """
    own = _Words(frozenset(everywhere), frozenset(states))
    exams = sorted(
        (
            e for e in history
            if e.kind == "live" and e.status != "withdrawn" and e.on is not None and (until is None or e.on <= until)
        ),
        key=lambda e: (e.on or date.min, e.at or time.min),
    )
    order = {region: place for place, region in enumerate(head_to_tail)}
    tracks = dict.fromkeys(
        (f.region, side, f.sign) for exam in exams for f in exam.confirmed.findings
        if _is_there(f) and f.sign not in plain
        for side in _sides(f)
    )
    lines = [_line(exams, own, *track) for track in tracks]
    lines.sort(key=lambda x: (order.get(x.region, len(order)), x.side or "zz", x.since, x.sign))
    last = exams[-1].confirmed if exams else Exam()
    looked = examined_regions(last)
    wrong = {f.region for f in last.findings if _is_there(f) and f.sign not in plain}
    return Timeline(
        signs=tuple(lines), weights=_weights(exams), measures=_measures(exams),
        outcomes=tuple(_outcome(exams, own, plain, exam, a) for exam in exams for a in exam.confirmed.actions),
        last_on=exams[-1].on if exams else None,
        well=tuple(r for r in head_to_tail if r in looked and r not in wrong),
        not_looked_at=tuple(r for r in head_to_tail if r not in looked) if exams else (),
        rest_normal=last.rest_normal,
    )


@dataclass(frozen=True, slots=True)
class _Words:
    """What the lexicon says of regions and signs, as far as it is needed here."""

    everywhere: frozenset[str]
    states: frozenset[str]


def _is_there(finding: Finding) -> bool:
    return finding.presence == "present" and finding.when == "now" and finding.sign != NORMAL


def _sides(finding: Finding) -> tuple[str | None, ...]:
    return ("left", "right") if finding.side == "both" else (finding.side,)


def _of_side(finding: Finding, side: str | None) -> bool:
    """Whether what is said of one side, of both or of none that was named holds for `side`."""
    return finding.side in (side, "both", None)


def _seen(
    stored: StoredExam, words: _Words, region: str, side: str | None, sign: str
) -> Seen | None:
    """What an exam says of the sign there; None where it says nothing."""
    assert stored.on is not None
    said = stored.confirmed.findings
    there = [f for f in said if _is_there(f) and (f.region, f.sign) == (region, sign) and side in _sides(f)]
    if there:
        worst = max(there, key=lambda f: f.grade or 0)
        perhaps = all(f.certainty == "possible" for f in there)
        return Seen(stored.on, stored.id, True, worst.grade, perhaps, worst.quote)
    for finding in said:
        named = finding.sign == sign and (finding.region == region and _of_side(finding, side))
        everywhere = finding.sign == sign and finding.presence == "absent" and finding.region in words.everywhere
        normal = finding.sign == NORMAL and finding.region == region and _of_side(finding, side)
        over = finding.presence == "absent" or finding.when == "past"
        other = _is_there(finding) and {finding.sign, sign} <= words.states and finding.region == region
        well = normal and finding.when == "now" and finding.presence == "present"
        if other or well or ((named or everywhere) and over):
            return Seen(stored.on, stored.id, False, None, finding.certainty == "possible", finding.quote)
    return None


def _line(
    exams: Sequence[StoredExam], words: _Words, region: str, side: str | None, sign: str
) -> SignLine:
    said = [(exam, _seen(exam, words, region, side, sign)) for exam in exams]
    seen = [one for _, one in said if one is not None]
    first = next(place for place, one in enumerate(seen) if one.there)
    seen = seen[first:]  # that it was not there before it came is no news
    last = seen[-1]
    later = [exam for exam, one in said if one is None and exam.on is not None and exam.on > last.on]
    looked = [e.on for e in later if region in examined_regions(e.confirmed)]
    unseen = [e.on for e in later if region not in examined_regions(e.confirmed)]
    begun = seen[0]
    for before, after in pairwise(seen):
        if after.there and not before.there:
            begun = after
    return SignLine(
        region, side, sign, _state(seen), begun.on, tuple(seen),
        looked[-1] if looked else None, unseen[-1] if unseen else None,
    )


def _state(seen: Sequence[Seen]) -> State:
    last = seen[-1]
    if not last.there:
        return "gone"
    if len(seen) == 1 or not seen[-2].there:
        return "new"
    before = seen[-2].grade
    if before is None or last.grade is None:
        return "still there"
    return "same" if before == last.grade else "better" if last.grade < before else "worse"


def _measures(
    exams: Iterable[StoredExam],
) -> tuple[tuple[tuple[str, str | None, str | None], tuple[tuple[date, float], ...]], ...]:
    """Values of other measurements over the days, by kind, what they are of, and their scale."""
    found: dict[tuple[str, str | None, str | None], list[tuple[date, float]]] = {}
    for exam in exams:
        for one in exam.confirmed.measurements:
            if exam.on is not None and not one.former and one.kind != WEIGHT:
                found.setdefault((one.kind, one.of, one.scheme), []).append((exam.on, one.value))
    return tuple((key, tuple(values)) for key, values in found.items())


def _weights(exams: Iterable[StoredExam]) -> tuple[tuple[date, float], ...]:
    """The last weight of each day."""
    found: dict[date, float] = {}
    for exam in exams:
        for one in exam.confirmed.measurements:
            if exam.on is not None and _is_weight(one):
                found[exam.on] = one.value
    return tuple(found.items())


def _is_weight(measurement: Measurement) -> bool:
    return measurement.kind == WEIGHT and not measurement.former


def _outcome(
    exams: Sequence[StoredExam], words: _Words, plain: Collection[str], stored: StoredExam, action: Action
) -> Outcome:
    regions = regions_of(stored.confirmed, action)
    later = [exam for exam in exams if exam.on is not None and stored.on is not None and exam.on > stored.on]
    came = [
        _came(later, words, stored, finding.region, side, finding.sign)
        for finding in stored.confirmed.findings
        if _is_there(finding) and finding.region in regions and finding.sign not in plain
        for side in _sides(finding)
    ]
    looked_on = None
    if action.kind == RECHECK:
        waiting = set(regions)
        for exam in later:
            waiting -= examined_regions(exam.confirmed)
            if not waiting:
                looked_on = exam.on
                break
    return Outcome(action, stored.on, stored.id, regions, tuple(dict.fromkeys(came)), looked_on)


def _came(
    later: Iterable[StoredExam], words: _Words, stored: StoredExam, region: str, side: str | None,
    sign: str,
) -> Came:
    before = _seen(stored, words, region, side, sign)
    assert before is not None
    after = next((seen for exam in later if (seen := _seen(exam, words, region, side, sign))), None)
    return Came(region, side, sign, before, after)
