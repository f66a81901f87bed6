"""Stored exams out of the log, in small portions, so that memory stays flat."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from dictate.keeping import Photo
from dictate.log.codec import (
    ITEM_KINDS,
    bird_from,
    day_from,
    day_text,
    item_from,
    left_out_from,
    moment_from,
    time_from,
    words_from,
)
from dictate.log.database import Database, Row
from dictate.log.observing import observation_from
from dictate.log.photos import photos_of
from dictate.log.sources import utterances_of
from dictate.model import Draft, Question, Span
from dictate.record import ExamKind, Item, ItemKind, Source, Status, StoredExam

__all__ = ["draft", "exam", "exams"]

PORTION = 250

_EXAMS = """
    SELECT exam.*, draft.uid AS draft_uid, draft.text AS text, draft.file AS file, draft.line AS line,
           recording.uid AS recording_uid, recording.path AS recording_path, note.uid AS note_uid,
           note.file AS note_file, note.line AS note_line,
           examiner.name AS examiner, bird.uid AS bird_uid, batch.uid AS batch_uid,
           COALESCE(                    -- the pen she lived in that day, by her moves
               (SELECT pen.name FROM bird_event JOIN pen ON pen.id = bird_event.pen_id
                WHERE bird_event.bird_id = exam.bird_id AND bird_event.withdrawn_at IS NULL
                  AND bird_event.on_day <= exam.on_day ORDER BY bird_event.on_day DESC, bird_event.id DESC LIMIT 1),
               (SELECT pen.name FROM bird_event JOIN pen ON pen.id = bird_event.from_pen_id
                WHERE bird_event.bird_id = exam.bird_id AND bird_event.withdrawn_at IS NULL
                  AND bird_event.on_day > exam.on_day ORDER BY bird_event.on_day, bird_event.id LIMIT 1),
               pen.name) AS pen
    FROM exam
    JOIN draft ON draft.id = exam.draft_id
    LEFT JOIN recording ON recording.id = draft.recording_id
    LEFT JOIN note ON note.id = draft.note_id
    LEFT JOIN examiner ON examiner.id = exam.examiner_id
    LEFT JOIN bird ON bird.id = exam.bird_id
    LEFT JOIN pen ON pen.id = bird.pen_id
    LEFT JOIN batch ON batch.id = exam.batch_id
"""

# "confirmed" takes in drafts of which a part is confirmed already.
_STATUS = {
    "draft": "exam.status = 'draft'",
    "confirmed": "(exam.status = 'confirmed' OR (exam.status = 'draft' AND exam.has_confirmed = 1))",
    "withdrawn": "exam.status = 'withdrawn'",
}


def exam(db: Database, exam_id: str) -> StoredExam:
    key = db.the("exam", exam_id, "exam")["id"]
    return _load(db, db.rows(f"{_EXAMS} WHERE exam.id = ?", [key]))[0]


def exams(
    db: Database,
    *,
    bird: str | None = None,
    statuses: Sequence[Status] = ("confirmed",),
    since: date | None = None,
    until: date | None = None,
    kind: ExamKind | None = None,
    batch: str | None = None,
    recording: str | None = None,
    draft: str | None = None,
) -> Iterator[StoredExam]:
    tests: list[str] = [f"({' OR '.join(_STATUS[status] for status in statuses)})"]
    values: list[Any] = []
    for test, value in (
        ("exam.bird_id = (SELECT id FROM bird WHERE uid = ?)", bird),
        ("exam.on_day >= ?", day_text(since)),
        ("exam.on_day <= ?", day_text(until)),
        ("exam.kind = ?", kind),
        ("exam.batch_id = (SELECT id FROM batch WHERE uid = ?)", batch),
        ("recording.uid = ?", recording),
        ("draft.uid = ?", draft),
    ):
        if value is not None:
            tests.append(test)
            values.append(value)
    where = " AND ".join(tests)
    last = 0
    while True:
        rows = db.rows(
            f"{_EXAMS} WHERE {where} AND exam.id > ? ORDER BY exam.id LIMIT {PORTION}", [*values, last]
        )
        yield from _load(db, rows)
        if len(rows) < PORTION:
            return
        last = rows[-1]["id"]


def items_of(db: Database, exam_keys: Sequence[int]) -> dict[int, list[Item]]:
    """All items of exams, by the exam's key: findings, measurements, actions, each as said."""
    found: dict[int, list[Item]] = defaultdict(list)
    for kind, row in item_rows(db, exam_keys):
        found[row["exam_id"]].append(item_from(kind, row))
    return found


