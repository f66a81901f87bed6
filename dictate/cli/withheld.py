"""`dictate withheld`: whose eggs and meat are held back, until when, and how that day comes about."""

from __future__ import annotations

from typing import Annotated

import typer

from dictate.cli.due import held_words
from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.cli.who import find_bird, find_pen
from dictate.cli.working import Flock, held_row

app = new_app()


@app.command()
def withheld(
    ctx: typer.Context,
    who: Annotated[str | None, typer.Argument(help="Only this bird.")] = None,
    pen: Annotated[str | None, typer.Option(help="Only this pen and its birds.")] = None,
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Show whose eggs and meat are held back, until when, and why. For each bird and each pen.

    By treatments (dictate treat) and by what you said. The eggs of a pen are mixed: one bird holds all.
    """
    today = day(on)
    with given(ctx).flock_log() as log:
        flock = Flock.read(log, given(ctx).vocabulary(), given(ctx).settings.regime)
        bird = find_bird(log, who, today) if who else None
        pen = find_pen(log, pen) if pen else None
    held = [
        one for one in flock.held_back(today)
        if (bird is None or one.bird_id == bird.id or (one.bird is None and one.pen == bird.pen_on(today)))
        and (pen is None or one.pen == pen)
    ]
    if as_json:
        print_json({"on": today, "held_back": [held_row(one) for one in held]})
        return
    if not held:
        typer.echo(f"By this log nothing is held back on {today}. It knows only what was said or typed.")
    laws: dict[str, str] = {}
    for one in held:
        typer.echo(held_words(one))
        for reason in one.reasons:
            typer.echo(f"    {reason.why}")
            if reason.source:
                laws[reason.source] = f" (from memory and not read there: {reason.memory})" if reason.memory else ""
    for law, memory in laws.items():
        typer.echo(f"Law: {law}{memory}.")
    if held:
        typer.echo("The label, local rules and your vet decide.")
