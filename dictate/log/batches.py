"""Many things brought in together, so that they can be taken back together."""

from __future__ import annotations

from dictate.log.database import Database
from dictate.log.ids import new_id, now_text
from dictate.log.trail import apply, change

__all__ = ["start_batch", "undo_batch"]


def start_batch(db: Database, kind: str, about: str = "") -> str:
    uid = new_id()
    db.insert("batch", {"uid": uid, "kind": kind, "about": about, "started_at": now_text()})
    return uid


def undo_batch(db: Database, batch_id: str, reason: str) -> int:
    with db.transaction():
        batch = db.the("batch", batch_id, "batch")
        now = now_text()
        made = [change("batch", batch, withdrawn_at=batch["withdrawn_at"] or now, withdrawn_why=reason)]
        exams = db.rows(
            "SELECT * FROM exam WHERE batch_id = ? AND status != 'withdrawn'", [batch["id"]]
        )
        for exam in exams:
            gone = change("exam", exam, status="withdrawn", withdrawn_at=now, withdrawn_why=reason)
            apply(db, "withdraw", [gone], exam=exam, reason=reason)
        for row in db.rows(
            "SELECT * FROM observation WHERE batch_id = ? AND status != 'withdrawn'", [batch["id"]]
        ):
            made.append(change("observation", row, status="withdrawn"))
        for row in db.rows("SELECT * FROM note WHERE batch_id = ? AND withdrawn_at IS NULL", [batch["id"]]):
            made.append(change("note", row, withdrawn_at=now))
        for table in ("bird_event", "treatment_course", "photo"):
            for row in db.rows(
                f"SELECT * FROM {table} WHERE batch_id = ? AND withdrawn_at IS NULL", [batch["id"]]
            ):
                made.append(change(table, row, withdrawn_at=now))
        # A bird and her bands go only where nothing else speaks of her.
        for table, bird in (("bird", "bird.id"), ("band", "band.bird_id")):
            for row in db.rows(
                f"SELECT * FROM {table} WHERE batch_id = ? AND withdrawn_at IS NULL AND NOT EXISTS"
                f" (SELECT 1 FROM exam WHERE exam.bird_id = {bird} AND exam.status != 'withdrawn')",
                [batch["id"]],
            ):
                made.append(change(table, row, withdrawn_at=now))
        apply(db, "batch undone", made, item=batch_id, reason=reason)
    return len(exams)
