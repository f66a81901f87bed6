"""Plain-text notes → entries. A line with a date begins a day; a blank line ends an entry."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from dictate.errors import NotesError
from dictate.intake.dates import DateOrder, date_line, other_order_seen, year_heading

__all__ = ["Entry", "PlainText", "entries", "read_plain_text"]

NO_DATE = "no date stands above it"
OTHER_FORMS = {".csv", ".tsv", ".json", ".jsonl", ".html", ".htm", ".xml", ".eml", ".rtf"}
"""Text for programs and not for people: read as notes it would give nonsense."""


@dataclass(frozen=True, slots=True)
class Entry:
    """Words of one day that belong together, and the lines of the file that they came from.

    `follows` is True where the entry before it is of the same day, so that it may go on with
    the same bird.
    """

    text: str
    lines: tuple[int, ...]
    on: date | None = None
    date_problem: str | None = None
    follows: bool = False

    @property
    def line(self) -> int:
        return self.lines[0]

    def joined(self, other: Entry) -> Entry:
        """This entry with what follows it, as one."""
        text = f"{self.text}\n\n{other.text}"
        return Entry(text, self.lines + other.lines, self.on, self.date_problem, self.follows)


@dataclass(slots=True)
class PlainText:
    """A file cut up: its entries, and what each line that is in no entry was taken for."""

    path: Path
    count: int = 0
    entries: list[Entry] = field(default_factory=list)
    other_lines: dict[int, str] = field(default_factory=dict)


def read_plain_text(path: Path, order: DateOrder, today: date) -> PlainText:
    """Read a file of notes. Raises NotesError where it cannot be read or is not plain text."""
    if path.suffix.lower() in OTHER_FORMS:
        remedy = "Save it as plain text, with a line for each day."
        raise NotesError("reading notes from", str(path), f"{path.suffix} is not plain text", remedy)
    return entries(path, _lines_of(path), order, today)


def entries(path: Path, lines: list[str], order: DateOrder, today: date) -> PlainText:
    """Cut lines into entries; every line is in one entry or in `other_lines`."""
    read = PlainText(path, len(lines))
    mixed = other_order_seen(lines, order)
    year: int | None = None
    on: date | None = None
    problem: str | None = NO_DATE
    follows = False
    words: list[str] = []
    numbers: list[int] = []

    def close() -> None:
        nonlocal follows
        if words:
            read.entries.append(Entry("\n".join(words), tuple(numbers), on, problem, follows))
            follows = True
            words.clear()
            numbers.clear()

    for number, line in enumerate(lines, 1):
        if not line.strip():
            close()
            read.other_lines[number] = "blank"
            continue
        heading = year_heading(line)
        if heading is not None:
            close()
            year, on, problem, follows = heading, None, NO_DATE, False
            read.other_lines[number] = "year"
            continue
        dated = date_line(line, order, today, year=year, mixed=mixed)
        if dated is not None:
            close()
            on, problem, follows = dated.on, dated.problem, False
            if not dated.rest:
                read.other_lines[number] = "date" if dated.on else f"date: {dated.problem}"
                continue
        words.append(line if dated is None else dated.rest)
        numbers.append(number)
    close()
    return read


def _lines_of(path: Path) -> list[str]:
    try:
        data = path.read_bytes()
    except IsADirectoryError:
        raise NotesError("reading notes from", str(path), "it is a folder", "Name the files in it.") from None
    except OSError as error:
        raise NotesError("reading notes from", str(path), error.strerror or str(error)) from error
    if not data.strip():
        raise NotesError("reading notes from", str(path), "it is empty")
    text = _decoded(data, path).replace("\r\n", "\n").replace("\r", "\n")
    return text.removesuffix("\n").split("\n")


def _decoded(data: bytes, path: Path) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings: tuple[str, ...] = ("utf-16",)
    elif b"\0" in data:
        raise NotesError("reading notes from", str(path), "it is not text", "Save it as plain text first.")
    else:
        encodings = ("utf-8-sig", "cp1252")
    for encoding in encodings:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise NotesError("reading notes from", str(path), "its encoding is not known", "Save it as UTF-8.")
