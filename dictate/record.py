"""What the flock log keeps and hands out, as frozen data: exams with their state, birds, decisions.

The log makes these; care, flock, review and report read them, so that none of them needs the
log to be tested. Ids are stable random text (the same after logs are merged). Dates are
calendar dates without zone, as the keeper reckons them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any, Literal

from dictate.keeping import PenMove, Photo
from dictate.model import (
    Action,
    Bird,
    Exam,
    Finding,
    Measurement,
    Question,
    Span,
    Utterance,
)

__all__ = [
    "Band",
    "BirdEvent",
    "BirdMatch",
    "BirdRecord",
    "Confirmed",
    "Decision",
    "Item",
    "NoteRef",
    "Recording",
    "SaidHit",
    "Source",
    "StoredExam",
    "StoredObservation",
    "examined_regions",
    "question_target",
]

Status = Literal["draft", "confirmed", "withdrawn"]
ItemKind = Literal["finding", "measurement", "action"]
ItemStatus = Literal["draft", "confirmed", "dropped", "withdrawn", "replaced"]
Choice = Literal["keep", "change", "drop", "later"]
ExamKind = Literal["live", "post-mortem"]
Leaving = Literal["died", "culled", "sold", "lost"]
Said = Finding | Measurement | Action


@dataclass(frozen=True, slots=True)
class Source:
    """Where an exam's words came from: a recording or a note (ids), or a file and line."""

    file: str | None = None
    line: int | None = None
    recording: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class NoteRef:
    """A stored note; `new` is False where the same note was in the log already."""

    id: str
    new: bool


@dataclass(frozen=True, slots=True)
class Recording:
    """A stored sound file; `finished` is False where recording was cut off (its words are kept)."""

    id: str
    path: str
    started: datetime | None = None
    seconds: float | None = None
    sample_rate: int | None = None
    sha256: str | None = None
    examiner: str | None = None
    device: str | None = None
    finished: bool = False
    has_draft: bool = False
    utterances: tuple[Utterance, ...] = field(default=(), repr=False)


@dataclass(frozen=True, slots=True)
class Item:
    """One finding, measurement or action of a stored exam, with its state.

    `value` is what stands now, `parsed` what was understood before a person changed it (the
    same object where nobody did; for an item added by a person, its first form). `choice` is
    the person's last word on it. dropped: refused in review; withdrawn: was confirmed, taken
    back; replaced: a later parse of the same words no longer gives it.
    """

    id: str
    kind: ItemKind
    status: ItemStatus
    value: Said
    parsed: Said
    choice: Choice | None = None
    added: bool = False

    @property
    def stands(self) -> bool:
        return self.status in ("draft", "confirmed")

    @property
    def sure(self) -> bool:
        """May be confirmed without a look: marked sure by the parser, or decided by a person."""
        return self.choice in ("keep", "change") or (self.choice is None and self.value.verdict == "sure")


@dataclass(frozen=True, slots=True)
class StoredExam:
    """One exam as it stands in the log.

    `text` is the draft's text that all spans point into; `bird` is the bird as spoken of (with
    the person's changes), `bird_id` the bird of the register it was found to be (None: not
    known for certain). `open_questions` are those nobody has answered, each with its id;
    Question.item counts in `exam` below.
    """

    id: str
    draft_id: str
    kind: ExamKind
    status: Status
    bird: Bird
    bird_status: Literal["draft", "confirmed"]
    items: tuple[Item, ...]
    rest_normal: bool
    text: str
    span: Span
    source: Source
    on: date | None = None
    at: time | None = None
    date_problem: str | None = None
    bird_id: str | None = None
    pen: str | None = None
    examiner: str | None = None
    batch: str | None = None
    stored: datetime | None = None
    withdrawn_why: str | None = None
    open_questions: tuple[tuple[str, Question], ...] = ()
    photos: tuple[Photo, ...] = ()

    def with_status(self, *statuses: ItemStatus) -> Exam:
        """The exam with only those items that have one of these statuses; that the rest is normal
        is said of the whole exam and counts as confirmed when the whole exam is."""
        chosen = [item.value for item in self.items if item.status in statuses]
        return Exam(
            bird=self.bird,
            findings=tuple(v for v in chosen if isinstance(v, Finding)),
            measurements=tuple(v for v in chosen if isinstance(v, Measurement)),
            actions=tuple(v for v in chosen if isinstance(v, Action)),
            rest_normal=self.rest_normal and ("draft" in statuses or self.status != "draft"),
            questions=tuple(question for _, question in self.open_questions),
            span=self.span,
        )

    @property
    def exam(self) -> Exam:
        """All that stands, confirmed or not yet: what review shows."""
        return self.with_status("draft", "confirmed")

    @property
    def confirmed(self) -> Exam:
        """Only what is confirmed: what history, care and flock figures use."""
        return self.with_status("confirmed")

    @property
    def said(self) -> str:
        """The words of this exam."""
        return self.span.quote(self.text) if self.span.end else self.text

    def item(self, item_id: str) -> Item | None:
        return next((item for item in self.items if item.id == item_id), None)

    @property
    def to_look_at(self) -> tuple[Item, ...]:
        """Items that a person has still to decide, in the order they were said."""
        waiting = [i for i in self.items if i.status == "draft" and not i.sure]
        return tuple(sorted(waiting, key=lambda i: i.value.span))


