"""`dictate demo --flock`: two years of an invented flock in a log of its own, and questions to it."""

from __future__ import annotations

import sys
import tempfile
import time
from datetime import date
from pathlib import Path

import typer

from dictate.cli.invented_flock import Script, fill, script

__all__ = ["questions", "show_flock"]


def questions(today: date) -> dict[str, list[str]]:
    """What is asked of the log: commands as a user would type them."""
    on = ["--on", today.isoformat()]
    return {
        "One bird: what became of her feet": ["bird", "Fern", *on],
        "One who loses weight": ["bird", "Wren", *on],
        "What is due within a week": ["due", "--within", "7", *on],
        "Whose eggs and meat are held back, and why": ["withheld", *on],
        "How common mites are, among the birds examined for them": ["flock", "mites", "--region", "vent", *on],
    }


MORE = (
    ("a post-mortem, apart from exams of the living", ["bird", "Ivy"]),
    ("what is due in the next weeks, as a calendar", ["due", "--within", "30", "--why", "--calendar", "hens.ics"]),
    ("what happened to them all", ["event"]),
    ("all treatments", ["treat"]),
    ("the photos", ["photo", "list"]),
)


def show_flock(lexicon: Path | None) -> None:
    """Make the log and ask it."""
    from dictate.cli.given import parser_id
    from dictate.extraction import extract_text
    from dictate.log import FlockLog
    from dictate.vocabulary import load_vocabulary

    play, vocabulary = script(), load_vocabulary(lexicon)
    typer.echo(play.says)
    typer.echo("Writing two years of it down; your own log is not touched …", err=True)
    path = Path(tempfile.mkdtemp(prefix="dictate-demo-")) / "flock.db"
    begun = time.monotonic()
    with FlockLog.open(path) as log:
        exams = fill(
            log, play, lambda text: extract_text(text, vocabulary), parser=parser_id(vocabulary),
            progress=_progress if sys.stderr.isatty() else None,
        )
    typer.echo(
        f"{exams} exams of {len(play.told['bird'])} birds from {play.first} to {play.until}, understood and"
        f" confirmed in {time.monotonic() - begun:.0f} s."
    )
    _ask(path, play)


def _progress(on: date) -> None:
    typer.echo(f"\r{on:%B %Y}        ", nl=False, err=True)


def _ask(path: Path, play: Script) -> None:
    from dictate.cli.main import app as dictate

    for title, command in questions(play.until).items():
        typer.echo(f"\n── {title}")
        typer.echo(f"$ dictate --log {path} {' '.join(command)}")
        try:
            dictate(["--log", str(path), *command], prog_name="dictate", standalone_mode=False)
        except typer.Exit:  # the command has said what it lacks; the demo goes on
            continue
    typer.echo("\n── Ask more of it")
    for what, command in MORE:
        typer.echo(f"{what}:\n    dictate --log {path} {' '.join(command)}")
