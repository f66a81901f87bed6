"""Options that several commands share, and how they print for programs."""

from __future__ import annotations

import json
from datetime import date, datetime
from typing import Annotated, Any

import typer

__all__ = ["AsJson", "OnDate", "day", "json_line", "new_app", "print_json"]

AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for a program to read.")]
OnDate = Annotated[
    datetime | None,
    typer.Option("--on", metavar="DATE", formats=["%Y-%m-%d"], help="Take this for today (2026-03-12)."),
]


def day(given: datetime | None) -> date:
    """The date that counts as today."""
    return given.date() if given else date.today()


def json_line(row: dict[str, Any]) -> str:
    """One object on one line, in ASCII, so that no terminal and no pipe can damage it."""
    return json.dumps(row, default=str)


def print_json(row: dict[str, Any]) -> None:
    """One object for a program to read."""
    typer.echo(json_line(row))


def new_app(**more: Any) -> typer.Typer:
    """A command's own Typer: plain help, errors left to the command line's one handler."""
    return typer.Typer(
        add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None, **more
    )
