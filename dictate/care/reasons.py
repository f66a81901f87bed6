"""Why something is a concern: the reason in words, where the rule comes from, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from dictate.care.concern_rules import Level
from dictate.care.pens import Death, Fell
from dictate.care.standing import Standing, Subject
from dictate.model import Finding, Measurement
from dictate.record import StoredObservation

__all__ = ["Ask", "Evidence", "Reason", "of_death", "of_fall", "of_measurement", "of_observation", "of_sign"]


@dataclass(frozen=True, slots=True)
class Evidence:
    """One thing of the record with its day and the words it was said in."""

    on: date
    what: str
    quote: str = ""
    bird: str | None = None
    bird_id: str | None = None
    exam_id: str | None = None


@dataclass(frozen=True, slots=True)
class Reason:
    """One rule that applies. `source` are ids of concerns.toml, `caution` those of cautions.toml."""

    level: Level
    why: str
    source: tuple[str, ...]
    evidence: tuple[Evidence, ...]
    caution: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Ask:
    """Something a person has to say before it can be judged: at what time an exam was."""

    exam_id: str
    on: date
    bird: str
    bird_id: str | None
    text: str


def _sign_words(finding: Finding) -> str:
    side = {"both": "both sides, "}.get(finding.side or "", f"{finding.side} " if finding.side else "")
    where = f"{finding.region}, both sides" if finding.side == "both" else f"{side}{finding.region}"
    grade = f", grade {finding.grade}" if finding.grade is not None else ""
    return f"{where}: {finding.sign}{grade}{', perhaps' if finding.certainty == 'possible' else ''}"


def of_sign(subject: Subject, one: Standing) -> Evidence:
    """A sign as it was seen last."""
    return Evidence(
        one.on, _sign_words(one.finding), one.finding.quote, subject.label,
        subject.bird.id if subject.bird else None, one.exam.id,
    )


def of_measurement(subject: Subject, on: date, measured: Measurement) -> Evidence:
    """A measured value."""
    unit = "" if measured.unit == "1" else f" {measured.unit}"
    about = "about " if measured.approximate else ""
    before = ", formerly" if measured.former else ""
    return Evidence(
        on, f"{measured.kind}: {about}{measured.value:g}{unit}{before}", measured.quote, subject.label,
        subject.bird.id if subject.bird else None,
    )


def _place(pen: str | None) -> str:
    return f"{pen}, " if pen else ""


def of_observation(one: StoredObservation) -> Evidence:
    """What was said of a pen."""
    assert one.on is not None
    value = "" if one.value is None else f" {one.value:g}"
    unit = "" if one.unit in (None, "1") else f" {one.unit}"
    detail = f" ({one.detail})" if one.detail else ""
    return Evidence(one.on, f"{_place(one.pen)}{one.kind}:{value}{unit}{detail}", one.quote)


def of_death(death: Death) -> tuple[Evidence, ...]:
    """Deaths of a day: as said, and the birds of the register."""
    told = tuple(of_observation(one) for one in death.said)
    return told + tuple(
        Evidence(death.on, f"{_place(death.pen)}{bird.left_how or 'post-mortem'}", "", bird.label, bird.id)
        for bird in death.birds
    )


def of_fall(fell: Fell) -> tuple[Evidence, ...]:
    """A fall: what was said or counted, and what it was before."""
    if fell.before is None:
        return tuple(of_observation(one) for one in fell.said)
    way = "down" if fell.share > 0 else "up"
    value = "" if fell.value is None else f" {fell.value:g}, before {fell.before:g}"
    what = f"{_place(fell.pen)}{fell.kind}:{value} ({way} {abs(fell.share):.0f} %)"
    return (Evidence(fell.on, what, fell.said[-1].quote if fell.said else ""),)
