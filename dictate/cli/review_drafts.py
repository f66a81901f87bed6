"""`dictate review`: check drafts in the terminal."""

from __future__ import annotations

import sys
from datetime import date, timedelta
from typing import TYPE_CHECKING, Annotated

import typer

from dictate.cli.given import given
from dictate.cli.options import new_app

if TYPE_CHECKING:
    from dictate.log import FlockLog

app = new_app()
LATELY = 7  # days

ASKED_AGAIN = 60
"""Days for which an event or treatment told in an exam is asked about again, where nobody answered."""


@app.command()
def review(
    ctx: typer.Context,
    sure: Annotated[
        bool, typer.Option("--sure", help="Confirm all that are sure, ask nothing, and stop.")
    ] = False,
    batch: Annotated[
        str | None, typer.Option(metavar="ID", help="Only what came in with this import.")
    ] = None,
) -> None:
    """Check drafts one doubtful finding at a time, and confirm them.

    Every decision is kept at once: stop whenever you like, and go on another day.
    """
    from rich.console import Console

    from dictate.cli.told import ask_about_told
    from dictate.extraction import extract_text
    from dictate.review.kinds import mark_post_mortems
    from dictate.review.policy import ReviewSession
    from dictate.review.policy import review as ask_all
    from dictate.review.terminal import TerminalFront

    vocabulary = given(ctx).vocabulary()
    with given(ctx).flock_log() as log:
        drafts = log.drafts(batch=batch)
        mark_post_mortems(log, vocabulary, drafts)
        session = ReviewSession(
            log, vocabulary, understand=lambda text: extract_text(text, vocabulary),
            by=given(ctx).settings.examiner or None, batch=batch,
        )
        waiting = [exam.id for exam in log.drafts(batch=batch)]
        if sure:
            typer.echo(session.confirm_sure())
            _caution(log, waiting)
            return
        front = TerminalFront(Console(), _key, _line, vocabulary)
        finished = ask_all(session, front)
        if finished:
            settings = given(ctx).settings
            # Of these, and of what was put off a while ago; old notes are not gone through at each review.
            seen = {exam.id for exam in drafts}
            seen |= {exam.id for exam in log.exams(since=date.today() - timedelta(days=ASKED_AGAIN))}
            told = ask_about_told(
                log, vocabulary, _key, _line, by=settings.examiner or None, regime=settings.regime,
                exams=(log.exam(exam) for exam in sorted(seen)),
            )
            if told:
                typer.echo(f"{told} events and treatments written down.")
        left = "Nothing is left to check." if finished else f"{session.left} left to check."
        typer.echo(f"{session.decided} decided, {session.confirmed} confirmed. {left}")
        _caution(log, waiting)


def _caution(log: FlockLog, exam_ids: list[str]) -> None:
    """The cautions that what was confirmed of the last days calls for, each once; old notes call for none."""
    from dictate.care.cautions import cautions_for

    exams = [log.exam(exam_id) for exam_id in exam_ids]
    lately = [one.confirmed for one in exams if one.on is None or (date.today() - one.on).days <= LATELY]
    for caution in cautions_for(lately):
        typer.echo(f"Caution: {caution.text}")


def _key() -> str:
    """One key from a keyboard; from anything else, the first letter of a line."""
    return typer.getchar() if sys.stdin.isatty() else _read()


def _line(question: str) -> str:
    typer.echo(f"  {question}: ", nl=False)
    return _read()


def _read() -> str:
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line.rstrip("\r\n")
