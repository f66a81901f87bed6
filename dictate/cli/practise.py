"""`dictate check --practise`: read phrases aloud, and see what was heard of them."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import typer

from dictate.cli.options import print_json

if TYPE_CHECKING:
    from dictate.cli.given import Given
    from dictate.speech.practise import Practice

__all__ = ["practise_reading"]


def practise_reading(asked: Given, as_json: bool) -> None:
    """Show a phrase, hear it, go on; then tell how much was heard and which words were not."""
    from dictate.speech import ListenerOptions, open_listener
    from dictate.speech.microphone import microphone
    from dictate.speech.practise import misheard, phrases_to_read, read_aloud

    vocabulary, settings = asked.vocabulary(), asked.settings
    options = ListenerOptions(
        cache=settings.cache, vosk_model=settings.vosk_model, whisper_model=settings.whisper_model
    )
    listener = open_listener(settings.listeners[0], vocabulary, options)
    phrases, done = phrases_to_read(vocabulary), []
    typer.echo(f"Read each line as you would say it, then wait. {len(phrases)} lines; Ctrl-C ends it.\n", err=True)
    try:
        with microphone() as blocks:
            heard = read_aloud(listener, blocks)
            for number, phrase in enumerate(phrases, 1):
                typer.echo(f"{number:>2}  {phrase}", err=True)
                one = misheard(phrase, next(heard, ""))
                done.append(one)
                typer.echo(f"    heard: {one.heard or 'nothing'}\n", err=True)
    except KeyboardInterrupt:
        typer.echo("", err=True)
    finally:
        listener.close()
    _tell(done, settings.listeners[0], as_json, str(settings.lexicon))


def _tell(done: list[Practice], listener: str, as_json: bool, folder: str) -> None:
    words, errors = sum(one.words for one in done), sum(one.errors for one in done)
    missed = list(dict.fromkeys(word for one in done for word in one.missed))
    if as_json:
        print_json({
            "listener": listener, "word_error": round(errors / words, 3) if words else None, "missed": missed,
            "phrases": [asdict(one) for one in done],
        })
        return
    if not words:
        typer.echo("Nothing was read.")
        return
    typer.echo(f"{listener} heard {max(0, words - errors)} of {words} words right.")
    if not missed:
        return
    typer.echo(f"Not heard: {', '.join(missed)}.")
    typer.echo(
        "If one of them is missed again and again, say how you say it, in plain spelling. In the folder of your "
        f"words, {folder}, write into pronunciations.toml:\n\n"
        f'[[pronunciation]]\nid = "{missed[0]}"\nlike = ["as you say it"]'
    )
