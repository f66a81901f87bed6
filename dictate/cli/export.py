"""`dictate export`: records out of the log, for other programs."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal

import typer

from dictate.cli.given import given
from dictate.cli.options import new_app
from dictate.record import Status


class WhichStatus(StrEnum):
    """Exams by their state; Typer takes no list of Literals."""

    confirmed = "confirmed"
    draft = "draft"
    withdrawn = "withdrawn"


app = new_app(no_args_is_help=True)


@app.callback()
def export() -> None:
    """Write records out."""


@app.command()
def exams(
    ctx: typer.Context,
    form: Annotated[
        Literal["jsonl", "csv"], typer.Option("--format", help="JSON lines, or a table.")
    ] = "jsonl",
    status: Annotated[
        list[WhichStatus] | None,
        typer.Option(help="Repeat it for more than one. Without it: confirmed."),
    ] = None,
) -> None:
    """Write a line for each exam, to standard output."""
    with given(ctx).flock_log() as log:
        statuses: list[Status] = [one.value for one in status or [WhichStatus.confirmed]]
        for line in log.export_exams(form, statuses):
            typer.echo(line, nl=False)
