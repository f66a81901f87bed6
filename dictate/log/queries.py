"""Questions over many exams: a bird's history, when each region was last seen, search in what was said."""

from __future__ import annotations

from datetime import date, time

from dictate.log.codec import bird_from, day_from
from dictate.log.database import Database
from dictate.log.reading import exams
from dictate.record import SaidHit, StoredExam, examined_regions

__all__ = ["history", "last_looks", "search", "undated"]


def history(db: Database, bird_id: str) -> list[StoredExam]:
    db.the("bird", bird_id, "bird")
    found = list(exams(db, bird=bird_id))
    return sorted(found, key=lambda e: (e.on is None, e.on or date.min, e.at or time.min))


def last_looks(db: Database, bird_id: str) -> dict[str, date]:
    looks: dict[str, date] = {}
    for stored in history(db, bird_id):
        if stored.on is not None and stored.kind == "live":
            looks |= dict.fromkeys(examined_regions(stored.confirmed), stored.on)
    return looks


def undated(db: Database) -> int:
    row = db.row(
        "SELECT count(*) AS number FROM exam WHERE on_day IS NULL"
        " AND (status = 'confirmed' OR (status = 'draft' AND has_confirmed = 1))"
    )
    return int(row["number"]) if row else 0


def search(db: Database, words: str, *, limit: int = 50) -> list[SaidHit]:
    """The words are looked for as they are: marks that the index gives a meaning to mean nothing here."""
    quoted = " ".join('"' + word.replace('"', '""') + '"' for word in words.split())
    if not quoted:
        return []
    rows = db.rows(
        "SELECT exam.uid AS uid, exam.on_day AS on_day, exam.bird_json AS bird_json,"
        " snippet(said, 0, '[', ']', '…', 16) AS snippet"
        " FROM said JOIN exam ON exam.id = said.rowid"
        " WHERE said MATCH ? AND exam.status != 'withdrawn' ORDER BY said.rank, exam.id LIMIT ?",
        [quoted, limit],
    )
    return [SaidHit(r["uid"], r["snippet"], day_from(r["on_day"]), _label(r["bird_json"])) for r in rows]


def _label(text: str) -> str | None:
    bird = bird_from(text)
    return bird.label if bird.known else None
