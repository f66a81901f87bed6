"""Drafts: what was understood, kept whole."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, time

from dictate.log.codec import (
    bird_json,
    day_text,
    dumps,
    item_row,
    kind_of,
    left_out_json,
    time_text,
    words_json,
)
from dictate.log.database import Database, Row
from dictate.log.ids import now_text
from dictate.log.observing import observation_row
from dictate.log.people import batch_key, key_by_name, made
from dictate.log.sources import add_note, add_utterances
from dictate.model import Draft, Exam, Observation, Question
from dictate.record import ExamKind, ItemKind, Said, Source, question_target

__all__ = ["index_said", "insert_exam", "insert_items", "insert_question", "save_draft", "unindex_said"]


def save_draft(
    db: Database,
    draft: Draft,
    source: Source | None = None,
    *,
    on: date | None = None,
    at: time | None = None,
    date_problem: str | None = None,
    kind: ExamKind = "live",
    examiner: str | None = None,
    batch: str | None = None,
    parser: str = "",
) -> list[str]:
    source = source or Source()
    with db.transaction():
        note, recording = source.note, source.recording
        if note is None and recording is None:
            note = add_note(
                db, draft.text, file=source.file, line=source.line, on=on, batch=batch
            ).id
        row = made() | {
            "recording_id": db.the("recording", recording, "recording")["id"] if recording else None,
            "note_id": db.the("note", note, "note")["id"] if note else None,
            "file": source.file, "line": source.line, "batch_id": batch_key(db, batch),
        } | draft_row(draft, parser)
        row["id"] = db.insert("draft", row)
        if recording and not db.row("SELECT 1 FROM utterance WHERE recording_id = ?", [row["recording_id"]]):
            add_utterances(db, recording, draft.utterances)
        shared = {
            "draft_id": row["id"], "kind": kind, "on_day": day_text(on), "at_time": time_text(at),
            "date_problem": date_problem, "examiner_id": key_by_name(db, "examiner", examiner),
            "batch_id": row["batch_id"],
        }
        insert_observations(db, draft.observations, row, on)
        return [insert_exam(db, exam, shared) for exam in draft.exams]


def draft_row(draft: Draft, parser: str) -> Row:
    return {
        "text": draft.text, "words_json": words_json(draft.words),
        "left_out_json": left_out_json(draft.left_out), "parser": parser, "parsed_at": now_text(),
    }


def insert_observations(
    db: Database, observations: Iterable[Observation], draft: Row, on: date | None
) -> None:
    for observation in observations:
        row = observation_row(db, observation, on)
        db.insert("observation", row | {"draft_id": draft["id"], "batch_id": draft["batch_id"]})


def exam_row(exam: Exam) -> Row:
    return {
        "bird_json": bird_json(exam.bird), "rest_normal": int(exam.rest_normal),
        "span_from": exam.span.start, "span_to": exam.span.end,
    }


def insert_exam(db: Database, exam: Exam, shared: Row) -> str:
    row = made() | shared | exam_row(exam)
    key = db.insert("exam", row)
    uids = {kind: insert_items(db, key, values) for kind, values in items_of(exam).items()}
    for question in exam.questions:
        target = question_target(exam, question)
        item = (target[0], uids[target[0]][target[1]]) if target else None
        insert_question(db, key, question, item)
    index_said(db, key)
    return str(row["uid"])


def items_of(exam: Exam) -> dict[ItemKind, Sequence[Said]]:
    return {"finding": exam.findings, "measurement": exam.measurements, "action": exam.actions}


def insert_items(db: Database, exam_key: int, values: Sequence[Said]) -> list[str]:
    """Add items of one kind as drafts; their uids."""
    rows = [made() | {"exam_id": exam_key} | item_row(value) for value in values]
    if rows:
        db.insert_all(kind_of(values[0]), rows)
    return [str(row["uid"]) for row in rows]


def insert_question(
    db: Database, exam_key: int, question: Question, item: tuple[ItemKind, str] | None = None
) -> str:
    row = made() | {
        "exam_id": exam_key, "kind": question.kind, "text": question.text, "field": question.field,
        "item_kind": item[0] if item else None, "item_uid": item[1] if item else None,
        "choices_json": dumps(list(question.choices)),
        "span_from": question.span.start if question.span else None,
        "span_to": question.span.end if question.span else None,
    }
    db.insert("question", row)
    return str(row["uid"])


def index_said(db: Database, exam_key: int) -> None:
    db.execute("INSERT INTO said(rowid, text) SELECT id, text FROM exam_said WHERE id = ?", [exam_key])


def unindex_said(db: Database, exam_key: int) -> None:
    """The index must be told the old words, so this comes before they change."""
    db.execute(
        "INSERT INTO said(said, rowid, text) SELECT 'delete', id, text FROM exam_said WHERE id = ?",
        [exam_key],
    )
