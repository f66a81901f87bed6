"""`dictate hear`: recordings in; what they say is printed and kept as drafts."""

from __future__ import annotations

import hashlib
import re
import sys
from collections.abc import Sequence
from contextlib import ExitStack
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from dictate.cli.ending import Faults
from dictate.cli.given import given, parser_id
from dictate.cli.options import OnDate, json_line, new_app
from dictate.cli.show import draft_lines
from dictate.errors import ListenerError, SoundError, UsageError
from dictate.model import draft_record
from dictate.record import Source

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.model import Draft
    from dictate.speech import Heard, Listener, ListenerOptions
    from dictate.vocabulary import Vocabulary

app = new_app()


@app.command()
def hear(
    ctx: typer.Context,
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Recordings.")],
    jsonl: Annotated[bool, typer.Option("--jsonl", help="Print a JSON line for each recording.")] = False,
    no_log: Annotated[bool, typer.Option("--no-log", help="Keep nothing.")] = False,
    listener: Annotated[
        list[str] | None, typer.Option(metavar="NAME", help="Who listens; repeat it for more than one.")
    ] = None,
    replay: Annotated[
        Path | None, typer.Option(metavar="FILE", help="The words for the listener replay.")
    ] = None,
    on: OnDate = None,
) -> None:
    """Hear recordings and keep what they say as drafts.

    Without --listener all that the settings name listen, and Whisper too where it is installed: what
    two of them heard is surer than what one heard alone. The day of a recording is --on DATE, else the
    date in its name (2026-03-12_pen2.wav), else unknown.
    """
    from dictate import speech
    from dictate.fusion import fuse
    from dictate.review.kinds import mark_post_mortems

    vocabulary, settings = given(ctx).vocabulary(), given(ctx).settings
    options = speech.ListenerOptions(
        cache=settings.cache, replay=replay, vosk_model=settings.vosk_model,
        whisper_model=settings.whisper_model,
    )
    names = tuple(dict.fromkeys(listener or settings.listeners))
    further = () if listener or not settings.second_listener else speech.installed_listeners(options)
    if replay is not None and "replay" not in names:
        raise UsageError("--replay goes with --listener replay")
    faults, done = Faults(), 0
    with ExitStack() as stack:
        keeper = None
        if not no_log:
            log = stack.enter_context(given(ctx).flock_log(create=True))
            keeper = RecordingKeeper(
                log, on.date() if on else None, parser_id(vocabulary), settings.examiner or None
            )
        listeners = [speech.open_listener(name, vocabulary, options) for name in names]
        listeners += _further(further, names, vocabulary, options, faults)
        for one in listeners:
            stack.callback(one.close)
        if sys.stderr.isatty():
            typer.echo(f"listening: {' and '.join(one.name for one in listeners)}", err=True)
        for path in files:
            if sys.stderr.isatty():
                typer.echo(f"hearing {path.name} …", err=True)
            try:
                heard = speech.hear(path, listeners)
            except SoundError as error:
                faults.tell(error)
                if jsonl:
                    typer.echo(json_line({"id": path.stem, "error": str(error)}))
                continue
            for warning in heard.warnings:
                typer.echo(f"{path.name}: {warning}", err=True)
            recording = keeper.words(heard) if keeper else None
            draft = fuse(heard.utterances, vocabulary, settings.cache)
            if keeper and recording:
                kept = keeper.draft(heard, recording, draft)
                mark_post_mortems(log, vocabulary, [log.exam(exam) for exam in kept])
            done += 1
            _print(path, heard, draft, jsonl)
    faults.leave(done)


def _further(
    further: Sequence[str], names: Sequence[str], vocabulary: Vocabulary, options: ListenerOptions, faults: Faults
) -> list[Listener]:
    """Listeners that nobody named but that are installed; one that cannot be opened is told and left out."""
    from dictate.speech import open_listener

    opened = []
    for name in further:
        if name not in names:
            try:
                opened.append(open_listener(name, vocabulary, options))
            except ListenerError as error:
                faults.tell(error)
    return opened


class RecordingKeeper:
    """Keeps recordings, their words, then what was understood; each recording once (the demo too)."""

    def __init__(self, log: FlockLog, on: date | None, parser: str, examiner: str | None) -> None:
        self._log, self._on, self._parser, self._examiner = log, on, parser, examiner
        self._known = {row.sha256: row for row in log.recordings() if row.sha256}

    def words(self, heard: Heard) -> str | None:
        """Keep the recording and all that each listener heard; its id, None where it is known already."""
        with heard.path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        row = self._known.get(digest)
        if row is not None and row.has_draft:
            typer.echo(f"{heard.path.name}: it is in the log already; nothing is added.", err=True)
            return None
        if row is not None:
            return row.id
        with self._log.transaction():
            recording = self._log.add_recording(
                heard.path.resolve(), seconds=heard.seconds, sample_rate=heard.recording.rate,
                sha256=digest, examiner=self._examiner,
            )
            for utterances in heard.utterances.values():
                self._log.add_utterances(recording, utterances)
        return recording

    def draft(self, heard: Heard, recording: str, draft: Draft) -> list[str]:
        """Keep what was understood of it; ids of the exams."""
        day, problem = _day_of(heard.path, self._on)
        with self._log.transaction():
            exams = self._log.save_draft(
                draft, Source(file=heard.path.name, recording=recording), on=day, date_problem=problem,
                examiner=self._examiner, parser=self._parser,
            )
            self._log.finish_recording(recording, seconds=heard.seconds)
        return exams


def _day_of(path: Path, on: date | None) -> tuple[date | None, str | None]:
    """The day of a recording, or why it is not known."""
    if on is not None:
        return on, None
    found = re.search(r"(?<!\d)(\d{4})-(\d{2})-(\d{2})(?!\d)", path.stem)
    if found is None:
        return None, "no day in the name of the recording"
    try:
        return date(*map(int, found.groups())), None
    except ValueError:
        return None, f'"{found[0]}" in the name of the recording is not a day of the calendar'


def _print(path: Path, heard: Heard, draft: Draft, jsonl: bool) -> None:
    names = [name for name, utterances in heard.utterances.items() if utterances]
    if jsonl:
        words: list[dict[str, Any]] = [
            {"word": one.word.text, "start": one.word.start, "end": one.word.end, "confidence": one.word.confidence}
            for one in draft.words
        ]
        row = {"id": path.stem, "text": draft.text, "words": words, "listeners": names, **draft_record(draft)}
        typer.echo(json_line(row | ({"warnings": list(heard.warnings)} if heard.warnings else {})))
        sys.stdout.flush()
        return
    typer.echo(f"{path.name}  ({heard.seconds:.0f} s, heard by {' and '.join(names) or 'nobody'})")
    typer.echo(f"  \"{draft.text}\"")
    for line in draft_lines(draft):
        typer.echo(f"  {line}")
    typer.echo("")
