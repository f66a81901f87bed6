"""What is said of a pen or the flock on a day: deaths, eggs, water and the like."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from dictate.log.codec import day_from, day_text
from dictate.log.database import Database, Row
from dictate.log.people import batch_key, key_by_name, made
from dictate.log.trail import apply, change
from dictate.model import Observation, Span
from dictate.record import Status, StoredObservation

_ENDS = (". ", "! ", "? ", "; ", "\n")

__all__ = ["add_observation", "observation_from", "observation_row", "observations", "settle_observation"]


def observation_row(db: Database, observation: Observation, on: date | None) -> Row:
    return made() | {
        "kind": observation.kind, "on_day": day_text(on),
        "pen_id": key_by_name(db, "pen", observation.pen), "value": observation.value,
        "unit": observation.unit, "detail": observation.detail,
        "span_from": observation.span.start, "span_to": observation.span.end,
        "quote": observation.quote,
    }


def observation_from(row: Row) -> Observation:
    return Observation(
        kind=row["kind"], pen=row["pen"], value=row["value"], unit=row["unit"], detail=row["detail"],
        span=Span(row["span_from"], row["span_to"]), quote=row["quote"],
    )


def add_observation(
    db: Database, observation: Observation, *, on: date | None = None, batch: str | None = None
) -> str:
    with db.transaction():
        row = observation_row(db, observation, on)
        row |= {"status": "confirmed", "batch_id": batch_key(db, batch)}
        db.insert("observation", row)
        apply(db, "observation added", [], item=row["uid"])
    return str(row["uid"])


def observations(
    db: Database,
    *,
    statuses: Sequence[Status] = ("confirmed",),
    pen: str | None = None,
    since: date | None = None,
    until: date | None = None,
    draft: str | None = None,
    batch: str | None = None,
) -> list[StoredObservation]:
    tests = [f"observation.status IN ({', '.join('?' * len(statuses))})"]
    values: list[Any] = [*statuses]
    for test, value in (
        ("pen.name = ?", pen),
        ("on_day >= ?", day_text(since)),
        ("on_day <= ?", day_text(until)),
        ("draft_id = (SELECT id FROM draft WHERE uid = ?)", draft),
        ("batch.uid = ?", batch),
    ):
        if value is not None:
            tests.append(test)
            values.append(value)
    rows = db.rows(
        "SELECT observation.*, pen.name AS pen, batch.uid AS batch_uid, draft.text AS text FROM observation"
        " LEFT JOIN pen ON pen.id = observation.pen_id"
        " LEFT JOIN batch ON batch.id = observation.batch_id"
        " LEFT JOIN draft ON draft.id = observation.draft_id"
        f" WHERE {' AND '.join(tests)} ORDER BY on_day, observation.id",
        values,
    )
    return [
        StoredObservation(
            id=row["uid"], kind=row["kind"], status=row["status"], on=day_from(row["on_day"]),
            pen=row["pen"], value=row["value"], unit=row["unit"], detail=row["detail"],
            quote=row["quote"], batch=row["batch_uid"],
            said=_sentence(row["text"], row["span_from"], row["span_to"]),
        )
        for row in rows
    ]


def _sentence(text: str | None, start: int, end: int) -> str:
    """The sentence or line that text[start:end] stands in."""
    if not text or end > len(text):
        return ""
    first = max(text.rfind(mark, 0, start) for mark in _ENDS) + 1
    last = min((at for mark in _ENDS if (at := text.find(mark, end)) >= 0), default=len(text))
    return text[first:last].strip()


def settle_observation(db: Database, observation_id: str, status: Status, *, reason: str = "") -> None:
    with db.transaction():
        row = db.the("observation", observation_id, "observation")
        apply(
            db, f"observation {status}", [change("observation", row, status=status)],
            item=observation_id, reason=reason,
        )
