"""Small tables of names: pens, examiners, devices. A name that is new is added."""

from __future__ import annotations

from dictate.errors import NotFoundError
from dictate.log.database import Database
from dictate.log.ids import new_id, now_text

__all__ = ["batch_key", "key_by_name", "made"]


def made() -> dict[str, str]:
    """The columns that every new row has."""
    return {"uid": new_id(), "made_at": now_text()}


def key_by_name(db: Database, table: str, name: str | None) -> int | None:
    """The key of the pen, examiner or device with this name, made where it is new."""
    name = " ".join(name.split()) if name else None
    if not name:
        return None
    found = db.row(f"SELECT id FROM {table} WHERE name = ?", [name])
    return int(found["id"]) if found else db.insert(table, made() | {"name": name})


def batch_key(db: Database, batch: str | None) -> int | None:
    if batch is None:
        return None
    found = db.row("SELECT id, withdrawn_at FROM batch WHERE uid = ?", [batch])
    if found is None:
        raise NotFoundError("looking in", str(db.path), f"there is no batch with the id {batch!r}")
    return int(found["id"])
