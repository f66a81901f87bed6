"""Recordings, what was heard in them, and notes: kept before anything is understood."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from datetime import date, datetime
from pathlib import Path

from dictate.log.codec import day_text, moment_from, utterance_from, utterance_row
from dictate.log.database import Database, Row
from dictate.log.ids import new_id, now_text, utc_text
from dictate.log.people import batch_key, key_by_name, made
from dictate.model import Utterance
from dictate.record import NoteRef, Recording

__all__ = ["add_note", "add_recording", "add_utterances", "finish_recording", "recording", "recordings"]


def add_recording(
    db: Database,
    path: Path | str,
    *,
    started: datetime | None = None,
    seconds: float | None = None,
    sample_rate: int | None = None,
    sha256: str | None = None,
    examiner: str | None = None,
    device: str | None = None,
    batch: str | None = None,
) -> str:
    with db.transaction():
        row = made() | {
            "path": str(path), "started_at": utc_text(started) if started else None,
            "seconds": seconds, "sample_rate": sample_rate, "sha256": sha256,
            "examiner_id": key_by_name(db, "examiner", examiner),
            "device_id": key_by_name(db, "device", device), "batch_id": batch_key(db, batch),
        }
        db.insert("recording", row)
    return str(row["uid"])


def finish_recording(
    db: Database, recording_id: str, *, seconds: float | None = None, sha256: str | None = None
) -> None:
    with db.transaction():
        row = db.the("recording", recording_id, "recording")
        db.update("recording", recording_id, {
            "finished_at": row["finished_at"] or now_text(),
            "seconds": row["seconds"] if seconds is None else seconds,
            "sha256": sha256 or row["sha256"],
        })


def add_utterances(db: Database, recording_id: str, utterances: Iterable[Utterance]) -> None:
    utterances = tuple(utterances)
    if not utterances:
        return
    with db.transaction():
        key = db.the("recording", recording_id, "recording")["id"]
        found = db.row("SELECT max(position) AS last FROM utterance WHERE recording_id = ?", [key])
        first = 0 if found is None or found["last"] is None else found["last"] + 1
        db.insert_all("utterance", (
            made() | {"recording_id": key, "position": first + number} | utterance_row(utterance)
            for number, utterance in enumerate(utterances)
        ))


_RECORDINGS = """
    SELECT recording.*, examiner.name AS examiner, device.name AS device,
           EXISTS (SELECT 1 FROM draft WHERE draft.recording_id = recording.id) AS has_draft
    FROM recording
    LEFT JOIN examiner ON examiner.id = recording.examiner_id
    LEFT JOIN device ON device.id = recording.device_id
"""


def recording(db: Database, recording_id: str) -> Recording:
    key = db.the("recording", recording_id, "recording")["id"]
    (row,) = db.rows(f"{_RECORDINGS} WHERE recording.id = ?", [key])
    return _recording(row, utterances_of(db, key))


def recordings(db: Database, *, without_draft: bool = False) -> list[Recording]:
    found = [_recording(row, ()) for row in db.rows(f"{_RECORDINGS} ORDER BY recording.id")]
    return [r for r in found if not (without_draft and r.has_draft)]


def utterances_of(db: Database, recording_key: int | None) -> tuple[Utterance, ...]:
    """All that was heard in a recording, by its key in this file."""
    rows = db.rows("SELECT * FROM utterance WHERE recording_id = ? ORDER BY position", [recording_key])
    return tuple(utterance_from(row) for row in rows)


def _recording(row: Row, utterances: tuple[Utterance, ...]) -> Recording:
    return Recording(
        id=row["uid"], path=row["path"], started=moment_from(row["started_at"]),
        seconds=row["seconds"], sample_rate=row["sample_rate"], sha256=row["sha256"],
        examiner=row["examiner"], device=row["device"], finished=row["finished_at"] is not None,
        has_draft=bool(row["has_draft"]), utterances=utterances,
    )


def add_note(
    db: Database,
    text: str,
    *,
    file: str | None = None,
    line: int | None = None,
    on: date | None = None,
    bird: str = "",
    key: str | None = None,
    batch: str | None = None,
) -> NoteRef:
    same = key or same_note_key(text, file, line, on, bird)
    with db.transaction():
        found = db.row("SELECT uid FROM note WHERE same_key = ? AND withdrawn_at IS NULL", [same])
        if found:
            return NoteRef(found["uid"], new=False)
        row = made() | {
            "text": text, "file": file, "line": line, "on_day": day_text(on), "same_key": same,
            "batch_id": batch_key(db, batch),
        }
        db.insert("note", row)
    return NoteRef(str(row["uid"]), new=True)


def same_note_key(text: str, file: str | None, line: int | None, on: date | None, bird: str) -> str:
    """Equal for two notes that are one. Two undated ones are one only at the same place of a file:
    without a day nothing shows that the same words were not said of two visits. An undated note
    from no file is never the same as another."""
    words = " ".join(text.casefold().split())
    if on is not None:
        parts = [on.isoformat(), " ".join(bird.casefold().split()), words]
    elif file is not None:
        parts = ["", file, str(line), words]
    else:
        return new_id()
    return hashlib.sha256("\x1f".join(parts).encode("utf-8", "surrogatepass")).hexdigest()
