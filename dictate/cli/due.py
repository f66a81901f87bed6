"""`dictate due`: what was to be looked at again, and what is held back."""

from __future__ import annotations

from typing import Annotated

import typer

from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.cli.table import print_table

app = new_app()


@app.command()
def due(
    ctx: typer.Context,
    on: OnDate = None,
    within: Annotated[int, typer.Option(min=0, metavar="DAYS", help="Also what comes in these days.")] = 0,
    as_json: AsJson = False,
) -> None:
    """List what is due."""
    from dictate.care.rechecks import due as rechecks_due
    from dictate.care.withholding import holds

    today = day(on)
    with given(ctx).flock_log() as log:
        birds, exams = log.birds(), list(log.exams())
    looks, held = rechecks_due(exams, birds, today, within=within), holds(exams, birds, today)
    if as_json:
        print_json({
            "on": today,
            "due": [
                {"bird": look.bird, "bird_id": look.bird_id, "due_on": look.due_on, "asked_on": look.asked_on,
                 "regions": look.waiting, "quote": look.quote, "pen": look.pen}
                for look in looks
            ],
            "held_back": [
                {"bird": hold.bird, "bird_id": hold.bird_id, "until": hold.until, "said_on": hold.said_on,
                 "quote": hold.quote, "pen": hold.pen}
                for hold in held
            ],
        })
        return
    if looks:
        print_table(
            ("due", "bird", "look at", "asked on", "words"),
            [
                (
                    _when(look.days_over(today)), look.bird, ", ".join(look.waiting) or "the whole bird",
                    str(look.asked_on or "no day known"), look.quote,
                )
                for look in looks
            ],
            f"To look at again by {today}",
        )
    else:
        typer.echo(f"Nothing is due on {today}.")
    for hold in held:
        typer.echo(f"Held back: {hold.sentence}. The label, local rules and your vet decide.")


def _when(days: int | None) -> str:
    if days is None:
        return "no day was said"
    if days == 0:
        return "today"
    return f"{days} days over" if days > 0 else f"in {-days} days"
