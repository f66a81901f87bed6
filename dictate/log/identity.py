"""Which bird is meant by a spoken mark or name: one, a new one, or a question. Never a guess."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from dictate.log.codec import key_of
from dictate.log.database import Database
from dictate.log.register import band_bird, records, register_bird
from dictate.log.trail import Change, change, made_change
from dictate.model import Bird, Question
from dictate.record import BirdMatch, BirdRecord

__all__ = ["Identity", "find_birds", "identify"]


@dataclass(frozen=True, slots=True)
class Identity:
    """The bird found or made (None: nobody was named, or see `question`) and what it changed."""

    bird: str | None = None
    changes: list[Change] = field(default_factory=list)
    question: Question | None = None
    new: bool = False


def identify(
    db: Database,
    spoken: Bird,
    on: date | None,
    *,
    post_mortem: bool = False,
    batch: str | None = None,
) -> Identity:
    """The bird of the register that was spoken of. One that fits nothing known is added; what was
    said of one that fits (her name, a further band, her sex) fills what the register lacks. `batch`
    is the import that the exam came in with."""
    if not spoken.known:
        return Identity()
    match = find_birds(db, band=spoken.band, name=spoken.name, on=on, post_mortem=post_mortem)
    if match.only:
        return Identity(match.only.id, _filled(db, match.only, spoken))
    if match.unknown:
        bird = register_bird(
            db, name=spoken.name, band=spoken.band, breed=spoken.breed, sex=spoken.sex, pen=spoken.pen,
            batch=batch,
        )
        return Identity(bird, _made(db, bird), new=True)
    possible = match.fits or match.near
    question = Question(
        kind="bird", field="bird_id", text=f"Which bird is {spoken.label}?", span=spoken.span,
        choices=(*(b.label for b in possible), "a new bird"),
    )
    return Identity(question=question)


def _made(db: Database, bird: str) -> list[Change]:
    key = db.the("bird", bird, "bird")["id"]
    bands = db.rows("SELECT uid FROM band WHERE bird_id = ?", [key])
    return [
        made_change("bird", bird, "withdrawn_at"),
        *(made_change("band", row["uid"], "withdrawn_at") for row in bands),
    ]


def _filled(db: Database, bird: BirdRecord, spoken: Bird) -> list[Change]:
    row = db.the("bird", bird.id, "bird")
    new: dict[str, str] = {}
    if spoken.name and not bird.name:
        new |= {"name": spoken.name, "name_key": key_of(spoken.name)}
    if spoken.sex and not bird.sex:
        new["sex"] = spoken.sex
    if spoken.breed and not bird.breed:
        new["breed"] = spoken.breed
    changes = [change("bird", row, **new)]
    if spoken.band and key_of(spoken.band) not in {key_of(band.mark) for band in bird.bands}:
        band = band_bird(db, bird.id, spoken.band)
        changes.append(made_change("band", band, "withdrawn_at"))
    return changes


def find_birds(
    db: Database,
    *,
    band: str | None = None,
    name: str | None = None,
    on: date | None = None,
    post_mortem: bool = False,
) -> BirdMatch:
    """See BirdMatch. A dead bird still fits on a post-mortem of a later day."""
    mark, called = key_of(band or ""), key_of(name or "")
    by_mark = _by_mark(db, mark) if mark else []
    by_name = _by_name(db, called) if called else []
    worn = [b for b in by_mark if _worn(b, mark, on, post_mortem)]
    here = [b for b in by_name if _here(b, on, post_mortem)]
    if mark and called:
        both = [b for b in worn if b in here]
        if both:
            return BirdMatch(fits=tuple(both))
        nameless = [b for b in worn if not b.name]
        bandless = [b for b in here if not any(x.until is None for x in b.bands)]
        if nameless and not here:
            return BirdMatch(fits=tuple(nameless))
        if bandless and not by_mark:
            return BirdMatch(fits=tuple(bandless))
    elif worn or here:
        return BirdMatch(fits=tuple(worn or here))
    return BirdMatch(near=tuple(dict.fromkeys([*by_mark, *by_name])))


def _by_mark(db: Database, mark: str) -> list[BirdRecord]:
    """Birds that ever wore the mark, or one of which either is the end of the other ("42", "blue 42")."""
    rows = db.rows(
        "SELECT DISTINCT band.bird_id AS id, mark_key FROM band JOIN bird ON bird.id = band.bird_id"
        " WHERE last_key = ? AND band.withdrawn_at IS NULL AND bird.withdrawn_at IS NULL ORDER BY band.id",
        [mark.split()[-1]],
    )
    said = mark.split()
    keys = []
    for row in rows:
        known = row["mark_key"].split()
        shorter = min(len(said), len(known))
        if said[-shorter:] == known[-shorter:]:
            keys.append(row["id"])
    return records(db, list(dict.fromkeys(keys)))


def _by_name(db: Database, name: str) -> list[BirdRecord]:
    rows = db.rows(
        "SELECT id FROM bird WHERE name_key = ? AND withdrawn_at IS NULL ORDER BY id", [name]
    )
    return records(db, [row["id"] for row in rows])


def _here(bird: BirdRecord, on: date | None, post_mortem: bool) -> bool:
    """Whether she may be examined that day (on the day she left, she may)."""
    if post_mortem or not bird.left:
        return True
    return on is not None and bird.left_on is not None and on <= bird.left_on


def _worn(bird: BirdRecord, mark: str, on: date | None, post_mortem: bool) -> bool:
    return _here(bird, on, post_mortem) and any(
        key_of(band.mark) == mark
        and (band.worn_on(on) or (post_mortem and bird.left and band.until == bird.left_on))
        for band in bird.bands
    )
