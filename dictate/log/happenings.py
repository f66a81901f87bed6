"""What happened to birds: leaving, moving between pens, quarantine, vaccination and the like."""

from __future__ import annotations

from collections import defaultdict
from datetime import date

from dictate.errors import UsageError
from dictate.log.codec import day_from, day_text
from dictate.log.database import Database, Row
from dictate.log.ids import now_text
from dictate.log.people import batch_key, key_by_name, made
from dictate.log.trail import Change, apply, change, made_change
from dictate.record import BirdEvent, Leaving

__all__ = ["add_event", "all_events", "end_bird", "events", "withdraw_event"]

_EVENTS = """
    SELECT bird_event.*, bird.uid AS bird_uid, pen.name AS pen
    FROM bird_event
    JOIN bird ON bird.id = bird_event.bird_id
    LEFT JOIN pen ON pen.id = bird_event.pen_id
    WHERE bird_event.withdrawn_at IS NULL
"""


def end_bird(
    db: Database, bird_id: str, how: Leaving, on: date, *, detail: str = "", batch: str | None = None
) -> str:
    with db.transaction():
        key = db.the("bird", bird_id, "bird")["id"]
        gone_before = db.row(
            "SELECT kind, on_day FROM bird_event WHERE bird_id = ? AND leaves = 1 AND withdrawn_at IS NULL", [key]
        )
        if gone_before:
            raise UsageError(
                "writing down that she left", found=f"she has left already ({gone_before['kind']}"
                f" {gone_before['on_day']})", remedy="Take that back first, if it is wrong.",
            )
        event = made() | {
            "bird_id": key, "kind": how, "on_day": day_text(on), "leaves": 1, "detail": detail or None,
            "batch_id": batch_key(db, batch),
        }
        db.insert("bird_event", event)
        ends = [
            change("band", row, until_on=day_text(on))
            for row in db.rows("SELECT * FROM band WHERE bird_id = ? AND until_on IS NULL", [key])
        ]
        gone = Change("bird_event", str(event["uid"]), {}, {"leaves": 1})
        apply(db, how, [gone, *ends], item=bird_id, reason=detail)
    return str(event["uid"])


def add_event(
    db: Database,
    bird_id: str,
    kind: str,
    on: date,
    *,
    until: date | None = None,
    detail: str | None = None,
    pen: str | None = None,
    batch: str | None = None,
) -> str:
    if until is not None and until < on:
        raise UsageError("writing down what happened", kind, f"it ends ({until}) before it begins ({on})")
    with db.transaction():
        bird = db.the("bird", bird_id, "bird")
        row = made() | {
            "bird_id": bird["id"], "kind": kind, "on_day": day_text(on), "until_day": day_text(until),
            "detail": detail, "batch_id": batch_key(db, batch),
        }
        moved: list[Change] = []
        if pen is not None:
            row["pen_id"] = key_by_name(db, "pen", pen)
            row["from_pen_id"], moved = _move(db, bird, on, int(row["pen_id"]))
        db.insert("bird_event", row)
        apply(db, kind, [made_change("bird_event", str(row["uid"]), "withdrawn_at"), *moved], item=bird_id)
    return str(row["uid"])


def _move(db: Database, bird: Row, on: date, to: int) -> tuple[int | None, list[Change]]:
    """The pen she came from, and where she lives from now on; a move told late changes no later one."""
    later = db.row(
        "SELECT uid, from_pen_id FROM bird_event WHERE bird_id = ? AND pen_id IS NOT NULL AND on_day > ?"
        " AND withdrawn_at IS NULL ORDER BY on_day, id LIMIT 1", [bird["id"], day_text(on)],
    )
    before = db.row(
        "SELECT pen_id FROM bird_event WHERE bird_id = ? AND pen_id IS NOT NULL AND on_day <= ?"
        " AND withdrawn_at IS NULL ORDER BY on_day DESC, id DESC LIMIT 1", [bird["id"], day_text(on)],
    )
    if later:
        whole = db.the("bird_event", later["uid"], "event")
        came_from = before["pen_id"] if before else whole["from_pen_id"]
        return came_from, [change("bird_event", whole, from_pen_id=to)]
    return (before["pen_id"] if before else bird["pen_id"]), [change("bird", bird, pen_id=to)]


def withdraw_event(db: Database, event_id: str, *, reason: str = "") -> None:
    """Where she had left, her bands of that day are worn again; where she had moved, she lives where
    the move before has her."""
    with db.transaction():
        event = db.the("bird_event", event_id, "event")
        if event["withdrawn_at"]:
            return
        bird = db.rows("SELECT * FROM bird WHERE id = ?", [event["bird_id"]])[0]
        made_now = [change("bird_event", event, withdrawn_at=now_text())]
        if event["leaves"]:
            made_now += [
                change("band", row, until_on=None)
                for row in db.rows(
                    "SELECT * FROM band WHERE bird_id = ? AND until_on = ?", [bird["id"], event["on_day"]]
                )
            ]
        if event["pen_id"] is not None:
            after = db.row(
                "SELECT * FROM bird_event WHERE bird_id = ? AND pen_id IS NOT NULL AND withdrawn_at IS NULL"
                " AND (on_day > ? OR (on_day = ? AND id > ?)) ORDER BY on_day, id LIMIT 1",
                [bird["id"], event["on_day"], event["on_day"], event["id"]],
            )
            made_now.append(
                change("bird_event", after, from_pen_id=event["from_pen_id"]) if after
                else change("bird", bird, pen_id=event["from_pen_id"])
            )
        apply(db, "event withdrawn", made_now, item=event_id, reason=reason)


def events(db: Database, bird_id: str) -> list[BirdEvent]:
    key = db.the("bird", bird_id, "bird")["id"]
    rows = db.rows(f"{_EVENTS} AND bird_event.bird_id = ? ORDER BY on_day, bird_event.id", [key])
    return [_event(row) for row in rows]


def all_events(db: Database) -> dict[str, list[BirdEvent]]:
    """Events of every bird by her id, each in the order of days."""
    found: dict[str, list[BirdEvent]] = defaultdict(list)
    for row in db.rows(f"{_EVENTS} ORDER BY on_day, bird_event.id"):
        found[row["bird_uid"]].append(_event(row))
    return dict(found)


def _event(row: Row) -> BirdEvent:
    return BirdEvent(
        row["uid"], row["kind"], day_from(row["on_day"]), day_from(row["until_day"]), row["detail"],
        bool(row["leaves"]), row["pen"],
    )
