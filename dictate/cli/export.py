"""`dictate export`: records out of the log, for other programs."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from dictate.cli.given import given
from dictate.cli.options import new_app

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
        list[Literal["confirmed", "draft", "withdrawn"]] | None,
        typer.Option(help="Repeat it for more than one. Without it: confirmed."),
    ] = None,
) -> None:
    """Write a line for each exam, to standard output."""
    with given(ctx).flock_log() as log:
        for line in log.export_exams(form, tuple(dict.fromkeys(status or ("confirmed",)))):
            typer.echo(line, nl=False)
