"""`dictate bird`: the register, and what is known of one bird."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.cli.table import print_table
from dictate.cli.who import find_bird
from dictate.errors import UsageError

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.record import BirdRecord

app = new_app()


@app.command()
def bird(
    ctx: typer.Context,
    who: Annotated[str | None, typer.Argument(help="Her band or name. Without it: all birds.")] = None,
    new: Annotated[bool, typer.Option("--new", help="Add her to the register.")] = False,
    name: Annotated[str | None, typer.Option(help="Her name.")] = None,
    band: Annotated[str | None, typer.Option(help="A band put on her, as you say it: blue 42.")] = None,
    leg: Annotated[Literal["left", "right"] | None, typer.Option(help="The leg with the band.")] = None,
    species: Annotated[str | None, typer.Option(help="Her species.")] = None,
    breed: Annotated[str | None, typer.Option(help="Her breed.")] = None,
    sex: Annotated[str | None, typer.Option(help="Her sex.")] = None,
    hatched: Annotated[
        datetime | None,
        typer.Option(metavar="DATE", formats=["%Y-%m-%d"], help="The day she hatched (2025-04-30)."),
    ] = None,
    pen: Annotated[str | None, typer.Option(help="Where she lives.")] = None,
    source: Annotated[str | None, typer.Option(help="Where she came from.")] = None,
    left: Annotated[
        Literal["died", "culled", "sold", "lost"] | None, typer.Option(help="How she left the flock.")
    ] = None,
    band_off: Annotated[
        str | None, typer.Option("--band-off", metavar="BAND", help="A band she wears no more.")
    ] = None,
    words: Annotated[bool, typer.Option("--words", help="Also every exam, with your words.")] = False,
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Show one bird head to tail, up to a day. With options: add or change what is known of her.

    A bird that has left is no longer due nor counted from that day (--on DATE, else today). What else
    happened to her is written down with: dictate event
    """
    facts: dict[str, Any] = {
        "name": name, "species": species, "breed": breed, "sex": sex, "pen": pen, "source": source,
        "hatched": hatched.date() if hatched else None,
    }
    facts = {key: value for key, value in facts.items() if value is not None}
    writes = new or bool(facts) or band is not None or left is not None or band_off is not None
    with given(ctx).flock_log(create=new) as log:
        if who is None and not new:
            if writes:
                raise UsageError("Say which bird is to be changed, by her band or name")
            _list(log.birds(on=on.date() if on else None), as_json)
            return
        if new:
            found = _register(log, who, band, leg, facts, on)
        else:
            found = find_bird(log, who or "", on.date() if on else None)
            _change(log, found, facts, band, leg, day(on))
        if band_off is not None:
            _unband(log, found, band_off, day(on))
        if left is not None:
            log.end_bird(found.id, left, day(on))
        from dictate.cli.bird_story import Story

        story = Story.read(log, given(ctx).vocabulary(), given(ctx).settings.regime, found.id, day(on))
        if as_json:
            print_json(_row(story.bird) | story.record())
        else:
            story.show(words)


def _register(
    log: FlockLog, who: str | None, band: str | None, leg: str | None, facts: dict[str, Any],
    on: datetime | None,
) -> BirdRecord:
    """Add a bird. What she is called counts as a band where it has a number in it, else as a name."""
    if who is not None:
        if any(letter.isdigit() for letter in who):
            band = band or who
        else:
            facts.setdefault("name", who)
    bird_id = log.register_bird(band=band, leg=leg, banded_on=on.date() if on and band else None, **facts)
    return log.bird(bird_id)


def _change(
    log: FlockLog, found: BirdRecord, facts: dict[str, Any], band: str | None, leg: str | None, since: date
) -> None:
    if facts:
        log.change_bird(found.id, facts)
    if band is not None:
        log.band_bird(found.id, band, leg=leg, since=since)


def _unband(log: FlockLog, found: BirdRecord, mark: str, until: date) -> None:
    worn = [b for b in found.bands if b.until is None]
    fits = [b for b in worn if " ".join(b.mark.casefold().split()) == " ".join(mark.casefold().split())]
    if not fits:
        wears = f"she wears {', '.join(b.mark for b in worn)}" if worn else "she wears no band"
        raise UsageError("taking off the band", f'"{mark}"', wears)
    log.unband_bird(fits[0].id, until=until)


def _row(found: BirdRecord) -> dict[str, Any]:
    return {
        "id": found.id, "name": found.name, "band": found.band, "sex": found.sex, "species": found.species,
        "breed": found.breed, "hatched": found.hatched, "pen": found.pen, "source": found.source,
        "left_how": found.left_how, "left_on": found.left_on,
        "bands": [
            {"mark": band.mark, "leg": band.leg, "since": band.since, "until": band.until}
            for band in found.bands
        ],
    }


def _list(birds: list[BirdRecord], as_json: bool) -> None:
    if as_json:
        print_json({"birds": [_row(found) for found in birds]})
        return
    if not birds:
        typer.echo("No bird is in the register.")
        return
    species = ("species",) if len({found.species for found in birds}) > 1 else ()
    print_table(
        ("bird", *species, "sex", "breed", "pen", "in the flock"),
        [
            (
                found.label, *((found.species,) if species else ()), found.sex or "", found.breed or "",
                found.pen or "", _left(found) or "yes",
            )
            for found in birds
        ],
    )


def _left(found: BirdRecord) -> str:
    return f"{found.left_how} {found.left_on or ''}".strip() if found.left else ""
