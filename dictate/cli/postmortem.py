"""`dictate postmortem`: what was found in a dead bird, kept apart from exams of the living."""

from __future__ import annotations

from typing import Annotated

import typer

from dictate.cli.given import given, parser_id
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.cli.show import draft_lines
from dictate.cli.who import find_bird
from dictate.errors import NotFoundError, UsageError
from dictate.model import draft_record

app = new_app()


@app.command()
def postmortem(
    ctx: typer.Context,
    text: Annotated[str | None, typer.Argument(help="What you found, as you would say it.")] = None,
    of: Annotated[
        str | None, typer.Option(metavar="BIRD", help="Make her exam of that day a post-mortem.")
    ] = None,
    living: Annotated[bool, typer.Option("--living", help="With --of: it was an exam of a living bird.")] = False,
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Keep what was found in a dead bird. It becomes a draft of a kind of its own, for dictate review.

    It is never counted with exams of the living. Recordings and notes that begin with "post mortem" are
    taken for one too. Wear gloves, a respirator and eye protection, and ask first whether the
    death is to be reported.
    """
    if (text is None) == (of is None):
        raise UsageError("Say what you found, or name with --of the bird whose exam it was")
    if of is not None:
        _mark(ctx, of, living, on)
        return
    from dictate.extraction import extract_text

    assert text is not None
    vocabulary = given(ctx).vocabulary()
    draft = extract_text(text, vocabulary)
    with given(ctx).flock_log(create=True) as log:
        exams = log.save_draft(
            draft, on=day(on), kind="post-mortem", examiner=given(ctx).settings.examiner or None,
            parser=parser_id(vocabulary),
        )
    if as_json:
        print_json({"kind": "post-mortem", "date": day(on), "kept": exams} | draft_record(draft))
        return
    for line in draft_lines(draft):
        typer.echo(line)
    typer.echo(
        f"Kept as a draft of a post-mortem of {day(on)}; confirm it with: dictate review" if exams else
        "Your words are kept, but no bird was understood in them."
    )


def _mark(ctx: typer.Context, of: str, living: bool, on: OnDate) -> None:
    with given(ctx).flock_log() as log:
        bird = find_bird(log, of, None)
        exams = [
            e for e in log.exams(statuses=("draft", "confirmed"))
            if (e.bird_id == bird.id or (e.bird_id is None and e.bird.label.casefold() == bird.label.casefold()))
            and (on is None or e.on == on.date())
        ]
        if not exams:
            raise NotFoundError("looking for the exam", bird.label, "there is none of her on that day")
        last = max(exams, key=lambda e: (str(e.on), str(e.at)))
        log.amend_exam(
            last.id, {"kind": "live" if living else "post-mortem"}, reason="the keeper said so",
            by=given(ctx).settings.examiner or None,
        )
    kind = "an exam of the living" if living else "a post-mortem"
    typer.echo(f"The exam of {bird.label} on {last.on or 'no day known'} counts as {kind} now.")
