"""The pen day by day: deaths, eggs, water, feed and sick birds, and what of them fell or came together.

An observation's `detail` may hold what it was before: "was 20", "down 50 %", or only "down".
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median

from dictate.care.concern_rules import Fall, Rules, said
from dictate.record import BirdRecord, StoredExam, StoredObservation

__all__ = ["Death", "Fell", "deaths", "falls", "pens_of", "same_pen"]

_WAS = re.compile(r"\bwas ([\d.]+)")
_DOWN = re.compile(r"\bdown(?: ([\d.]+) %)?")


@dataclass(frozen=True, slots=True)
class Death:
    """Deaths of a pen on a day for which nobody said a cause; `birds` those known by name."""

    on: date
    pen: str | None
    count: int
    said: tuple[StoredObservation, ...] = ()
    birds: tuple[BirdRecord, ...] = ()


@dataclass(frozen=True, slots=True)
class Fell:
    """A figure of a pen that is lower than before (negative `share`: higher). `before` is the middle of the
    earlier days, or what was said; None where only a fall was said of."""

    kind: str
    on: date
    pen: str | None
    value: float | None
    before: float | None
    share: float
    said: tuple[StoredObservation, ...]


def same_pen(one: str | None, other: str | None) -> bool:
    """Whether two names are of one pen: "Orchard" and "orchard pen", "3" and "pen 3"."""
    if one is None or other is None:
        return one is other
    a, b = set(one.casefold().split()), set(other.casefold().split())
    return a <= b or b <= a


def pens_of(names: Iterable[str | None]) -> list[str]:
    """The different pens among the names, in order."""
    found: list[str] = []
    for name in names:
        if name is not None and not any(same_pen(name, known) for known in found):
            found.append(name)
    return found


def deaths(
    observations: Iterable[StoredObservation], birds: Iterable[BirdRecord], exams: Iterable[StoredExam],
    on: date, rules: Rules,
) -> list[Death]:
    """Deaths of the last `days.flock` days by day and pen. The same death may be counted by an observation,
    in the register and by a post-mortem: the larger of what was said and of the birds known counts."""
    first = on - timedelta(days=rules.days.flock)
    told: dict[tuple[date, str | None], list[StoredObservation]] = defaultdict(list)
    known: dict[tuple[date, str | None], dict[str, BirdRecord]] = defaultdict(dict)
    for one in observations:
        if one.kind == rules.counts.deaths and one.on and first <= one.on <= on and not _explained(one, rules):
            told[one.on, one.pen].append(one)
    by_id = {bird.id: bird for bird in birds}
    for bird in by_id.values():
        if bird.left_how in rules.counts.died and bird.left_on and first <= bird.left_on <= on:
            known[bird.left_on, bird.pen][bird.id] = bird
    listed = {bird_id for named in known.values() for bird_id in named}
    for exam in exams:
        opened = by_id.get(exam.bird_id or "")
        if (
            exam.kind == "post-mortem" and exam.on and first <= exam.on <= on and opened
            and opened.id not in listed and opened.left_how in (None, *rules.counts.died)
        ):
            known[exam.on, opened.pen][opened.id] = opened
            listed.add(opened.id)
    out = []
    for day, pen in dict.fromkeys((*told, *known)):
        named = tuple(known.get((day, pen), {}).values())
        said_of = [o.value if o.value is not None else rules.counts.several for o in told.get((day, pen), [])]
        count = max(int(sum(said_of)), len(named))
        if pen is None and not told.get((day, pen)):
            # a bird of no pen may be one of those counted in a pen that day
            count = max(0, count - sum(int(o.value or 0) for (d, _), all_ in told.items() if d == day for o in all_))
        if count:
            out.append(Death(day, pen, count, tuple(told.get((day, pen), [])), named))
    return sorted(out, key=lambda death: death.on)


def _explained(one: StoredObservation, rules: Rules) -> bool:
    return bool(said(f"{one.said or one.quote} {one.detail or ''}", rules.counts.explained_said))


def falls(observations: Sequence[StoredObservation], on: date, rules: Rules) -> list[Fell]:
    """Falls that count, the last of each kind and pen within `days.flock`, and rises of the same size.

    A fall is said ("down from twenty to eleven"), or seen against the middle of at least two earlier days
    within `days.baseline` (one day where it is by half or more). It counts where it is as large as the rule
    of its kind asks, on as many days as it asks; by half or more, or said as a fall, one day is enough.
    """
    first = on - timedelta(days=rules.days.flock + rules.days.baseline)
    out = []
    for rule in rules.fall:
        by_pen: dict[str | None, list[StoredObservation]] = defaultdict(list)
        for one in observations:
            if one.kind == rule.kind and one.on and first <= one.on <= on:
                by_pen[one.pen].append(one)
        for pen, rows in by_pen.items():
            found = _fall(rule, pen, rows, on, rules)
            if found:
                out.append(found)
    return out


def _fall(
    rule: Fall, pen: str | None, rows: list[StoredObservation], on: date, rules: Rules
) -> Fell | None:
    days: dict[date, list[StoredObservation]] = defaultdict(list)
    for one in rows:
        if one.on is not None:
            days[one.on].append(one)
    last = max(days)
    if last < on - timedelta(days=rules.days.flock):
        return None
    told = _told(rule, days[last])
    if told is not None:
        value, before, share = told
        large = share >= rule.share and (before is None or value is None or abs(before - value) >= rule.least)
        return Fell(rule.kind, last, pen, value, before, share, tuple(days[last])) if large else None
    totals = {day: sum(o.value for o in said_then if o.value is not None) for day, said_then in sorted(days.items())
              if any(o.value is not None for o in said_then)}
    if last not in totals:
        return None
    need = rule.days
    recent = list(totals)[-need:]
    earlier = [totals[d] for d in totals if d < last and (last - d).days <= rules.days.baseline]
    lasting = [totals[d] for d in totals if d < recent[0] and (last - d).days <= rules.days.baseline]
    for values, over in ((earlier, [last]), (lasting, recent)):
        if not values or not (middle := median(values)):
            continue
        changes = [100 * (middle - totals[d]) / middle for d in over]
        share = min(changes, key=abs)
        by = abs(middle - totals[last])
        halved = abs(share) >= 50 and by > rule.least
        enough = halved or (len(over) >= need and len(values) >= 2)
        same_way = all(c > 0 for c in changes) or all(c < 0 for c in changes)
        large = abs(share) >= rule.share and by >= rule.least
        if enough and same_way and large:
            here = tuple(o for d in over for o in days[d])
            return Fell(rule.kind, last, pen, totals[last], middle, round(share, 1), here)
    return None


def _told(rule: Fall, said_then: list[StoredObservation]) -> tuple[float | None, float | None, float] | None:
    """(value, before, per cent) of a fall that was said; None where none was."""
    for one in said_then:
        detail = one.detail or ""
        if (was := _WAS.search(detail)) and one.value is not None and float(was[1]) > 0:
            before = float(was[1])
            return one.value, before, round(100 * (before - one.value) / before, 1)
        if down := _DOWN.search(detail):
            return one.value, None, float(down[1]) if down[1] else float(rule.share)
    return None
