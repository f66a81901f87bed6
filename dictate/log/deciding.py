"""A person's decisions on drafts and records: keep, change, drop, add, confirm, withdraw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

from dictate.errors import NotFoundError, UsageError
from dictate.log.codec import (
    ITEM_KINDS,
    OPEN,
    bird_from,
    bird_json,
    checked_changes,
    day_from,
    day_text,
    dumps,
    item_row,
    kind_of,
    time_text,
    value_from,
)
from dictate.log.database import Database, Row
from dictate.log.drafts import insert_items, insert_question
from dictate.log.identity import identify
from dictate.log.ids import now_text
from dictate.log.people import key_by_name
from dictate.log.reading import exam as read_exam
from dictate.log.reading import item_rows
from dictate.log.trail import Change, apply, change, made_change
from dictate.model import Bird, Question
from dictate.record import Choice, Confirmed, ItemKind, Said, StoredExam

__all__ = ["add_item", "amend_exam", "close_question", "confirm_exam", "confirm_sure", "decide", "withdraw"]

BIRD = "bird"  # the word by which `decide` is told that the exam's bird is meant
AMENDABLE = ("on", "at", "date_problem", "kind", "rest_normal", "examiner", "bird_id")
_BIRD_PARTS = tuple(f.name for f in fields(Bird) if f.name not in ("span", "penalties", "verdict"))


def decide(
    db: Database,
    exam_id: str,
    item: str,
    choice: Choice,
    changes: Mapping[str, Any] | None = None,
    *,
    reason: str = "",
    by: str | None = None,
) -> StoredExam:
    if changes and choice != "change":
        raise UsageError("deciding on an item", found=f"{choice!r} goes with no changes")
    with db.transaction():
        exam = _open_exam(db, exam_id)
        if item == BIRD:
            made = _decide_bird(db, exam, choice, changes or {})
        else:
            kind, row = _item(db, exam, item)
            made = [_decide_item(kind, row, exam, choice, changes or {})]
        apply(db, choice, made, exam=exam, item=item, reason=reason, by=by)
    return read_exam(db, exam_id)


def _open_exam(db: Database, exam_id: str) -> Row:
    exam = db.the("exam", exam_id, "exam")
    if exam["status"] == "withdrawn":
        raise UsageError("changing", f"exam {exam_id}", "it was withdrawn", "Undo that first.")
    return exam


def _item(db: Database, exam: Row, item_id: str) -> tuple[ItemKind, Row]:
    for kind in ITEM_KINDS:
        row = db.row(f"SELECT * FROM {kind} WHERE uid = ? AND exam_id = ?", [item_id, exam["id"]])
        if row is not None and row["status"] != "replaced":
            return kind, row
    raise NotFoundError("looking in", f"exam {exam['uid']}", f"it has no item with the id {item_id!r}")


def _decide_item(
    kind: ItemKind, row: Row, exam: Row, choice: Choice, changes: Mapping[str, Any]
) -> Change:
    new: dict[str, Any] = {"choice": choice}
    if choice == "change":
        new |= checked_changes(kind, OPEN[kind], changes)
        if row["parsed_json"] is None:
            new["parsed_json"] = dumps(item_row(value_from(kind, row)))
    # What was confirmed already changes at once, and what is dropped from it was withdrawn.
    if choice == "drop":
        new["status"] = "withdrawn" if row["status"] in ("confirmed", "withdrawn") else "dropped"
    elif row["status"] in ("dropped", "withdrawn"):
        new["status"] = "confirmed" if exam["status"] == "confirmed" else "draft"
    return change(kind, row, **new)


def _decide_bird(db: Database, exam: Row, choice: Choice, changes: Mapping[str, Any]) -> list[Change]:
    bird = bird_from(exam["bird_json"])
    if choice == "change":
        checked_changes(BIRD, _BIRD_PARTS, changes)
        bird = replace(bird, **changes)
    elif choice == "drop":
        bird = Bird()
    new = {"bird_json": bird_json(bird), "bird_choice": "change" if choice == "drop" else choice}
    if exam["bird_status"] == "draft" or choice in ("keep", "later"):
        return [change("exam", exam, **new)]
    # The bird of a record was named wrongly: find the right one at once.
    return [change("exam", exam, **new | {"bird_id": None}), *_linked(db, exam | new | {"bird_id": None})[0]]


def add_item(db: Database, exam_id: str, item: Said, *, reason: str = "", by: str | None = None) -> str:
    with db.transaction():
        exam = _open_exam(db, exam_id)
        status = "confirmed" if exam["status"] == "confirmed" else "draft"
        kind = kind_of(item)
        (uid,) = insert_items(db, exam["id"], [item])
        db.update(kind, uid, {"status": status, "choice": "keep", "added": 1})
        undone = "withdrawn" if status == "confirmed" else "dropped"
        made = Change(kind, uid, {"status": undone}, {"status": status})
        apply(db, "add", [made], exam=exam, item=uid, reason=reason, by=by)
    return uid


def amend_exam(
    db: Database, exam_id: str, changes: Mapping[str, Any], *, reason: str = "", by: str | None = None
) -> StoredExam:
    values = checked_changes("exam", AMENDABLE, changes)
    with db.transaction():
        exam = _open_exam(db, exam_id)
        made: list[Change] = []
        if "on" in values:
            values["on_day"] = day_text(values.pop("on"))
        if "at" in values:
            values["at_time"] = time_text(values.pop("at"))
        if "rest_normal" in values:
            values["rest_normal"] = int(values["rest_normal"])
        if "examiner" in values:
            values["examiner_id"] = key_by_name(db, "examiner", values.pop("examiner"))
        if "bird_id" in values:
            bird = values["bird_id"]
            values["bird_id"] = db.the("bird", bird, "bird")["id"] if bird else None
            values["bird_choice"] = "keep"
            made = [
                change("question", row, closed_at=now_text(), answer=str(bird))
                for row in db.rows(
                    "SELECT * FROM question WHERE exam_id = ? AND field = 'bird_id' AND closed_at IS NULL",
                    [exam["id"]],
                )
            ]
        apply(db, "amend", [change("exam", exam, **values), *made], exam=exam, reason=reason, by=by)
    return read_exam(db, exam_id)


def close_question(
    db: Database, exam_id: str, question_id: str, answer: str = "", by: str | None = None
) -> None:
    with db.transaction():
        exam = db.the("exam", exam_id, "exam")
        row = db.the("question", question_id, "question")
        made = [change("question", row, closed_at=now_text(), answer=answer)]
        apply(db, "answer", made, exam=exam, item=row["item_uid"], reason=answer, by=by)


# Confirming

def confirm_exam(db: Database, exam_id: str, *, reason: str = "", by: str | None = None) -> Confirmed:
    return _confirm(db, exam_id, "confirm", reason, by)


def confirm_sure(db: Database, exam_id: str, *, reason: str = "", by: str | None = None) -> Confirmed:
    return _confirm(db, exam_id, "confirm sure", reason, by)


def _confirm(db: Database, exam_id: str, what: str, reason: str, by: str | None) -> Confirmed:
    with db.transaction():
        exam = _open_exam(db, exam_id)
        drafts = [(kind, row) for kind, row in item_rows(db, [exam["id"]]) if row["status"] == "draft"]
        ready = [one for one in drafts if what == "confirm" or _is_sure(one[1])]
        made = [change(kind, row, status="confirmed") for kind, row in ready]
        left = len(drafts) - len(ready)
        question, new_bird = None, False
        new: dict[str, Any] = {}
        bird_ready = what == "confirm" or _bird_is_sure(exam)
        if bird_ready and exam["bird_status"] == "draft":
            links, question, new_bird = _linked(db, exam, ask=what == "confirm")
            made += links
            # Which bird it was is not sure then: the draft stays until review has asked.
            bird_ready = question is None or what == "confirm"
            if bird_ready:
                new["bird_status"] = "confirmed"
        if left == 0 and bird_ready:
            new["status"] = "confirmed"
        if ready:
            new["has_confirmed"] = 1
        made.append(change("exam", exam, **new))
        if any(one.after for one in made):
            apply(db, what, made, exam=exam, reason=reason, by=by)
    return Confirmed(read_exam(db, exam_id), len(ready), left, question, new_bird)


def _is_sure(row: Row) -> bool:
    """As Item.sure, of a row."""
    return row["choice"] in ("keep", "change") or (row["choice"] is None and row["verdict"] == "sure")


def _bird_is_sure(exam: Row) -> bool:
    if exam["bird_status"] == "confirmed" or exam["bird_choice"] in ("keep", "change"):
        return True
    bird = bird_from(exam["bird_json"])
    return exam["bird_choice"] is None and bird.known and bird.verdict == "sure"


def _linked(db: Database, exam: Row, *, ask: bool = True) -> tuple[list[Change], Question | None, bool]:
    """Find the exam's bird in the register, or add her; a question where that would be a guess, kept
    with the exam where `ask` says so."""
    if exam["bird_id"] is not None:
        return [], None, False
    batch = db.row("SELECT uid FROM batch WHERE id = ?", [exam["batch_id"]])
    found = identify(
        db, bird_from(exam["bird_json"]), day_from(exam["on_day"]),
        post_mortem=exam["kind"] == "post-mortem", batch=batch["uid"] if batch else None,
    )
    made = list(found.changes)
    if found.bird:
        key = db.the("bird", found.bird, "bird")["id"]
        made.append(Change("exam", exam["uid"], {"bird_id": None}, {"bird_id": key}))
    if found.question and ask:
        made.append(made_change("question", insert_question(db, exam["id"], found.question), "closed_at"))
    return made, found.question, found.new


def withdraw(db: Database, exam_id: str, reason: str, *, by: str | None = None) -> StoredExam:
    with db.transaction():
        exam = _open_exam(db, exam_id)
        made = change("exam", exam, status="withdrawn", withdrawn_at=now_text(), withdrawn_why=reason)
        apply(db, "withdraw", [made], exam=exam, reason=reason, by=by)
    return read_exam(db, exam_id)
