"""`dictate bird`: the register, and what is known of one bird."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.cli.table import print_table
from dictate.errors import NotFoundError, UsageError
from dictate.model import exam_record
from dictate.review.wording import action_words, finding_words, measurement_words

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.record import BirdRecord, StoredExam

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
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Show what is known of one bird; with options, add or change it.

    A bird that has left is no longer due nor counted from that day (--on DATE, else today).
    """
    facts: dict[str, Any] = {
        "name": name, "species": species, "breed": breed, "sex": sex, "pen": pen, "source": source,
        "hatched": hatched.date() if hatched else None,
    }
    facts = {key: value for key, value in facts.items() if value is not None}
    writes = new or bool(facts) or band is not None or left is not None
    with given(ctx).flock_log(create=new) as log:
        if who is None and not new:
            if writes:
                raise UsageError("Say which bird is to be changed, by her band or name")
            _list(log.birds(on=on.date() if on else None), as_json)
            return
        if new:
            found = _register(log, who, band, leg, facts, on)
        else:
            found = _find(log, who or "", on.date() if on else None)
            _change(log, found, facts, band, leg, day(on))
        if left is not None:
            log.end_bird(found.id, left, day(on))
        _show(log.bird(found.id), log.history(found.id), as_json)


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


def _find(log: FlockLog, who: str, on: date | None) -> BirdRecord:
    """The one bird of that band or name; NotFoundError or UsageError where there is not just one."""
    by_band, by_name = log.find_birds(band=who, on=on), log.find_birds(name=who, on=on)
    fits = list(dict.fromkeys((*by_band.fits, *by_name.fits)))
    near = list(dict.fromkeys((*by_band.near, *by_name.near)))
    if len(fits) == 1:
        return fits[0]
    if not fits and len(near) == 1:
        return near[0]
    if fits or near:
        names = ", ".join(bird.label for bird in fits or near)
        raise UsageError("looking for the bird", f'"{who}"', f"it may mean {names}", "Say more of it.")
    raise NotFoundError(
        "looking for the bird", f'"{who}"', "nobody of that band or name is in the register",
        "See all with: dictate bird",
    )


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
    print_table(
        ("bird", "sex", "breed", "pen", "in the flock"),
        [
            (found.label, found.sex or "", found.breed or "", found.pen or "", _left(found) or "yes")
            for found in birds
        ],
    )


def _left(found: BirdRecord) -> str:
    return f"{found.left_how} {found.left_on or ''}".strip() if found.left else ""


def _show(found: BirdRecord, history: list[StoredExam], as_json: bool) -> None:
    if as_json:
        exams = [
            {"date": exam.on, "date_problem": exam.date_problem, "kind": exam.kind}
            | exam_record(exam.confirmed)
            for exam in history
        ]
        print_json(_row(found) | {"exams": exams})
        return
    facts = [found.label, found.sex, found.breed, f"pen {found.pen}" if found.pen else None]
    facts.append(f"hatched {found.hatched}" if found.hatched else None)
    facts.append(_left(found))
    title = ", ".join(fact for fact in facts if fact)
    rows = [row for exam in history for row in _history_rows(exam)]
    if rows:
        print_table(("day", "what", "words"), rows, title)
    else:
        typer.echo(f"{title}\nNo exam of her is confirmed.")


def _history_rows(exam: StoredExam) -> list[tuple[str, str, str]]:
    said = exam.confirmed
    rows = [("", finding_words(f), f.quote) for f in said.findings]
    rows += [("", measurement_words(m), m.quote) for m in said.measurements]
    rows += [("", action_words(a), a.quote) for a in said.actions]
    if said.rest_normal:
        rows.append(("", "everything else normal", ""))
    day_text = str(exam.on or "no day known") + (" (post-mortem)" if exam.kind == "post-mortem" else "")
    return [(day_text, *rows[0][1:]), *rows[1:]] if rows else [(day_text, "nothing confirmed", "")]
