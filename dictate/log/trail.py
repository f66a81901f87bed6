"""The audit trail: every change goes through here, with what stood before it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from dictate.log.codec import dumps, moment_from
from dictate.log.database import Database, Row
from dictate.log.ids import new_id, now_text
from dictate.log.people import key_by_name
from dictate.record import Decision

__all__ = ["Change", "apply", "change", "decisions", "undo_last"]

FINAL = ("undo", "parsed again")  # these are not themselves undone


@dataclass(frozen=True, slots=True)
class Change:
    """Columns of one row before and after."""

    table: str
    uid: str
    before: dict[str, Any]
    after: dict[str, Any]


def change(table: str, row: Row, **after: Any) -> Change:
    """The change that sets these columns of a row; only those that differ are kept."""
    after = {name: value for name, value in after.items() if row[name] != value}
    return Change(table, row["uid"], {name: row[name] for name in after}, after)


def made_change(table: str, uid: str, column: str) -> Change:
    """For a row that was just made: undoing puts a time into `column` (withdrawn_at, closed_at)."""
    return Change(table, uid, {column: now_text()}, {column: None})


def apply(
    db: Database,
    what: str,
    changes: Sequence[Change],
    *,
    exam: Row | None = None,
    item: str | None = None,
    reason: str = "",
    by: str | None = None,
) -> int:
    """Make the changes and keep them in the trail, in one transaction; the decision's key."""
    changes = [c for c in changes if c.after]
    with db.transaction():
        db.update_all((one.table, one.uid, one.after) for one in changes)
        return db.insert("decision", {
            "uid": new_id(), "exam_id": exam["id"] if exam else None, "item_uid": item, "what": what,
            "changes_json": dumps([[c.table, c.uid, c.before, c.after] for c in changes]),
            "reason": reason, "examiner_id": key_by_name(db, "examiner", by), "decided_at": now_text(),
        })


def undo_last(db: Database, exam: Row, *, by: str | None = None) -> Decision | None:
    marks = ", ".join("?" * len(FINAL))
    with db.transaction():
        last = db.row(
            f"{_DECISIONS} WHERE decision.exam_id = ? AND decision.undone_by IS NULL"
            f" AND decision.what NOT IN ({marks}) ORDER BY decision.id DESC LIMIT 1",
            [exam["id"], *FINAL],
        )
        if last is None:
            return None
        changes = [Change(*entry) for entry in json.loads(last["changes_json"])]
        back = [
            Change(c.table, c.uid, c.after, c.before)
            for c in reversed(changes)
            if not _still_used(db, c, exam)
        ]
        key = apply(
            db, "undo", back, exam=exam, item=last["item_uid"], reason=f"undo of: {last['what']}", by=by
        )
        db.update("decision", last["uid"], {"undone_by": key})
    return _decision(last | {"undone_by": key})


def _still_used(db: Database, one: Change, exam: Row) -> bool:
    """Whether a bird that a confirmation made has other exams by now: then she stays."""
    if one.table == "bird":
        bird = "SELECT id FROM bird WHERE uid = ?"
    elif one.table == "band":
        bird = "SELECT bird_id FROM band WHERE uid = ?"
    else:
        return False
    used = db.row(
        f"SELECT 1 FROM exam WHERE bird_id = ({bird}) AND id != ? AND status != 'withdrawn' LIMIT 1",
        [one.uid, exam["id"]],
    )
    return used is not None


_DECISIONS = """
    SELECT decision.*, exam.uid AS exam_uid, examiner.name AS examiner
    FROM decision
    LEFT JOIN exam ON exam.id = decision.exam_id
    LEFT JOIN examiner ON examiner.id = decision.examiner_id
"""


def decisions(db: Database, exam_id: str | None = None) -> list[Decision]:
    where, values = ("", [])
    if exam_id is not None:
        where, values = (" WHERE decision.exam_id = ?", [db.the("exam", exam_id, "exam")["id"]])
    return [_decision(row) for row in db.rows(f"{_DECISIONS}{where} ORDER BY decision.id", values)]


def _decision(row: Row) -> Decision:
    at = moment_from(row["decided_at"])
    assert at is not None, "the column may not be empty"
    changes = json.loads(row["changes_json"])
    return Decision(
        id=row["uid"], what=row["what"], at=at, exam_id=row["exam_uid"], item_id=row["item_uid"],
        reason=row["reason"], by=row["examiner"],
        before={f"{table} {uid}": before for table, uid, before, _ in changes},
        after={f"{table} {uid}": after for table, uid, _, after in changes},
        undone=row["undone_by"] is not None,
    )
