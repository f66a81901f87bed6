"""How long a treatment holds produce back, with its working. No product, dose or interval is proposed:
all days are the label's or the vet's, and where these or the law of the place are not known a vet is asked."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from dictate.keeping import Course, Produce
from dictate.vocabulary.entries import Regime

__all__ = ["End", "end_of", "regime_on"]

ASK = "ask a vet"


@dataclass(frozen=True, slots=True)
class End:
    """The last day on which produce is held back for a course. `until` None with `ask`: not known, and it
    is held until a vet has said; without `ask`: nothing is held. `why` is the working in a sentence."""

    produce: Produce
    until: date | None
    ask: bool
    why: str
    source: str = ""
    memory: str = ""

    @property
    def free(self) -> bool:
        return self.until is None and not self.ask


def regime_on(regimes: Iterable[Regime], place: str | None, day: date) -> Regime | None:
    """The rules of a place for a last dose on that day; None where none are known."""
    for regime in regimes:
        if regime.place == place and regime.since <= day and (regime.until is None or day <= regime.until):
            return regime
    return None


def end_of(course: Course, produce: Produce, regimes: Iterable[Regime]) -> End:
    """The end of withholding for one produce of one course, by the label, the vet and the law."""
    regimes = tuple(regimes)
    known_place = any(regime.place == course.regime for regime in regimes)
    if course.use == "label" and course.label(produce) == 0 and not course.vet(produce) and known_place:
        return End(produce, None, False, f"used as its label says, which has no days for {produce}")
    if course.last_on is None:
        return _ask(produce, "its last dose was not said, or it is still being given")
    regime = regime_on(regimes, course.regime, course.last_on)
    if regime is None:
        where = f"in {course.regime}" if course.regime else "here: the settings name no place (regime)"
        return _ask(produce, f"no law on withholding is known for a last dose on {course.last_on} {where}")
    if course.use == "label":
        return _by_label(course, course.last_on, produce, regime)
    # A vet's own days, of a use that was not told, are judged by the stricter of the two readings.
    if course.use == "off-label" or (course.use == "not said" and course.vet(produce) is not None):
        return _off_label(course, course.last_on, produce, regime)
    return _ask(produce, "it was not said whether it was used as its label says", regime)


def _ask(produce: Produce, why: str, regime: Regime | None = None) -> End:
    source = regime.source if regime else ""
    return End(produce, None, True, f"{ASK}: {why}", source, regime.memory if regime else "")


def _by_label(course: Course, last: date, produce: Produce, regime: Regime) -> End:
    label, vet = course.label(produce), course.vet(produce)
    if label is None and vet is None:
        return _ask(produce, f"the label's days for {produce} were not said", regime)
    days = max(label or 0, vet or 0)
    named = {"the label's": label, "the vet's": vet}
    parts = [f"{whose} {said} days" for whose, said in named.items() if said is not None]
    longest = "the longer of " if len(parts) > 1 else ""
    why = f"last dose {last}, then {longest}{' and '.join(parts)} for {produce}, used as its label says"
    return _held(course, last, days, produce, why, regime)


def _off_label(course: Course, last: date, produce: Produce, regime: Regime) -> End:
    label, vet = course.label(produce), course.vet(produce)
    if course.prescriber is None:
        how = "it was used otherwise than its label says, and" if course.use == "off-label" else "days were set, but"
        return _ask(produce, f"{how} no vet is named for it", regime)
    least, how = _least(label, produce, regime)
    if vet is None:
        if label is not None and least is not None and regime.factor is not None:
            why = f"last dose {last}, then {how}; the vet may set more"
            return _held(course, last, least, produce, why, regime)
        known = f"; the law of {regime.called} allows no fewer than {least} days" if least else ""
        return _ask(
            produce, f"it was used otherwise than its label says, and {course.prescriber} has set no days"
            f" for {produce} that are written down{known}", regime,
        )
    why = f"last dose {last}, then the {vet} days that {course.prescriber} set for {produce}"
    if least is not None and least > vet:
        why += f", raised to {how}"
    return _held(course, last, max(vet, least or 0), produce, why, regime)


def _least(label: int | None, produce: Produce, regime: Regime) -> tuple[int | None, str]:
    """The fewest days that the law allows off the label, and how they come about."""
    if label is None:
        days = regime.least.get(produce)
        return days, f"{days} days, the least in {regime.called} where a label has none for {produce}"
    if label == 0:
        days = regime.least_of_none.get(produce, 0) if regime.factor is not None else None
        return days, f"{days} days, the least in {regime.called} where the label has 0 days"
    if regime.factor is None:
        return regime.least.get(produce), f"the least in {regime.called}"
    days = math.ceil(label * regime.factor)
    product = f"{label} days of its label × {regime.factor:g} = {label * regime.factor:g}"
    rounded = f", rounded up to {days}" if days != label * regime.factor else " days"
    return days, f"{product}{rounded} ({regime.called})"


def _held(course: Course, last: date, days: int, produce: Produce, why: str, regime: Regime) -> End:
    if days == 0:
        return End(produce, None, False, why, regime.source, regime.memory)
    return End(produce, last + timedelta(days=days), False, why, regime.source, regime.memory)