def item_rows(db: Database, exam_keys: Sequence[int]) -> Iterator[tuple[ItemKind, Row]]:
    marks = ", ".join("?" * len(exam_keys))
    for kind in ITEM_KINDS:
        rows = db.rows(f"SELECT * FROM {kind} WHERE exam_id IN ({marks}) ORDER BY id", list(exam_keys))
        yield from ((kind, row) for row in rows)


def _load(db: Database, rows: Sequence[Row]) -> list[StoredExam]:
    keys = [row["id"] for row in rows]
    items = items_of(db, keys)
    photos = photos_of(db, keys)
    asked: dict[int, list[Row]] = defaultdict(list)
    marks = ", ".join("?" * len(keys))
    for row in db.rows(
        f"SELECT * FROM question WHERE exam_id IN ({marks}) AND closed_at IS NULL ORDER BY id", keys
    ):
        asked[row["exam_id"]].append(row)
    return [
        _exam(row, items.get(row["id"], []), asked.get(row["id"], []), photos.get(row["id"], []))
        for row in rows
    ]


def _exam(row: Row, items: list[Item], asked: list[Row], photos: list[Photo]) -> StoredExam:
    bird = bird_from(row["bird_json"])
    return StoredExam(
        id=row["uid"], draft_id=row["draft_uid"], kind=row["kind"], status=row["status"],
        bird=bird, bird_status=row["bird_status"], items=tuple(items),
        rest_normal=bool(row["rest_normal"]), text=row["text"],
        span=Span(row["span_from"], row["span_to"]),
        source=Source(
            file=row["file"] or row["note_file"] or row["recording_path"],
            line=row["note_line"] if row["line"] is None else row["line"],
            recording=row["recording_uid"], note=row["note_uid"],
        ),
        on=day_from(row["on_day"]), at=time_from(row["at_time"]), date_problem=row["date_problem"],
        bird_id=row["bird_uid"], pen=row["pen"] or bird.pen, examiner=row["examiner"], batch=row["batch_uid"],
        stored=moment_from(row["made_at"]), withdrawn_why=row["withdrawn_why"],
        open_questions=tuple(_questions(asked, items)), photos=tuple(photos),
    )


def _questions(asked: list[Row], items: list[Item]) -> Iterator[tuple[str, Question]]:
    """Open questions, each pointing to where its item stands now; none about what was dropped."""
    place: dict[str, int] = {}
    for kind in ITEM_KINDS:
        standing = [item for item in items if item.kind == kind and item.stands]
        place |= {item.id: number for number, item in enumerate(standing)}
    for row in asked:
        if row["item_uid"] is not None and row["item_uid"] not in place:
            continue
        yield row["uid"], Question(
            kind=row["kind"], text=row["text"], field=row["field"], item=place.get(row["item_uid"]),
            choices=tuple(json.loads(row["choices_json"])),
            span=None if row["span_from"] is None else Span(row["span_from"], row["span_to"]),
        )


def draft(db: Database, draft_id: str) -> Draft:
    row = db.the("draft", draft_id, "draft")
    statuses: tuple[Status, ...] = ("draft", "confirmed")
    standing = tuple(stored.exam for stored in exams(db, draft=draft_id, statuses=statuses))
    said = db.rows(
        "SELECT observation.*, pen.name AS pen FROM observation"
        " LEFT JOIN pen ON pen.id = observation.pen_id"
        " WHERE draft_id = ? AND status != 'withdrawn' ORDER BY observation.id",
        [row["id"]],
    )
    return Draft(
        text=row["text"], exams=standing,
        observations=tuple(observation_from(o) for o in said),
        words=words_from(row["words_json"]), left_out=left_out_from(row["left_out_json"]),
        utterances=utterances_of(db, row["recording_id"]),
    )
