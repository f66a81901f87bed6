"""Photos: each file is copied beside the log under the name of its own hash, and checked by it."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from dictate.errors import LogError, UsageError
from dictate.keeping import Photo
from dictate.log.codec import moment_from
from dictate.log.database import Database, Row
from dictate.log.ids import now_text, utc_text
from dictate.log.people import batch_key, made
from dictate.log.trail import apply, change, made_change

__all__ = ["check_photos", "keep_photo", "photos_of", "withdraw_photo"]

FOLDER = "photos"
SHORT = 16
"""Letters of the hash in the name of the copy."""
_PHOTOS = """
    SELECT photo.*, exam.uid AS exam_uid, finding.uid AS finding_uid
    FROM photo JOIN exam ON exam.id = photo.exam_id LEFT JOIN finding ON finding.id = photo.finding_id
    WHERE photo.withdrawn_at IS NULL
"""


def keep_photo(
    db: Database,
    source: Path,
    exam_id: str,
    finding_id: str | None = None,
    *,
    taken: datetime | None = None,
    batch: str | None = None,
) -> tuple[Photo, bool]:
    digest = file_hash(source)
    with db.transaction():
        exam = db.the("exam", exam_id, "exam")["id"]
        finding = db.the("finding", finding_id, "finding") if finding_id else None
        if finding is not None and finding["exam_id"] != exam:
            raise UsageError("keeping a photo", source.name, "that finding is of another exam")
        known = [
            row for row in db.rows(f"{_PHOTOS} AND photo.exam_id = ? AND photo.sha256 = ?", [exam, digest])
            if row["finding_uid"] == finding_id
        ]
        if known:
            return _photo(db, known[0]), False
        inside = _free_name(db.path.parent, digest, source.suffix.lower())
        _copy(source, db.path.parent / inside, digest)
        row = made() | {
            "exam_id": exam, "finding_id": finding["id"] if finding else None, "path": inside, "sha256": digest,
            "taken_at": utc_text(taken) if taken else None, "name": source.name, "batch_id": batch_key(db, batch),
        }
        db.insert("photo", row)
        apply(
            db, "photo", [made_change("photo", str(row["uid"]), "withdrawn_at")],
            exam=db.the("exam", exam_id, "exam"), item=str(row["uid"]),
        )
        found = db.rows(f"{_PHOTOS} AND photo.uid = ?", [row["uid"]])[0]
    return _photo(db, found), True


def _free_name(folder: Path, digest: str, suffix: str) -> str:
    """A short name from the hash; the whole hash where another photo has the short one already."""
    short = f"{FOLDER}/{digest[:SHORT]}{suffix}"
    taken = (folder / short).exists() and file_hash(folder / short) != digest
    return f"{FOLDER}/{digest}{suffix}" if taken else short


def file_hash(path: Path) -> str:
    """SHA-256 of a file. Raises LogError where it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise LogError("reading the photo", str(path), (error.strerror or str(error)).lower()) from error


def _copy(source: Path, target: Path, digest: str) -> None:
    """A copy that only its owner may read; it counts as kept when its own hash is right."""
    if target.exists() and file_hash(target) == digest:
        return
    part = target.with_name(target.name + ".part")
    try:
        target.parent.mkdir(mode=0o700, exist_ok=True)
        os.close(os.open(part, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
        shutil.copyfile(source, part)
        with part.open("rb+") as copy:
            os.fsync(copy.fileno())
        if file_hash(part) != digest:
            part.unlink()
            raise LogError(
                "copying the photo", str(source), "the copy is not the same as the file", "Look at the disk."
            )
        part.replace(target)
    except OSError as error:
        raise LogError("copying the photo to", str(target), (error.strerror or str(error)).lower()) from error


def photos_of(db: Database, exam_keys: Sequence[int]) -> dict[int, list[Photo]]:
    """Photos that stand, by the exam's key."""
    found: dict[int, list[Photo]] = defaultdict(list)
    marks = ", ".join("?" * len(exam_keys))
    for row in db.rows(f"{_PHOTOS} AND photo.exam_id IN ({marks}) ORDER BY photo.id", list(exam_keys)):
        found[row["exam_id"]].append(_photo(db, row))
    return found


def check_photos(db: Database) -> tuple[int, list[str]]:
    """How many photos are kept, and a sentence for each that is missing or not as it was."""
    faults = []
    rows = db.rows(f"{_PHOTOS} ORDER BY photo.id")
    for row in rows:
        path = db.path.parent / row["path"]
        if not path.is_file():
            faults.append(f"the photo {row['name']} is missing: {path}")
        elif file_hash(path) != row["sha256"]:
            faults.append(f"the photo {row['name']} is not as it was when it was kept: {path}")
    return len(rows), faults


def withdraw_photo(db: Database, photo_id: str, *, reason: str = "") -> None:
    """The photo is shown no more; its file stays."""
    with db.transaction():
        row = db.the("photo", photo_id, "photo")
        exam = db.rows("SELECT * FROM exam WHERE id = ?", [row["exam_id"]])
        apply(
            db, "photo withdrawn", [change("photo", row, withdrawn_at=row["withdrawn_at"] or now_text())],
            exam=exam[0] if exam else None, item=photo_id, reason=reason,
        )


def _photo(db: Database, row: Row) -> Photo:
    return Photo(
        id=row["uid"], path=str(db.path.parent / row["path"]), sha256=row["sha256"], exam_id=row["exam_uid"],
        finding_id=row["finding_uid"], taken=moment_from(row["taken_at"]), name=row["name"],
    )
