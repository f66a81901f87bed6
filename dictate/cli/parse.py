"""`dictate parse`: a text in, what it says of each bird out."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, BinaryIO

import typer

from dictate.cli.ending import Faults
from dictate.cli.given import given
from dictate.cli.options import AsJson, json_line, new_app, print_json
from dictate.errors import DictateError, NotesError, UsageError

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

LONGEST_LINE = 8 * 2**20
"""Bytes. A longer line is refused instead of being read into memory."""

app = new_app()


@app.command()
def parse(
    ctx: typer.Context,
    text: Annotated[
        list[str] | None, typer.Argument(help="The text, a text file, or - for standard input.")
    ] = None,
    jsonl: Annotated[
        str | None,
        typer.Option(metavar="FILE", help='Read lines {"id", "text"}, write lines {"id", "exams"}; - for '
                     "standard input."),
    ] = None,
    explain: Annotated[
        bool, typer.Option("--explain", help="Show why: words, cues, rules, penalties, what was left out.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Understand a text and print what it says of each bird."""
    if (jsonl is None) == (not text):
        raise UsageError(
            "parse needs either a text or --jsonl FILE", remedy='Try: dictate parse "left eye closed"'
        )
    vocabulary = given(ctx).vocabulary()
    if jsonl is not None:
        _parse_lines(jsonl, vocabulary)
        return
    from dictate.cli.show import draft_lines, reasons
    from dictate.extraction import extract_text
    from dictate.model import draft_record

    draft = extract_text(_text(text or []), vocabulary)
    if as_json:
        row = draft_record(draft)
        if explain:
            row["left_out"] = [
                {"quote": part.quote, "why": part.why, "rule": part.rule} for part in draft.left_out
            ]
        print_json(row)
        return
    for line in reasons(draft) if explain else draft_lines(draft):
        typer.echo(line)


def _text(words: list[str]) -> str:
    """The text of the arguments: of standard input, of the one file named, or the words themselves."""
    if words == ["-"]:
        return _decoded(sys.stdin.buffer.read(), "standard input")
    if len(words) == 1 and len(words[0]) < 1000 and " " not in words[0]:
        path = Path(words[0])
        if path.is_file():
            try:
                return _decoded(path.read_bytes(), str(path))
            except OSError as error:
                raise NotesError("reading", str(path), error.strerror or str(error)) from error
        if path.suffix and len(path.parts) and path.suffix[1:].isalpha():
            raise NotesError("reading", str(path), "there is no such file",
                             "Put a text in quotation marks, or check the name.")
    return " ".join(words)


def _decoded(data: bytes, where: str) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise NotesError("reading", where, f"it is not UTF-8 text (byte {error.start})",
                         "Save it as UTF-8, or use: dictate import") from error


def _parse_lines(source: str, vocabulary: Vocabulary) -> None:
    """Lines in, lines out, in order, one at a time."""
    faults, done = Faults(), 0
    try:
        # The stream is closed by the end of the program; standard input stays open for whoever owns it.
        stream = sys.stdin.buffer if source == "-" else Path(source).open("rb")  # noqa: SIM115
    except OSError as error:
        raise NotesError("reading", source, error.strerror or str(error)) from error
    name = "standard input" if source == "-" else source
    try:
        for number, line in _lines(stream):
            row = _parse_line(line, vocabulary)
            if "error" in row:
                row["line"] = number
                faults.tell(f"{name}, line {number}: {row['error']}")
            else:
                done += 1
            typer.echo(json_line(row))
            sys.stdout.flush()
    finally:
        if source != "-":
            stream.close()
    faults.leave(done)


def _lines(stream: BinaryIO) -> Iterator[tuple[int, bytes | None]]:
    """Each line that is not blank, with its number; None for one that is too long."""
    number = 0
    while line := stream.readline(LONGEST_LINE):
        number += 1
        if len(line) == LONGEST_LINE and not line.endswith(b"\n"):
            while (rest := stream.readline(LONGEST_LINE)) and not rest.endswith(b"\n"):
                pass
            yield number, None
        elif line.strip():
            yield number, line


def _parse_line(line: bytes | None, vocabulary: Vocabulary) -> dict[str, Any]:
    from dictate.extraction import extract_text
    from dictate.model import draft_record

    if line is None:
        return {"id": None, "error": f"the line is longer than {LONGEST_LINE} bytes."}
    try:
        given_row = json.loads(line.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return {"id": None, "error": "this is not a JSON object in UTF-8."}
    if not isinstance(given_row, dict):
        return {"id": None, "error": 'this is not a JSON object with "id" and "text".'}
    name, text = given_row.get("id"), given_row.get("text")
    if not isinstance(text, str):
        return {"id": name, "error": f'"text" must be a string, found {type(text).__name__}.'}
    try:
        return {"id": name, **draft_record(extract_text(text, vocabulary))}
    except DictateError as error:
        return {"id": name, "error": str(error)}
    except Exception as error:  # one line must not stop the others, whatever is in it
        return {"id": name, "error": f"a fault of the program: {type(error).__name__}: {error}"}