@dataclass(frozen=True, slots=True)
class Decision:
    """One entry of the audit trail. `before` and `after` hold the values that were changed."""

    id: str
    what: str
    at: datetime
    exam_id: str | None = None
    item_id: str | None = None
    reason: str = ""
    by: str | None = None
    before: Any = None
    after: Any = None
    undone: bool = False


@dataclass(frozen=True, slots=True)
class Band:
    """A mark worn from one day to another (None: not known). The same mark may be used again."""

    id: str
    mark: str
    colour: str | None = None
    leg: str | None = None
    since: date | None = None
    until: date | None = None

    def worn_on(self, day: date | None) -> bool:
        """Whether it may have been worn that day (an unknown day: whether it still is)."""
        if day is None:
            return self.until is None
        return (self.since is None or self.since <= day) and (self.until is None or day <= self.until)


@dataclass(frozen=True, slots=True)
class BirdEvent:
    """Something that happened to a bird; `leaves` where it was her last day in the flock."""

    id: str
    kind: str
    on: date | None
    until: date | None = None
    detail: str | None = None
    leaves: bool = False
    pen: str | None = None


@dataclass(frozen=True, slots=True)
class BirdRecord:
    """A bird of the register."""

    id: str
    name: str | None = None
    species: str = "chicken"
    breed: str | None = None
    sex: str | None = None
    hatched: date | None = None
    pen: str | None = None
    source: str | None = None
    bands: tuple[Band, ...] = ()
    left_on: date | None = None
    left_how: str | None = None
    moves: tuple[PenMove, ...] = ()

    def pen_on(self, day: date) -> str | None:
        """Where she lived that day, by her moves between pens; without one, where she lives."""
        before = [move for move in self.moves if move.on is not None and move.on <= day]
        if before:
            return before[-1].to
        later = [move for move in self.moves if move.on is not None]
        return later[0].before if later else self.pen

    @property
    def band(self) -> str | None:
        """The mark worn now, else the last one known."""
        worn = [band for band in self.bands if band.until is None] or list(self.bands)
        return worn[-1].mark if worn else None

    @property
    def label(self) -> str:
        return Bird(band=self.band, name=self.name).label

    @property
    def left(self) -> bool:
        return self.left_how is not None

    def here_on(self, day: date) -> bool:
        """Whether she is still counted that day (from the day she left she is not)."""
        return not self.left or (self.left_on is not None and day < self.left_on)


@dataclass(frozen=True, slots=True)
class BirdMatch:
    """Birds that a spoken mark or name fits.

    `fits` agree in all that was said; `near` only might be meant (a part of the mark, a band
    no longer worn, a bird that has left, name and band of two birds). One in `fits` is the
    bird; anything else but two empty lists is a question for the keeper.
    """

    fits: tuple[BirdRecord, ...] = ()
    near: tuple[BirdRecord, ...] = ()

    @property
    def only(self) -> BirdRecord | None:
        return self.fits[0] if len(self.fits) == 1 else None

    @property
    def unknown(self) -> bool:
        return not self.fits and not self.near


@dataclass(frozen=True, slots=True)
class Confirmed:
    """What a confirmation did: the exam after it, items confirmed and left, and the question
    which bird it was, where that is not certain (the facts are kept, without a bird)."""

    exam: StoredExam
    confirmed: int
    left: int
    question: Question | None = None
    new_bird: bool = False


@dataclass(frozen=True, slots=True)
class StoredObservation:
    """Said of a pen or the flock (deaths, eggs, water …) on a day. `said` is the sentence it stood in."""

    id: str
    kind: str
    status: Status
    on: date | None = None
    pen: str | None = None
    value: float | None = None
    unit: str | None = None
    detail: str | None = None
    quote: str = ""
    batch: str | None = None
    said: str = ""


@dataclass(frozen=True, slots=True)
class SaidHit:
    """An exam whose words answer a search; `snippet` has the hit between [ and ]."""

    exam_id: str
    snippet: str
    on: date | None = None
    bird: str | None = None


def examined_regions(exam: Exam) -> frozenset[str]:
    """Regions that were looked at in this exam: those of which something was found now,
    normal, present or absent. What was only remembered (past) is no look; what was not
    mentioned is not known; "the rest is normal" names no region and is left to the caller."""
    return frozenset(f.region for f in exam.findings if f.when == "now")


_OF_MEASUREMENTS = frozenset({"value", "unit", "of", "low", "high", "scheme"})
_OF_FINDINGS = frozenset({"region", "side", "sign", "presence", "grade", "certainty", "when"})
_OF_ACTIONS = frozenset({"in_days"})


def question_target(exam: Exam, question: Question) -> tuple[ItemKind, int] | None:
    """Which item of the exam a question is about: its kind and its place among that kind.

    Question.item gives the place only; the field asked for, else the words it covers, tell
    findings, measurements and actions apart. None: it is about the exam itself.
    """
    if question.item is None:
        return None
    lists: dict[ItemKind, tuple[Said, ...]] = {
        "finding": exam.findings, "measurement": exam.measurements, "action": exam.actions,
    }
    possible = [kind for kind in lists if 0 <= question.item < len(lists[kind])]
    for kind, fields in (
        ("finding", _OF_FINDINGS), ("measurement", _OF_MEASUREMENTS), ("action", _OF_ACTIONS),
    ):
        if question.field in fields:
            return (kind, question.item) if kind in possible else None
    if question.span is not None:
        for kind in possible:
            if lists[kind][question.item].span.overlaps(question.span):
                return kind, question.item
    return (possible[0], question.item) if possible else None
