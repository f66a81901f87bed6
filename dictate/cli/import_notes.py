"""`dictate import`: old notes into the flock log."""

from __future__ import annotations

import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from dictate.cli.ending import Faults
from dictate.cli.given import given, parser_id
from dictate.cli.options import AsJson, OnDate, day, json_line, new_app, print_json
from dictate.errors import DictateError, LogError, NotesError

if TYPE_CHECKING:
    from dictate.intake.birds_csv import BirdsReport
    from dictate.intake.bring_in import Report

app = new_app()


@app.command()
def import_notes(
    ctx: typer.Context,
    paths: Annotated[
        list[Path], typer.Argument(metavar="FILE...", help="Plain-text notes; or birds.csv, a list of birds.")
    ],
    confirm: Annotated[
        Literal["all", "sure", "none"],
        typer.Option(help="What to confirm unseen: all, what is sure, or nothing."),
    ] = "none",
    report: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write what became of each line to this file, as JSON lines."),
    ] = None,
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Bring in old notes. A line with a date begins a day, a blank line ends an entry.

    A file that ends in .csv is a list of birds, a line for each, under a line that names the columns: name,
    band, leg, banded, species, breed, sex, hatched, pen, source.
    """
    from dictate.extraction import extract_text
    from dictate.intake.birds_csv import bring_birds_in
    from dictate.intake.bring_in import bring_in
    from dictate.intake.plain_text import read_plain_text
    from dictate.review.kinds import post_mortem_words

    vocabulary = given(ctx).vocabulary()
    settings = given(ctx).settings
    faults = Faults()
    reports: list[Report] = []
    birds: list[BirdsReport] = []
    with given(ctx).flock_log(create=True) as log:
        batch = log.start_batch("import", ", ".join(path.name for path in paths))
        for path in paths:
            try:
                if path.suffix.lower() == ".csv":
                    birds.append(bring_birds_in(path, log, settings.date_order, day(on), batch=batch))
                    continue
                read = read_plain_text(path, settings.date_order, day(on))
                reports.append(bring_in(
                    read, log, lambda text: extract_text(text, vocabulary), confirm=confirm, batch=batch,
                    parser=parser_id(vocabulary), by=settings.examiner or None,
                    post_mortem=lambda text: post_mortem_words(text, vocabulary) is not None,
                    progress=_progress if sys.stderr.isatty() and not as_json else None,
                ))
            except LogError:
                raise
            except DictateError as error:
                faults.tell(error)
    for one in reports:
        for line, problem in one.problems:
            faults.tell(f"{one.file}, line {line}: {problem}. The exam is kept without a day.")
    for list_of in birds:
        for line, problem in list_of.problems:
            faults.tell(f"{list_of.file}, line {line}: {problem}. That bird was not added.")
    if report is not None:
        _write(report, reports)
    if as_json:
        files = [_summary(one) for one in reports]
        print_json({"batch": batch, "files": files, "birds": [asdict(one) for one in birds]})
    else:
        for one in reports:
            typer.echo(_sentence(one))
        for list_of in birds:
            typer.echo(list_of.sentence)
    faults.leave(len(reports) + sum(list_of.added + list_of.known_already > 0 for list_of in birds))


def _progress(done: int, of: int) -> None:
    typer.echo(f"\r{done} of {of} lines", nl=done >= of, err=True)


def _summary(report: Report) -> dict[str, Any]:
    row = asdict(report)
    row.pop("fates")
    row["problems"] = [{"line": line, "problem": problem} for line, problem in report.problems]
    return row


def _write(path: Path, reports: list[Report]) -> None:
    try:
        with path.open("w", encoding="utf-8") as file:
            for report in reports:
                for fate in report.fates:
                    file.write(json_line({"file": report.file, **asdict(fate)}) + "\n")
    except OSError as error:
        raise NotesError("writing the report to", str(path), error.strerror or str(error)) from error


def _sentence(report: Report) -> str:
    parts = [
        f"{report.exams} exams", f"{report.observations} flock observations" if report.observations else "",
        f"{report.confirmed} facts confirmed", f"{report.left_to_check} left to check",
        f"{report.known_already} entries were in the log already" if report.known_already else "",
        f"{report.nothing_understood} entries gave nothing" if report.nothing_understood else "",
    ]
    return f"{report.file}: {report.lines} lines; {', '.join(part for part in parts if part)}."
