"""How common a sign is among the birds that were examined for it.

Not mentioned, normal and absent are three things. A bird counts as examined for a region
when something was said of that region now (normal, present or absent). "The rest is normal"
names no region: a keeper may say it without having turned the bird over, so it does not
count as examined unless asked for; how many birds rest on it alone is always told.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time

from dictate.flock.intervals import wilson
from dictate.record import BirdRecord, StoredExam, examined_regions

__all__ = ["Prevalence", "prevalence"]


@dataclass(frozen=True, slots=True)
class Prevalence:
    """Birds with a sign among birds examined for its regions, each by her last such exam.

    positive: the sign was present and sure. possible: only possible, not counted as positive.
    rest_only: birds of which no more was said than that the rest is normal, in `examined` only
    where that was asked for. not_examined: birds of the flock whose regions nobody spoke of.
    left: examined birds that had left by the end. unidentified, undated: exams that could
    not be counted for want of a bird or a day. low and high: Wilson, 95 %.
    """

    sign: str
    regions: tuple[str, ...]
    since: date | None
    until: date
    positive: int
    examined: int
    possible: int
    rest_only: int
    not_examined: int
    left: int
    unidentified: int
    undated: int
    low: float
    high: float
    positive_birds: tuple[str, ...] = ()

    @property
    def share(self) -> float | None:
        """positive / examined; None where none was examined."""
        return self.positive / self.examined if self.examined else None


def prevalence(
    exams: Iterable[StoredExam],
    birds: Iterable[BirdRecord],
    *,
    sign: str,
    regions: Sequence[str],
    until: date,
    since: date | None = None,
    pen: str | None = None,
    side: str | None = None,
    rest_counts: bool = False,
) -> Prevalence:
    """The prevalence of a sign on any of the regions among birds in the flock on `until`.

    Of each bird the last exam from `since` to `until` counts in which one of the regions was
    examined (of two on one day the later by the clock, else by the log's order). Confirmed
    parts of exams of living birds only. `side`: only findings of that side or both are positive.
    """
    wanted = frozenset(regions)
    register = {bird.id: bird for bird in birds if pen is None or bird.pen == pen}
    here = {bird.id for bird in register.values() if bird.here_on(until)}
    last: dict[str, tuple[tuple[date, time, int], StoredExam]] = {}
    rest: dict[str, tuple[tuple[date, time, int], StoredExam]] = {}
    unidentified = undated = 0
    for number, stored in enumerate(exams):
        if stored.status == "withdrawn" or stored.kind != "live":
            continue
        exam = stored.confirmed
        looked = bool(wanted & examined_regions(exam))
        if not looked and not exam.rest_normal:
            continue
        if stored.on is None:
            undated += looked
            continue
        if stored.on > until or (since is not None and stored.on < since):
            continue
        if stored.bird_id is None:
            unidentified += looked and pen is None
            continue
        if stored.bird_id not in register:
            continue
        when = (stored.on, stored.at or time.min, number)
        for counts, by_bird in ((looked, last), (exam.rest_normal and not looked, rest)):
            if counts and (stored.bird_id not in by_bird or by_bird[stored.bird_id][0] < when):
                by_bird[stored.bird_id] = when, stored
    gone = sum(bird not in here for bird in last)
    rest_only = {bird for bird in rest if bird in here and bird not in last}
    if rest_counts:
        for bird in rest:
            if bird not in last or last[bird][0] < rest[bird][0]:
                last[bird] = rest[bird]
    counted = {bird: stored for bird, (_, stored) in last.items() if bird in here}
    verdicts = {bird: _verdict(stored, sign, wanted, side) for bird, stored in counted.items()}
    positive = tuple(bird for bird, verdict in verdicts.items() if verdict == "sure")
    low, high = wilson(len(positive), len(counted))
    return Prevalence(
        sign=sign, regions=tuple(regions), since=since, until=until, positive=len(positive),
        examined=len(counted), possible=sum(v == "possible" for v in verdicts.values()),
        rest_only=len(rest_only), not_examined=len(here - set(counted) - rest_only), left=gone,
        unidentified=unidentified, undated=undated, low=low, high=high, positive_birds=positive,
    )


def _verdict(stored: StoredExam, sign: str, regions: frozenset[str], side: str | None) -> str | None:
    """"sure", "possible" or None, by what was found of the sign there now."""
    found = [
        f.certainty for f in stored.confirmed.findings
        if f.sign == sign and f.region in regions and f.presence == "present" and f.when == "now"
        and (side is None or f.side in (side, "both"))
    ]
    return "sure" if "sure" in found else "possible" if found else None
