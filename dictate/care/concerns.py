"""What in the confirmed record should be watched, shown to a vet, or told to the authority.

Signs, combinations, figures and levels are the rules of concerns.toml; here is how they are applied. Only
confirmed exams and observations count: what was denied, past or taught stands in none of them as a sign
present now. It is advice to look or to call, and never says what ails a bird.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from dictate.care.concern_rules import LEVELS, Level, Rules, concern_rules, higher
from dictate.care.one_bird import judge_bird
from dictate.care.pen_concerns import judge_pens
from dictate.care.reasons import Ask, Evidence, Reason
from dictate.care.standing import subjects
from dictate.record import BirdRecord, StoredExam, StoredObservation

__all__ = ["Concern", "Concerns", "concerns"]


@dataclass(frozen=True, slots=True)
class Concern:
    """What there is about one bird, or (without a bird) about a pen or the whole flock."""

    level: Level
    reasons: tuple[Reason, ...]
    bird: str | None = None
    bird_id: str | None = None
    pen: str | None = None
    cautions: tuple[str, ...] = ()

    @property
    def evidence(self) -> tuple[Evidence, ...]:
        """What all reasons rest on, each thing once."""
        return tuple(dict.fromkeys(one for reason in self.reasons for one in reason.evidence))

    @property
    def label(self) -> str:
        """The bird, the pen, or the flock."""
        return self.bird or self.pen or "the flock"


@dataclass(frozen=True, slots=True)
class Concerns:
    """All concerns of a day, the gravest first; what has to be asked before it can be judged; and how many
    confirmed exams and observations could not be counted because they have no day."""

    on: date
    concerns: tuple[Concern, ...]
    asks: tuple[Ask, ...] = ()
    undated: int = 0
    rules: Rules = field(default_factory=concern_rules, repr=False)

    @property
    def level(self) -> Level | None:
        return self.concerns[0].level if self.concerns else None


def concerns(
    exams: Iterable[StoredExam],
    birds: Iterable[BirdRecord],
    observations: Iterable[StoredObservation],
    on: date,
    rules: Rules | None = None,
) -> Concerns:
    """Judge a day by what was confirmed up to it. Birds that have left are not named, but count for their pen."""
    rules = rules or concern_rules()
    exams, birds = list(exams), list(birds)
    told = [one for one in observations if one.status == "confirmed"]
    subject_list = subjects(exams, birds, on, rules)
    found: list[Concern] = []
    asks: list[Ask] = []
    for subject in subject_list:
        if not subject.here:
            continue
        reasons, asked = judge_bird(subject, on, rules)
        asks += asked
        level = _highest(reasons)
        if level:
            found.append(Concern(
                level, _without_repeats(_ordered(reasons)), subject.label,
                subject.bird.id if subject.bird else None, subject.pen,
                tuple(dict.fromkeys(name for reason in reasons for name in reason.caution)),
            ))
    for pen, reasons in judge_pens(subject_list, told, exams, birds, on, rules):
        level = _highest(reasons)
        if level:
            found.append(Concern(level, _ordered(reasons), pen=pen))
    undated = sum(exam.on is None and bool(exam.confirmed.findings) for exam in exams)
    undated += sum(one.on is None for one in told)
    found.sort(key=lambda c: (-LEVELS.index(c.level), c.bird is not None, c.label.casefold()))
    return Concerns(on, tuple(found), tuple(asks), undated, rules)


def _highest(reasons: Sequence[Reason]) -> Level | None:
    level: Level | None = None
    for reason in reasons:
        level = higher(level, reason.level)
    return level


def _ordered(reasons: Sequence[Reason]) -> tuple[Reason, ...]:
    return tuple(sorted(reasons, key=lambda reason: -LEVELS.index(reason.level)))


def _without_repeats(reasons: Sequence[Reason]) -> tuple[Reason, ...]:
    """Reasons of a lower level that rest on nothing but what a higher one rests on are not told again."""
    kept: list[Reason] = []
    for reason in reasons:
        above = {one for other in kept if other.level != reason.level for one in other.evidence}
        if not set(reason.evidence) <= above:
            kept.append(reason)
    return tuple(kept)
