"""`dictate check`: is everything there that a round needs, and if not, how to get it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from dictate.cli.ending import PARTLY_DONE
from dictate.cli.given import Given, given
from dictate.cli.listen import sound_folder
from dictate.cli.options import AsJson, new_app, print_json
from dictate.cli.practise import practise_reading
from dictate.errors import DictateError

if TYPE_CHECKING:
    from rich.console import RenderableType

    from dictate.settings import Settings

app = new_app()

State = Literal["good", "missing", "faulty"]
BYTES_AN_HOUR = 16_000 * 2 * 3600
LITTLE_ROOM = 8
"""Hours of sound: with room for less the disk is as good as full for a round."""


@dataclass(frozen=True, slots=True)
class Part:
    """One thing that was looked for. missing: the program works without it; faulty: put it right first."""

    what: str
    state: State
    found: str
    remedy: str = ""


@app.command()
def check(
    ctx: typer.Context,
    microphone: Annotated[
        bool, typer.Option("--microphone", help="Also listen for three seconds, and say how loud it is.")
    ] = False,
    practise: Annotated[
        bool, typer.Option("--practise", help="Read ten phrases aloud, and see which words are not heard.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Check the microphone, the recognisers and the log before you start.

    The first check makes the recogniser's language model, which takes a moment.
    """
    from rich.console import Console

    if practise:
        practise_reading(given(ctx), as_json)
        return
    console, parts = Console(highlight=False), []
    for part in parts_of(given(ctx), listen=microphone):
        parts.append(part)
        if not as_json:
            console.print(_row(part))
    if as_json:
        print_json({"parts": [asdict(part) for part in parts]})
    if any(part.state == "faulty" for part in parts):
        raise typer.Exit(PARTLY_DONE)


def _row(part: Part) -> RenderableType:
    """A part: its state in a word, what was looked for, what was found, what can be done."""
    from rich.table import Table
    from rich.text import Text

    row = Table.grid(padding=(0, 2))
    row.add_column(width=7)
    row.add_column(width=21)
    row.add_column()
    style = {"good": "green", "missing": "yellow", "faulty": "bold red"}[part.state]
    row.add_row(Text(part.state, style), part.what, Text(part.found))
    if part.remedy:
        row.add_row("", "", Text(part.remedy, "italic"))
    return row


def parts_of(asked: Given, *, listen: bool = False) -> Iterator[Part]:
    """Everything that is looked at, one after another; no fault of one hides the others."""
    settings = asked.settings
    yield _settings()
    yield from _guarded("words", lambda: _words(asked))
    yield from _listeners(asked, settings)
    yield from _guarded("microphone", lambda: _microphone(listen), "missing")
    yield from _guarded("flock log", lambda: _log(asked, settings))
    yield from _guarded("sound", lambda: _sound(sound_folder(settings)))


def _guarded(what: str, look: Callable[[], Part], otherwise: State = "faulty") -> Iterator[Part]:
    try:
        yield look()
    except DictateError as error:
        about = f"{error.about}: {error.found}" if error.about else error.found or str(error)
        yield Part(what, otherwise, about, error.remedy)


def _settings() -> Part:
    from dictate.settings import settings_path

    path = settings_path()
    found = str(path) if path.exists() else f"the usual ones; your own would stand in {path}"
    return Part("settings", "good", found)


def _words(asked: Given) -> Part:
    vocabulary = asked.vocabulary()
    phrases = len({phrase for phrase, _ in vocabulary.phrases()})
    own = asked.settings.lexicon
    yours = f"with your own in {own}" if own.is_dir() else f"your own would lie in {own}"
    kinds = f"{len(vocabulary.regions)} regions and {len(vocabulary.signs)} signs"
    return Part("words", "good", f"{phrases} ways of saying things, {kinds} among them; {yours}")


def _listeners(asked: Given, settings: Settings) -> Iterator[Part]:
    """Each recogniser is opened; only those that the settings name have to be there."""
    from dictate.speech import LISTENERS, ListenerOptions, open_listener

    try:
        vocabulary = asked.vocabulary()
    except DictateError:
        return  # told already
    options = ListenerOptions(
        cache=settings.cache, vosk_model=settings.vosk_model, whisper_model=settings.whisper_model
    )
    for name in dict.fromkeys((*settings.listeners, *LISTENERS)):
        wanted = name in settings.listeners
        if name == "replay" and not wanted:
            continue  # for tests: it says what it is told to

        def look(name: str = name, wanted: bool = wanted) -> Part:
            open_listener(name, vocabulary, options).close()
            return Part(f"listener {name}", "good", "ready" if wanted else "ready, not in use: see settings")

        yield from _guarded(f"listener {name}", look, "faulty" if wanted else "missing")


def _microphone(listen: bool) -> Part:
    from dictate.speech.microphone import microphones

    names = microphones()
    if not names:
        remedy = "Plug one in, or hear recordings: dictate hear FILE."
        return Part("microphone", "missing", "none is plugged in", remedy)
    found = "; ".join(dict.fromkeys(names))
    return _loudness(found) if listen else Part("microphone", "good", found)


def _loudness(found: str) -> Part:
    """How loud three seconds at the usual microphone are, by their loudest tenth of a second."""
    import itertools

    import numpy as np

    from dictate.speech.microphone import microphone

    typer.echo("Say something for three seconds …", err=True)
    with microphone() as blocks:
        loudest = max(float(np.sqrt(np.square(b / 32768.0).mean())) for b in itertools.islice(blocks, 30))
    level = 20 * np.log10(max(loudest, 1e-6))
    if level < -50:
        return Part("microphone", "faulty", f"{found}: almost silent ({level:.0f} dB)", "Turn its level up.")
    return Part("microphone", "good", f"{found}: heard at {level:.0f} dB")


def _log(asked: Given, settings: Settings) -> Part:
    if not settings.log.exists():
        return Part("flock log", "good", f"none yet; it will be made in {settings.log}")
    with asked.flock_log() as log:
        faults = log.check()
        if faults:
            found = f"{settings.log}: {'; '.join(faults)}"
            return Part("flock log", "faulty", found, "Make a copy of it before anything else.")
        waiting, birds = len(log.drafts()), len(log.birds())
    found = f"{settings.log}: birds in the register: {birds}, exams waiting to be checked: {waiting}"
    return Part("flock log", "good", found)


def _sound(folder: Path) -> Part:
    """Whether there is room for sound, in the folder or where it would be made."""
    place = next(p for p in (folder, *folder.parents) if p.exists())
    hours = shutil.disk_usage(place).free / BYTES_AN_HOUR
    found = f"{folder}: room for {hours:,.0f} hours"
    if hours < LITTLE_ROOM:
        remedy = "Make room, or name another folder in the settings (recordings)."
        return Part("sound", "faulty", found, remedy)
    return Part("sound", "good", found)
