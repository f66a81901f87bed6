"""A list of birds from a spreadsheet (CSV) into the register: each line accounted for, none guessed at."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from dictate.errors import DictateError, LogError, NotesError
from dictate.intake.dates import DateOrder, date_line

if TYPE_CHECKING:
    from dictate.log import FlockLog

__all__ = ["COLUMNS", "BirdsReport", "bring_birds_in"]

COLUMNS = ("name", "band", "leg", "banded", "species", "breed", "sex", "hatched", "pen", "source")
LEGS = ("left", "right")


@dataclass(slots=True)
class BirdsReport:
    """What came of one list. `problems` are lines that were refused, with the reason."""

    file: str
    lines: int = 0
    added: int = 0
    known_already: int = 0
    problems: list[tuple[int, str]] = field(default_factory=list)

    @property
    def sentence(self) -> str:
        known = f", {self.known_already} were in the register already" if self.known_already else ""
        refused = f", {len(self.problems)} refused" if self.problems else ""
        return f"{self.file}: {self.lines} birds; {self.added} added{known}{refused}."


def bring_birds_in(
    path: Path, log: FlockLog, order: DateOrder, today: date, *, batch: str | None = None
) -> BirdsReport:
    """Add the birds of a list to the register. One that a band or name of the line fits already is left as
    she is. Raises NotesError where the file is not such a list."""
    report = BirdsReport(str(path))
    table = _read(path)
    with log.transaction():
        for line, values in table.rows:
            report.lines += 1
            try:
                _bring_in(table.row(values), log, order, today, batch, report)
            except LogError:
                raise
            except (DictateError, ValueError) as error:
                report.problems.append((line, str(error)))
    return report


@dataclass(frozen=True, slots=True)
class _Table:
    """Column names in small letters, and (line, values) for each line with anything in it."""

    separator: str
    names: list[str]
    rows: list[tuple[int, list[str]]]

    def row(self, values: list[str]) -> dict[str, str]:
        """Column → value of one line. Raises ValueError with what is wrong."""
        if any("\n" in value and self.separator in value for value in values):
            raise ValueError("one value goes on over several lines; is a quotation mark not closed?")
        if len(values) > len(self.names):
            raise ValueError(f"it has {len(values)} values for {len(self.names)} columns")
        return dict(zip(self.names, (" ".join(value.split()) for value in values), strict=False))


def _read(path: Path) -> _Table:
    doing = "reading the list of birds"
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise NotesError(doing, str(path), "it is not UTF-8 text", "Save it as CSV UTF-8.") from error
    except OSError as error:
        raise NotesError(doing, str(path), (error.strerror or str(error)).lower()) from error
    head = text.splitlines()[0] if text.strip() else ""
    separator = max(",;\t", key=head.count)
    names = [name.strip().casefold() for name in next(csv.reader([head], delimiter=separator), [])]
    unknown = [name for name in names if name and name not in COLUMNS]
    if unknown or not {"name", "band"} & set(names) or len(set(names)) < len(names):
        found = f"there is no column {', '.join(map(repr, unknown))}" if unknown else (
            "a column is there twice" if len(set(names)) < len(names) else "it has no column name or band"
        )
        raise NotesError(doing, str(path), found, f"The first line names the columns: {', '.join(COLUMNS)}.")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    next(reader)
    rows = []
    try:
        for values in reader:
            if any(value.strip() for value in values):
                rows.append((reader.line_num, values))
    except csv.Error as error:
        raise NotesError(doing, f"{path}, line {reader.line_num}", str(error)) from error
    return _Table(separator, names, rows)


def _bring_in(
    row: dict[str, str], log: FlockLog, order: DateOrder, today: date, batch: str | None, report: BirdsReport
) -> None:
    name, band = row.get("name") or None, row.get("band") or None
    leg = row.get("leg", "").casefold() or None
    if leg is not None and leg not in LEGS:
        raise ValueError(f'the leg is "{row["leg"]}"; it may be left or right')
    if leg is not None and band is None:
        raise ValueError("a leg is named, but no band")
    hatched = _day(row.get("hatched", ""), "hatched", order, today)
    banded = _day(row.get("banded", ""), "banded", order, today)
    if name or band:
        match = log.find_birds(band=band, name=name)
        if match.only is not None:
            report.known_already += 1
            return
        if match.fits:
            raise ValueError(f"it fits {', '.join(bird.label for bird in match.fits)}")
        worn = [b.label for b in match.near if band and not b.left and any(
            x.until is None and x.mark.casefold() == band.casefold() for x in b.bands
        )]
        if worn:
            raise ValueError(f"the band {band} is worn by {', '.join(worn)}")
    log.register_bird(
        name=name, band=band, leg=leg, banded_on=banded, species=row.get("species") or "chicken",
        breed=row.get("breed") or None, sex=row.get("sex", "").casefold() or None, hatched=hatched,
        pen=row.get("pen") or None, source=row.get("source") or None, batch=batch,
    )
    report.added += 1


def _day(text: str, column: str, order: DateOrder, today: date) -> date | None:
    """A day of the calendar, or ValueError with what is wrong."""
    if not text:
        return None
    read = date_line(text, order, today)
    if read is None or read.on is None or read.rest.strip():
        why = read.problem if read and read.problem else "it is not read as a day; write 2026-03-12"
        raise ValueError(f'{column} "{text}": {why}')
    return read.on
