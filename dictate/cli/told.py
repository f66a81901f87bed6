"""After review: asks whether events and treatments told in exams are to be written down."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from typing import TYPE_CHECKING

import typer

from dictate.errors import DictateError, LogError, UsageError
from dictate.keeping import PRODUCE, Course, Produce
from dictate.review.changes import read_date
from dictate.review.told import ASKED, Told, left_open, write_event

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.record import StoredExam
    from dictate.vocabulary import Vocabulary

__all__ = ["ask_about_told"]


def ask_about_told(
    log: FlockLog, vocabulary: Vocabulary, key: Callable[[], str], line: Callable[[str], str], *,
    by: str | None, regime: str, exams: Iterable[StoredExam] | None = None,
) -> int:
    """Ask about each, until none is left or the person stops; how many were written down.

    `exams`: those in which events and treatments are looked for (None: all).

    `key` gives one key, `line` asks a question and gives a line; both may raise EOFError, which stops.
    """
    pens = {name for bird in log.birds() for name in (bird.pen, *(m.before for m in bird.moves)) if name}
    written = 0
    try:
        for one in left_open(log, vocabulary, exams, pens=pens):
            answer = _ask(one, key)
            if answer == "q":
                break
            if answer == "l":
                continue
            if answer == "y":
                try:
                    _write(log, vocabulary, one, line, regime)
                except LogError:
                    raise
                except DictateError as error:
                    typer.echo(f"  {error}")
                    continue
                written += 1
            log.answered(one.exam.id, ASKED, one.item, by=by)
    except EOFError:
        typer.echo("")
    return written


def _ask(one: Told, key: Callable[[], str]) -> str:
    day = one.exam.on
    typer.echo(f"\n{one.exam.bird.label} · {day}")
    typer.echo(f'  you said: "{one.words}"')
    if one.kind == "event":
        until = f" until {one.until}" if one.until else ""
        to = f" to {one.pen}" if one.pen else ""
        typer.echo(f"  Write down: {one.name}{to} on {day}{until}?")
    else:
        typer.echo("  Write it down as a treatment, with its last dose and its label's days?")
    while True:
        typer.echo("  y yes   n no   l later   q stop for now")
        pressed = key().strip().lower()[:1]
        if pressed and pressed in "ynlq":
            return pressed


def _write(
    log: FlockLog, vocabulary: Vocabulary, one: Told, line: Callable[[str], str], regime: str
) -> None:
    if one.kind == "event":
        word = vocabulary.entries("event")[one.name]
        pen = one.pen or (line("To which pen").strip() if word.to_pen else None)
        until = one.until
        if word.lasts and until is None:
            until = _day(line("Its last day (2026-03-12; nothing: not known)"))
        write_event(log, vocabulary, one, pen=pen or None, until=until)
        return
    action = one.action
    said = (action.detail if action else None) or one.words
    product = line(f'What was given (nothing: "{said}")').strip() or said
    last = _day(line(f"The day of the last dose (nothing: {one.last or 'not known, or still going on'})")) or one.last
    batch = line(f"Batch number (nothing: {one.batch or 'not known'})").strip() or one.batch
    as_label = not line("Used as its label says for such birds (y or n)").strip().casefold().startswith("n")
    label: list[tuple[Produce, int]] = []
    vet_days: list[tuple[Produce, int]] = []
    for produce in PRODUCE:
        days = _number(line(f"The label's days for {produce} (nothing: not known)"))
        label += [] if days is None else [(produce, days)]
    vet = line(f"The vet who prescribed it (nothing: {one.prescriber or 'none'})").strip() or one.prescriber
    if vet and not as_label:
        for produce in PRODUCE:
            days = _number(line(f"Days for {produce} that {vet} set (nothing: not known)"))
            vet_days += [] if days is None else [(produce, days)]
    log.add_course(Course(
        id="", product=product, bird_id=one.exam.bird_id, exam_id=one.exam.id, first_on=one.exam.on, last_on=last,
        label_days=tuple(label), vet_days=tuple(vet_days), use="label" if as_label else "off-label",
        regime=regime or None, product_batch=batch, prescriber=vet, quote=one.words,
    ))
    typer.echo("  Written down. See: dictate withheld")


def _day(text: str) -> date | None:
    return read_date(text) if text.strip() else None


def _number(text: str) -> int | None:
    text = text.strip()
    if not text:
        return None
    if not text.isdigit():
        raise UsageError("reading the days", f'"{text}"', "give a whole number of days, or nothing")
    return int(text)
