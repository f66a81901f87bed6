"""The register of birds: bands over time, events, the end."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from dictate.errors import UsageError
from dictate.keeping import PenMove
from dictate.log.codec import checked_changes, day_from, day_text, key_of
from dictate.log.database import Database, Row
from dictate.log.people import batch_key, key_by_name, made
from dictate.log.trail import apply, change
from dictate.record import Band, BirdRecord

__all__ = ["band_bird", "bird", "birds", "change_bird", "register_bird", "unband_bird"]

CHANGEABLE = ("name", "species", "breed", "sex", "hatched", "pen", "source")


def register_bird(
    db: Database,
    *,
    name: str | None = None,
    band: str | None = None,
    colour: str | None = None,
    leg: str | None = None,
    banded_on: date | None = None,
    species: str = "chicken",
    breed: str | None = None,
    sex: str | None = None,
    hatched: date | None = None,
    pen: str | None = None,
    source: str | None = None,
    batch: str | None = None,
) -> str:
    if not (name and name.strip()) and not (band and band.strip()):
        raise UsageError("adding a bird", found="she has neither a name nor a band")
    species = " ".join(species.casefold().split())
    if not species:
        raise UsageError("adding a bird", found="her species is empty", remedy="Leave it out for a chicken.")
    with db.transaction():
        row = made() | {
            "name": name, "name_key": key_of(name) if name else None, "species": species,
            "breed": breed, "sex": sex, "hatched_on": day_text(hatched),
            "pen_id": key_by_name(db, "pen", pen), "source": source, "batch_id": batch_key(db, batch),
        }
        db.insert("bird", row)
        if band and band.strip():
            band_bird(db, str(row["uid"]), band, colour=colour, leg=leg, since=banded_on, batch=batch)
    return str(row["uid"])


def change_bird(db: Database, bird_id: str, changes: Mapping[str, Any], *, reason: str = "") -> BirdRecord:
    values = checked_changes("bird", CHANGEABLE, changes)
    with db.transaction():
        row = db.the("bird", bird_id, "bird")
        if "name" in values:
            values["name_key"] = key_of(values["name"]) if values["name"] else None
        if "species" in values:
            values["species"] = " ".join(str(values["species"] or "").casefold().split()) or row["species"]
        if "hatched" in values:
            values["hatched_on"] = day_text(values.pop("hatched"))
        if "pen" in values:
            values["pen_id"] = key_by_name(db, "pen", values.pop("pen"))
        apply(db, "bird changed", [change("bird", row, **values)], item=bird_id, reason=reason)
    return bird(db, bird_id)


def band_bird(
    db: Database,
    bird_id: str,
    mark: str,
    *,
    colour: str | None = None,
    leg: str | None = None,
    since: date | None = None,
    batch: str | None = None,
) -> str:
    key = key_of(mark)
    if not key:
        raise UsageError("banding a bird", found="the band has no mark")
    with db.transaction():
        row = made() | {
            "bird_id": db.the("bird", bird_id, "bird")["id"], "mark": mark.strip(), "mark_key": key,
            "last_key": key.split()[-1], "colour": colour, "leg": leg, "since_on": day_text(since),
            "batch_id": batch_key(db, batch),
        }
        db.insert("band", row)
    return str(row["uid"])


def unband_bird(db: Database, band_id: str, *, until: date) -> None:
    with db.transaction():
        row = db.the("band", band_id, "band")
        apply(db, "band off", [change("band", row, until_on=day_text(until))], item=band_id)


def bird(db: Database, bird_id: str) -> BirdRecord:
    return records(db, [db.the("bird", bird_id, "bird")["id"]])[0]


def birds(db: Database, *, on: date | None = None) -> list[BirdRecord]:
    keys = [row["id"] for row in db.rows("SELECT id FROM bird WHERE withdrawn_at IS NULL")]
    found = sorted(records(db, keys), key=lambda b: (b.label.casefold(), b.id))
    return [b for b in found if on is None or b.here_on(on)]


def records(db: Database, keys: Sequence[int]) -> list[BirdRecord]:
    """Records of birds by their keys, in the order of the keys."""
    found: dict[int, BirdRecord] = {}
    for first in range(0, len(keys), 500):
        some = list(keys[first : first + 500])
        marks = ", ".join("?" * len(some))
        bands: dict[int, list[Band]] = defaultdict(list)
        for row in db.rows(
            f"SELECT * FROM band WHERE bird_id IN ({marks}) AND withdrawn_at IS NULL ORDER BY id", some
        ):
            bands[row["bird_id"]].append(_band(row))
        ends = {
            row["bird_id"]: row
            for row in db.rows(
                f"SELECT * FROM bird_event WHERE bird_id IN ({marks}) AND leaves = 1"
                " AND withdrawn_at IS NULL ORDER BY id", some,
            )
        }
        moves: dict[int, list[PenMove]] = defaultdict(list)
        for row in db.rows(
            "SELECT bird_event.bird_id, on_day, pen.name AS pen, before.name AS before FROM bird_event"
            " JOIN pen ON pen.id = bird_event.pen_id LEFT JOIN pen AS before ON before.id = from_pen_id"
            f" WHERE bird_id IN ({marks}) AND withdrawn_at IS NULL ORDER BY on_day, bird_event.id", some,
        ):
            moves[row["bird_id"]].append(PenMove(day_from(row["on_day"]), row["pen"], row["before"]))
        for row in db.rows(
            f"SELECT bird.*, pen.name AS pen FROM bird LEFT JOIN pen ON pen.id = bird.pen_id"
            f" WHERE bird.id IN ({marks})", some,
        ):
            found[row["id"]] = _record(row, bands[row["id"]], moves[row["id"]], ends.get(row["id"]))
    return [found[key] for key in keys]


def _band(row: Row) -> Band:
    return Band(
        row["uid"], row["mark"], row["colour"], row["leg"],
        day_from(row["since_on"]), day_from(row["until_on"]),
    )


def _record(row: Row, bands: Iterable[Band], moves: Iterable[PenMove], end: Row | None) -> BirdRecord:
    return BirdRecord(
        id=row["uid"], name=row["name"], species=row["species"], breed=row["breed"], sex=row["sex"],
        hatched=day_from(row["hatched_on"]), pen=row["pen"], source=row["source"], bands=tuple(bands),
        left_on=day_from(end["on_day"]) if end else None, left_how=end["kind"] if end else None,
        moves=tuple(moves),
    )
