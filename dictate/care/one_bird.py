"""One bird judged by herself: each sign, signs together, and what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from dictate.care.concern_rules import Alone, Level, Pattern, Range, Rules, Together, higher, lower, said
from dictate.care.reasons import Ask, Evidence, Reason, of_measurement, of_sign
from dictate.care.standing import Standing, Subject, time_of_day
from dictate.model import Measurement

__all__ = ["groups_of", "judge_bird"]

ASKED = "ask"


def judge_bird(subject: Subject, on: date, rules: Rules) -> tuple[list[Reason], list[Ask]]:
    """All reasons for concern about one bird, and what has to be asked."""
    asks: dict[str, Ask] = {}
    alone = _alone(subject, rules, asks)
    together = _together(subject, rules)
    measured = [*_changes(subject, on, rules), *_ranges(subject, on, rules)]
    return [*together, *alone, *measured], list(asks.values())


def groups_of(one: Standing, rules: Rules) -> set[str]:
    """The kinds of sign of the published lists that this is one of."""
    return {
        group.id for group in rules.group
        if any(p.fits(one.finding.region, one.finding.sign) for p in group.signs)
    }


def _fits(one: Standing, patterns: Sequence[Pattern]) -> bool:
    return any(p.fits(one.finding.region, one.finding.sign) for p in patterns)


def _for_species(rule: Alone | Range, subject: Subject) -> bool:
    return not rule.species or subject.species in rule.species


# ---- one sign


def _alone(subject: Subject, rules: Rules, asks: dict[str, Ask]) -> list[Reason]:
    found: dict[int, tuple[Level, list[Standing]]] = {}
    for one in subject.signs:
        number = next((n for n, rule in enumerate(rules.alone) if _fits(one, rule.signs)), None)
        if number is None or not _for_species(rules.alone[number], subject):
            continue
        level = _level_alone(rules.alone[number], one, subject, rules, asks)
        if level is not None:
            before, signs = found.get(number, (level, []))
            best = higher(before, level)
            assert best is not None
            found[number] = best, [*signs, one]
    return [
        Reason(level, rules.alone[n].why, rules.alone[n].source, _evidence(subject, signs), rules.alone[n].caution)
        for n, (level, signs) in found.items()
    ]


def _level_alone(
    rule: Alone, one: Standing, subject: Subject, rules: Rules, asks: dict[str, Ask]
) -> Level | None:
    """The level of one sign; None where it is none, or has to be asked for first."""
    if any(_fits(other, rule.unless) for other in subject.signs):
        return None
    severe = one.finding.grade == 3 or bool(said(one.finding.quote, rule.severe_said))
    severe = severe or bool(rule.severe_said and said(_around(one), rule.severe_said))
    level: Any = rule.level
    if severe:
        level = rule.severe or rule.level
    elif rule.times:
        when = time_of_day(one, rules)
        level = rule.times.get(when, rule.level)
        if when == "unknown" and rule.asks:
            asks[one.exam.id] = _ask(subject, one)
    elif one.slight and rule.slight is not None:
        level = rule.slight
    if rule.calm is not None and said(one.exam.said, rule.calm_said) and _kinds(subject.signs, rules) <= 1:
        level = rule.calm
    if level in ("", ASKED):
        return None
    days = (one.on - one.since).days
    grade, before = one.finding.grade, one.grade_before
    if (rule.lasts and days >= rule.lasts) or (rule.worse and before and grade and grade > before):
        level = higher(level, "vet")
    return lower(level) if one.doubtful else level


def _around(one: Standing) -> str:
    """The sentence that a sign stands in."""
    text, place = one.exam.text, one.finding.span
    first = max(text.rfind(mark, 0, place.start) for mark in ".!?;\n") + 1
    last = min((at for mark in ".!?;\n" if (at := text.find(mark, place.end)) >= 0), default=len(text))
    return text[first:last]


def _ask(subject: Subject, one: Standing) -> Ask:
    text = (
        f"At what time of day was {one.finding.region} {one.finding.sign} seen ({one.on})? "
        f"Before the first feed it means something else than in the evening."
    )
    return Ask(one.exam.id, one.on, subject.label, subject.bird.id if subject.bird else None, text)


# ---- several signs


def _together(subject: Subject, rules: Rules) -> list[Reason]:
    """The gravest combinations that apply, counted over signs that were seen within days of the last."""
    if not subject.signs:
        return []
    newest = max(one.on for one in subject.signs)
    near = [one for one in subject.signs if (newest - one.on).days < rules.days.together]
    sure = [one for one in near if not one.doubtful]
    found: list[Reason] = []
    for rule in rules.together:
        level: Level = rule.level
        signs = _match(rule, sure, rules)
        if not signs:
            signs, level = _match(rule, near, rules), lower(rule.level)
        if signs:
            found.append(Reason(level, rule.why, rule.source, _evidence(subject, signs)))
    best: Level | None = None
    for reason in found:
        best = higher(best, reason.level)
    kept: list[Reason] = []
    for reason in found:
        if reason.level == best and not any(set(reason.evidence) <= set(other.evidence) for other in kept):
            kept.append(reason)
    return kept


def _match(rule: Together, signs: Sequence[Standing], rules: Rules) -> list[Standing]:
    """The signs that fulfil a rule; none where it is not fulfilled."""
    if rule.all:
        return _one_of_each(rule, signs, rules)
    of_groups = [(one, groups_of(one, rules)) for one in signs]
    if rule.group:
        own = [one for one, groups in of_groups if rule.group in groups]
        different = {(one.finding.region, one.finding.sign) for one in own}
        plain = any(not one.slight for one in own)
        return own if len(different) >= rule.signs and plain else []
    listed = [(one, groups) for one, groups in of_groups if groups]
    kinds = set().union(*(groups for _, groups in listed)) if listed else set()
    weighty = _strong_kinds(listed, rules)
    if len(kinds) < max(rule.groups, 1) or len(weighty) < rule.strong or all(one.slight for one, _ in listed):
        return []
    if rule.groups:
        return [one for one, _ in listed]
    return [one for one, groups in listed if groups & weighty]


def _strong_kinds(listed: Sequence[tuple[Standing, set[str]]], rules: Rules) -> set[str]:
    strong = {group.id for group in rules.group if group.strong}
    return {name for one, groups in listed if not one.slight for name in groups & strong}


def _kinds(signs: Sequence[Standing], rules: Rules) -> int:
    return len(set().union(*(groups_of(one, rules) for one in signs))) if signs else 0


def _one_of_each(rule: Together, signs: Sequence[Standing], rules: Rules) -> list[Standing]:
    rows = [[one for one in signs if _fits(one, row)] for row in rule.all]
    if rule.not_evening:
        rows[0] = [one for one in rows[0] if time_of_day(one, rules) != "evening"]
    if not all(rows):
        return []
    if rule.same_part:
        parts = set.intersection(*({(o.finding.region, o.finding.side) for o in row} for row in rows))
        rows = [[o for o in row if (o.finding.region, o.finding.side) in parts] for row in rows]
        if not all(rows):
            return []
    chosen = [one for row in rows for one in row]
    different = {(one.finding.region, one.finding.sign) for one in chosen}
    return chosen if len(different) >= len(rows) else []


def _evidence(subject: Subject, signs: Sequence[Standing]) -> tuple[Evidence, ...]:
    return tuple(dict.fromkeys(of_sign(subject, one) for one in sorted(signs, key=lambda s: s.on)))


# ---- measurements


def _changes(subject: Subject, on: date, rules: Rules) -> list[Reason]:
    found = []
    for measure in dict.fromkeys(rule.measure for rule in rules.change):
        values = subject.measured(measure)
        if len(values) < 2 or values[-1][1].former or values[-1][0] < on - timedelta(days=rules.days.bird):
            continue
        day, last = values[-1]
        earlier = values[:-1]
        slow = [one for one in earlier if (day - one[0]).days <= rules.days.slow]
        before = max([earlier[-1], *slow], key=lambda one: one[1].value)
        if before[1].value <= 0:
            continue
        share = (before[1].value - last.value) / before[1].value
        rule = next((r for r in rules.change if r.measure == measure and share >= r.share), None)
        if rule is not None:
            vague = last.approximate or before[1].approximate
            what = f"{rule.why} ({share:.0%} since {'before' if before[1].former else before[0]})"
            found.append(Reason(
                lower(rule.level) if vague else rule.level, what, rule.source,
                (of_measurement(subject, *before), of_measurement(subject, day, last)),
            ))
    return found


def _ranges(subject: Subject, on: date, rules: Rules) -> list[Reason]:
    found = []
    for measure in dict.fromkeys(rule.measure for rule in rules.range):
        values = [one for one in subject.measured(measure) if not one[1].former]
        if not values or values[-1][0] < on - timedelta(days=rules.days.bird):
            continue
        day, last = values[-1]
        rule = next(
            (r for r in rules.range if r.measure == measure and _for_species(r, subject) and _outside(r, last)), None
        )
        if rule is not None:
            level = lower(rule.level) if last.approximate else rule.level
            found.append(Reason(level, rule.why, rule.source, (of_measurement(subject, day, last),)))
    return found


def _outside(rule: Range, measured: Measurement) -> bool:
    return (rule.low is not None and measured.value < rule.low) or (
        rule.high is not None and measured.value > rule.high
    )
