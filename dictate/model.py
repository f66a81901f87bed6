"""The words of the domain as frozen data: what was heard, what was understood, how sure.

Everything points to the layer below it: a Finding has a Span of characters in
Draft.text; Draft.words maps characters to Words; a Word has seconds of sound.
Units: seconds for sound, characters for spans; measurements carry their own unit.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, Literal

__all__ = [
    "Action",
    "Bird",
    "Cue",
    "Draft",
    "Exam",
    "Finding",
    "HeardWord",
    "LeftOut",
    "Measurement",
    "Observation",
    "Penalty",
    "Question",
    "Span",
    "Utterance",
    "Verdict",
    "Word",
]

Side = Literal["left", "right", "both"]
Presence = Literal["present", "absent"]
Certainty = Literal["sure", "possible"]
When = Literal["now", "past"]
Verdict = Literal["sure", "check", "ask"]


@dataclass(frozen=True, slots=True)
class Word:
    """One word as a recogniser gave it; start and end in seconds from the start of the recording,
    confidence 0..1, each None where the source has none (typed text)."""

    text: str
    start: float | None = None
    end: float | None = None
    confidence: float | None = None


@dataclass(frozen=True, slots=True)
class Utterance:
    """Words between two pauses, from one listener ("pocketsphinx", "whisper", "typed" …)."""

    words: tuple[Word, ...]
    listener: str
    start: float | None = None
    end: float | None = None

    @property
    def text(self) -> str:
        return " ".join(word.text for word in self.words)


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """Characters start..end (end not included) of Draft.text."""

    start: int
    end: int

    def quote(self, text: str) -> str:
        return text[self.start : self.end]

    def cover(self, other: Span) -> Span:
        return Span(min(self.start, other.start), max(self.end, other.end))

    def overlaps(self, other: Span) -> bool:
        return self.start < other.end and other.start < self.end


@dataclass(frozen=True, slots=True)
class HeardWord:
    """A Word with its place in Draft.text."""

    span: Span
    word: Word
    listener: str


@dataclass(frozen=True, slots=True)
class Cue:
    """Words that decided something about a finding (its absence, doubt, time …).

    `rule` is the id of the lexicon entry; `category` its kind (absent, doubtful, past …).
    """

    rule: str
    category: str
    span: Span


@dataclass(frozen=True, slots=True)
class Penalty:
    """A named reason to be less sure. The score of a thing is 1 less the sum of its penalties."""

    name: str
    amount: float


@dataclass(frozen=True, slots=True)
class Finding:
    """One sign on one region and side, with everything that decided it."""

    region: str
    sign: str
    side: Side | None = None
    presence: Presence = "present"
    grade: int | None = None
    certainty: Certainty = "sure"
    when: When = "now"
    detail: str | None = None
    span: Span = Span(0, 0)
    quote: str = ""
    rule: str = ""
    cues: tuple[Cue, ...] = ()
    penalties: tuple[Penalty, ...] = ()
    verdict: Verdict = "check"
    start: float | None = None
    end: float | None = None
    confidence: float | None = None
    listeners: tuple[str, ...] = ()

    @property
    def score(self) -> float:
        return max(0.0, 1.0 - sum(p.amount for p in self.penalties))


@dataclass(frozen=True, slots=True)
class Measurement:
    """A number with its kind and unit (g, C, /min, finger, mm, week or 1)."""

    kind: str
    value: float
    unit: str
    of: str | None = None
    low: float | None = None
    high: float | None = None
    approximate: bool = False
    former: bool = False
    scheme: str | None = None
    span: Span = Span(0, 0)
    quote: str = ""
    rule: str = ""
    penalties: tuple[Penalty, ...] = ()
    verdict: Verdict = "check"
    start: float | None = None
    end: float | None = None
    confidence: float | None = None
    listeners: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Action:
    """Something done or planned; `in_days` is the spoken delay or length in days."""

    kind: str
    in_days: int | None = None
    detail: str | None = None
    span: Span = Span(0, 0)
    quote: str = ""
    rule: str = ""
    penalties: tuple[Penalty, ...] = ()
    verdict: Verdict = "check"
    start: float | None = None
    end: float | None = None
    confidence: float | None = None
    listeners: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Observation:
    """Said of a pen or the flock and not of one bird."""

    kind: str
    pen: str | None = None
    value: float | None = None
    unit: str | None = None
    detail: str | None = None
    span: Span = Span(0, 0)
    quote: str = ""


@dataclass(frozen=True, slots=True)
class Bird:
    """The bird as spoken of in one exam; every part may be unknown."""

    band: str | None = None
    name: str | None = None
    sex: str | None = None
    breed: str | None = None
    pen: str | None = None
    span: Span | None = None
    penalties: tuple[Penalty, ...] = ()
    verdict: Verdict = "check"

    @property
    def known(self) -> bool:
        return self.band is not None or self.name is not None

    @property
    def label(self) -> str:
        """What a person would call it: name, band or "bird without a mark"."""
        if self.name and self.band:
            return f"{self.name} ({self.band})"
        return self.name or self.band or "bird without a mark"


@dataclass(frozen=True, slots=True)
class Question:
    """Something not understood for certain that a person can answer.

    `kind`: side, band, number, sign, unknown-words …; `item` is the position of the finding or
    measurement it is about in its exam (None: the exam itself), `field` the attribute asked for,
    `choices` the possible answers (empty: free).
    """

    kind: str
    text: str
    field: str = ""
    item: int | None = None
    choices: tuple[str, ...] = ()
    span: Span | None = None


@dataclass(frozen=True, slots=True)
class Exam:
    """One bird's examination as understood from Draft.text[span]."""

    bird: Bird = Bird()
    findings: tuple[Finding, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    actions: tuple[Action, ...] = ()
    rest_normal: bool = False
    questions: tuple[Question, ...] = ()
    span: Span = Span(0, 0)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Words that gave nothing, and why (teaching, hypothetical, withdrawn, not understood)."""

    span: Span
    quote: str
    why: str
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Draft:
    """What one narration or note was understood to say. `text` is what all spans point into."""

    text: str
    exams: tuple[Exam, ...] = ()
    observations: tuple[Observation, ...] = ()
    words: tuple[HeardWord, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    utterances: tuple[Utterance, ...] = field(default=(), repr=False)


def _plain(value: Any) -> Any:
    """Numbers as JSON readers like them: 2100 and not 2100.0."""
    if isinstance(value, float):
        return int(value) if value == int(value) else round(value, 4)
    return value


def _put(row: dict[str, Any], item: Any, names: Iterable[str]) -> dict[str, Any]:
    """Add those of the named attributes that say anything."""
    for name in names:
        value = getattr(item, name)
        if value not in (None, "", (), False):
            row[name] = _plain(value)
    return row


_PROOF = ("quote", "start", "end", "confidence", "rule")


def _proof(row: dict[str, Any], item: Any) -> dict[str, Any]:
    row["verdict"] = item.verdict
    _put(row, item, _PROOF)
    if item.span.end:
        row["span"] = [item.span.start, item.span.end]
    if item.penalties:
        row["penalties"] = {p.name: p.amount for p in item.penalties}
    if item.listeners:
        row["listeners"] = list(item.listeners)
    return row


def finding_record(finding: Finding) -> dict[str, Any]:
    """A finding as a JSON object in the terms of the exam record."""
    row: dict[str, Any] = {
        "region": finding.region, "side": finding.side, "sign": finding.sign,
        "presence": finding.presence, "grade": finding.grade,
        "certainty": finding.certainty, "when": finding.when,
    }
    _put(row, finding, ("detail",))
    if finding.cues:
        row["cues"] = [
            {"rule": c.rule, "category": c.category, "span": [c.span.start, c.span.end]}
            for c in finding.cues
        ]
    return _proof(row, finding)


def measurement_record(measurement: Measurement) -> dict[str, Any]:
    """A measurement as a JSON object."""
    row = {"kind": measurement.kind, "value": _plain(measurement.value), "unit": measurement.unit}
    _put(row, measurement, ("of", "low", "high", "approximate", "former", "scheme"))
    return _proof(row, measurement)


def action_record(action: Action) -> dict[str, Any]:
    """An action as a JSON object."""
    return _proof({"kind": action.kind, "in_days": action.in_days, "detail": action.detail}, action)


def exam_record(exam: Exam) -> dict[str, Any]:
    """An exam as a JSON object in the terms of the exam record, with our own extra keys."""
    bird: dict[str, Any] = {"band": exam.bird.band, "name": exam.bird.name, "sex": exam.bird.sex}
    _put(bird, exam.bird, ("breed", "pen"))
    bird["verdict"] = exam.bird.verdict
    row = {
        "bird": bird,
        "findings": [finding_record(f) for f in exam.findings],
        "measurements": [measurement_record(m) for m in exam.measurements],
        "actions": [action_record(a) for a in exam.actions],
        "rest_normal": exam.rest_normal,
    }
    if exam.questions:
        row["questions"] = [
            _put({"kind": q.kind, "text": q.text}, q, ("field", "item", "choices"))
            for q in exam.questions
        ]
    return row


def draft_record(draft: Draft) -> dict[str, Any]:
    """A draft as a JSON object: exams, and observations where there are any."""
    row: dict[str, Any] = {"exams": [exam_record(e) for e in draft.exams]}
    if draft.observations:
        row["observations"] = [
            _put({"kind": o.kind}, o, ("pen", "value", "unit", "detail", "quote"))
            for o in draft.observations
        ]
    return row
