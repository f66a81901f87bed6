"""`dictate due`: what is to be looked at again, and what is held back."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.cli.table import print_table
from dictate.cli.working import Flock, held_row
from dictate.errors import LogError

if TYPE_CHECKING:
    from datetime import date

    from dictate.care.duties import Agenda, Duty
    from dictate.care.held_back import HeldBack

app = new_app()


@app.command()
def due(
    ctx: typer.Context,
    on: OnDate = None,
    within: Annotated[int, typer.Option(min=0, metavar="DAYS", help="Also what comes in these days.")] = 0,
    why: Annotated[bool, typer.Option("--why", help="Show what each thing follows from.")] = False,
    calendar: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write it as a calendar (.ics) too.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List what is due. Looks you asked for, looks by rule, quarantine that ends; overdue first."""
    today = day(on)
    with given(ctx).flock_log() as log:
        flock = Flock.read(log, given(ctx).vocabulary(), given(ctx).settings.regime)
    found, held = flock.agenda(today, within), flock.held_back(today)
    if calendar is not None:
        _write(calendar, found, held)
    if as_json:
        print_json({
            "on": today, "due": [_row(duty, today) for duty in found.duties],
            "held_back": [held_row(one) for one in held],
            "no_rule": [
                {"bird": one.bird, "bird_id": one.bird_id, "species": one.species, "sign": one.sign, "rule": one.rule}
                for one in found.no_rule
            ],
            "dead": [{"bird": bird, "post_mortem_on": when} for bird, when in found.dead],
        })
        return
    _show(found, today, why)
    _show_held(held, today, why)
    if calendar is not None:
        typer.echo(f"The calendar was written to {calendar}.")


def _row(duty: Duty, today: date) -> dict[str, Any]:
    return {
        "bird": duty.bird, "bird_id": duty.bird_id, "due_on": duty.due_on, "days_over": duty.days_over(today),
        "kind": duty.kind, "asked_on": duty.since, "regions": duty.regions, "quote": duty.quote, "pen": duty.pen,
        "because": duty.because, "rule": duty.rule, "exam": duty.exam_id, "event": duty.event_id,
        "source": duty.source or None, "standing": duty.standing or None,
    }


def _show(found: Agenda, today: date, why: bool) -> None:
    if found.duties:
        pens = ("pen",) if any(duty.pen for duty in found.duties) else ()
        print_table(
            ("due", "bird", *pens, "what", "since", "by"),
            [
                (
                    _when(duty.days_over(today)), duty.bird, *([duty.pen or ""] if pens else ()), duty.task,
                    str(duty.since or "no day known"), _by(duty),
                )
                for duty in found.duties
            ],
            f"Due by {today}",
        )
    else:
        typer.echo(f"Nothing is due on {today}.")
    if why:
        for duty in found.duties:
            typer.echo(f"{duty.summary}: {duty.because}.")
            for label, value in (
                ("exam", duty.exam_id), ("event", duty.event_id), ("words", duty.quote and f'"{duty.quote}"'),
                ("rule", duty.rule), ("source", duty.source and f"{duty.source} ({_STANDING[duty.standing]})"),
            ):
                if value:
                    typer.echo(f"    {label:<7} {value}")
    for one in found.no_rule:
        typer.echo(f"{one.bird}: {one.sign}, but the rule for it is not for a {one.species}; no day is worked out.")
    for bird, when in found.dead:
        typer.echo(
            f"{bird}: a post-mortem of {when} is in the log, so nothing is due; write it down with: "
            f'dictate event died "{bird}" --on DATE'
        )


_STANDING = {
    "found": "read in a copy of it", "memory": "from memory, not read", "own": "this program's own choice", "": "",
}


def _by(duty: Duty) -> str:
    """What it follows from: your words, a rule, or the register."""
    if duty.kind == "rule":
        return f"rule: {duty.rule}"
    return "your register" if duty.event_id else f'"{duty.quote}"'


def _show_held(held: list[HeldBack], today: date, why: bool) -> None:
    if not held:
        return
    typer.echo("Held back:")
    for one in held:
        typer.echo(f"  {held_words(one)}")
        if why:
            for reason in one.reasons:
                typer.echo(f"      {reason.why}")
    typer.echo("The label, local rules and your vet decide. More: dictate withheld")


def held_words(one: HeldBack) -> str:
    """One hold in a line."""
    if one.until is not None:
        return f"{one.what}: hold until {one.until}, that day included"
    return f"{one.what}: " + (
        "no last day is known; ask a vet" if one.ask_vet else "no end was said"
    )


def _when(days: int | None) -> str:
    if days is None:
        return "no day was said"
    if days == 0:
        return "today"
    unit = "day" if abs(days) == 1 else "days"
    return f"{days} {unit} over" if days > 0 else f"in {-days} {unit}"


def _write(path: Path, found: Agenda, held: list[HeldBack]) -> None:
    from dictate.care.calendar_file import calendar_of

    try:
        path.write_bytes(calendar_of(found.duties, held))
    except OSError as error:
        raise LogError("writing the calendar", str(path), (error.strerror or str(error)).lower()) from error
