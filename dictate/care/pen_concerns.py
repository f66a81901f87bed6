"""A pen judged as a whole: deaths, falls, and several birds with signs within days.

Where no pen was said, the flock is one pen. Birds and deaths of different pens are added up too, and told
where that is graver than any one pen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from dictate.care.concern_rules import LEVELS, Level, Rules
from dictate.care.one_bird import groups_of
from dictate.care.pens import Death, Fell, deaths, falls, pens_of, same_pen
from dictate.care.reasons import Evidence, Reason, of_death, of_fall, of_observation, of_sign
from dictate.care.standing import Standing, Subject
from dictate.record import BirdRecord, StoredExam, StoredObservation

__all__ = ["judge_pens"]

GRAVEST: Level = "authority"


@dataclass(frozen=True, slots=True)
class _Told:
    """All that counts for pens, before it is cut to one pen and a few days."""

    birds: tuple[tuple[Subject, Standing, frozenset[str]], ...]
    deaths: tuple[Death, ...]
    falls: tuple[Fell, ...]
    sick: tuple[StoredObservation, ...]
    odd: tuple[StoredObservation, ...]

    def of(self, pen: str) -> _Told:
        return _Told(
            tuple(one for one in self.birds if same_pen(one[0].pen, pen)),
            tuple(one for one in self.deaths if same_pen(one.pen, pen)),
            tuple(one for one in self.falls if same_pen(one.pen, pen)),
            tuple(one for one in self.sick if same_pen(one.pen, pen)),
            tuple(one for one in self.odd if same_pen(one.pen, pen)),
        )

    @property
    def days(self) -> set[date]:
        observed = {one.on for one in (*self.sick, *self.odd) if one.on}
        return observed | {one[1].on for one in self.birds} | {d.on for d in self.deaths} | {f.on for f in self.falls}

    @property
    def pens(self) -> list[str | None]:
        return [
            *(one[0].pen for one in self.birds), *(d.pen for d in self.deaths), *(f.pen for f in self.falls),
            *(o.pen for o in (*self.sick, *self.odd)),
        ]


def judge_pens(
    subjects: Sequence[Subject], observations: Sequence[StoredObservation], exams: Sequence[StoredExam],
    birds: Sequence[BirdRecord], on: date, rules: Rules,
) -> list[tuple[str | None, list[Reason]]]:
    """(pen, reasons) of each pen of concern; None is the flock as a whole."""
    told = _gather(subjects, observations, exams, birds, on, rules)
    names = told.pens
    pens = pens_of(names)
    if len(pens) <= 1:
        reasons = _judge(told, on, rules)
        return [(pens[0] if pens else None, reasons)] if reasons else []
    out: list[tuple[str | None, list[Reason]]] = []
    for pen in pens:
        if reasons := _judge(told.of(pen), on, rules):
            out.append((pen, reasons))
    known = max((LEVELS.index(reasons[0].level) for _, reasons in out), default=-1)
    whole = _judge(told, on, rules)
    if whole and LEVELS.index(whole[0].level) > known and (None in names or whole[0].level == GRAVEST):
        out.append((None, whole))
    return out


def _gather(
    subjects: Sequence[Subject], observations: Sequence[StoredObservation], exams: Sequence[StoredExam],
    birds: Sequence[BirdRecord], on: date, rules: Rules,
) -> _Told:
    first = on - timedelta(days=rules.days.flock)
    died = tuple(deaths(observations, birds, exams, on, rules))
    dead = {bird.id for death in died for bird in death.birds}
    listed = tuple(
        (subject, one, frozenset(groups))
        for subject in subjects
        if subject.here or (
            subject.bird and subject.bird.id not in dead and subject.bird.left_on and subject.bird.left_on >= first
        )
        for one in subject.signs
        if one.on >= first and (groups := groups_of(one, rules))
    )
    recent = [o for o in observations if o.on is not None and first <= o.on <= on and o.value != 0]
    return _Told(
        listed, died, tuple(falls(observations, on, rules)),
        tuple(o for o in recent if o.kind == rules.counts.sick and _listed(o.detail, rules)),
        tuple(o for o in recent if o.kind == rules.counts.odd),
    )


def _listed(detail: str | None, rules: Rules) -> bool:
    """Whether birds called sick count: always where no sign was said of them, else by the lists."""
    return detail is None or bool(_of_groups(detail, rules))


def _of_groups(sign: str | None, rules: Rules) -> set[str]:
    """The kinds of the lists that a sign said of several birds may be of."""
    return {group.id for group in rules.group if any(p.sign == sign for p in group.signs)} if sign else set()


def _how_many(one: StoredObservation, rules: Rules) -> int:
    return rules.counts.several if one.value is None else int(one.value)


def _judge(told: _Told, on: date, rules: Rules) -> list[Reason]:
    """The first rule of the gravest level that applies, at the last day on which it does."""
    best: Reason | None = None
    for day in sorted((d for d in told.days if d <= on), reverse=True):
        facts, evidence = _facts(told, day, rules)
        for rule in rules.flock:
            if best is not None and LEVELS.index(rule.level) <= LEVELS.index(best.level):
                continue
            if all(facts.get(name, 0) >= least for name, least in rule.when.items()):
                shown = dict.fromkeys(one for name in rule.when for one in evidence.get(name, ()))
                best = Reason(rule.level, rule.why, rule.source, tuple(sorted(shown, key=lambda e: e.on)))
    return [best] if best else []


def _facts(told: _Told, day: date, rules: Rules) -> tuple[dict[str, float], dict[str, tuple[Evidence, ...]]]:
    """What is true of the days up to `day`, by the names that the rules use, and what each rests on."""
    from_day = day - timedelta(days=rules.days.together - 1)
    lately = [one for one in told.birds if from_day <= one[1].on <= day]
    strong = {group.id for group in rules.group if group.strong}
    strong_said = [o for o in told.sick if o.on and from_day <= o.on <= day and _of_groups(o.detail, rules) & strong]
    weighty = [o for o in lately if o[2] & strong and not o[1].slight and not o[1].doubtful]
    by_group: dict[str, set[int]] = {}
    for subject, _, groups in lately:
        for name in groups:
            by_group.setdefault(name, set()).add(id(subject))
    reported = [o for o in told.sick if o.on and from_day <= o.on <= day]
    said_sick = max((_how_many(o, rules) for o in reported), default=0)
    birds = len({id(subject) for subject, _, _ in lately})
    died = [d for d in told.deaths if from_day <= d.on <= day]
    sudden = [d for d in died if (day - d.on).days <= rules.days.sudden]
    fell = [f for f in told.falls if from_day <= f.on <= day and f.share > 0]
    rose = [f for f in told.falls if from_day <= f.on <= day and f.share < 0]
    odd = [o for o in told.odd if o.on and from_day <= o.on <= day]
    signs = tuple(of_sign(subject, one) for subject, one, _ in lately) + tuple(map(of_observation, reported))
    facts: dict[str, float] = {
        "deaths": sum(d.count for d in died), "deaths_day": sum(d.count for d in sudden),
        "sick": max(birds, said_sick),
        "strong": max([len({id(o[0]) for o in weighty}), *(_how_many(o, rules) for o in strong_said)]),
        "alike": max([said_sick, *(len(who) for who in by_group.values())]),
        "kinds": len(set(by_group).union(*(_of_groups(o.detail, rules) for o in reported))),
        "falls": len({f.kind for f in fell}), "odd": max((_how_many(o, rules) for o in odd), default=0),
    }
    evidence: dict[str, tuple[Evidence, ...]] = {
        "deaths": tuple(e for d in died for e in of_death(d)),
        "deaths_day": tuple(e for d in sudden for e in of_death(d)),
        "sick": signs, "alike": signs, "kinds": signs,
        "strong": (*(of_sign(subject, one) for subject, one, _ in weighty), *map(of_observation, strong_said)),
        "falls": tuple(e for f in fell for e in of_fall(f)), "odd": tuple(map(of_observation, odd)),
    }
    for f in fell:
        facts[f.kind] = max(facts.get(f.kind, 0), f.share)
        evidence[f.kind] = (*evidence.get(f.kind, ()), *of_fall(f))
    for f in rose:
        facts[f"{f.kind}_up"] = max(facts.get(f"{f.kind}_up", 0), -f.share)
        evidence[f"{f.kind}_up"] = (*evidence.get(f"{f.kind}_up", ()), *of_fall(f))
    return facts, evidence
