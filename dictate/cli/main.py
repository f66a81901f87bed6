"""The door of the command line: options before the command, and the table of commands.

A command's module is imported only when the command is called, so that help comes at once.
"""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperCommand, TyperGroup

from dictate.cli.ending import told_in_a_sentence
from dictate.cli.given import Given
from dictate.cli.options import new_app

__all__ = ["COMMANDS", "app", "main"]

# Name → (module, what the help says of it), in the order in which a keeper meets them.
COMMANDS: dict[str, tuple[str, str]] = {
    "demo": ("demo", "Hear the recordings of an invented flock, and see what becomes of them."),
    "check": ("check", "Check the microphone, the recognisers and the log before you start."),
    "listen": ("listen", "Listen while you examine birds, and keep everything."),
    "hear": ("hear", "Hear recordings and keep what they say as drafts."),
    "parse": ("parse", "Understand a text and print what it says of each bird."),
    "review": ("review_drafts", "Check drafts one doubtful finding at a time, and confirm them."),
    "bird": ("bird", "Show one bird head to tail."),
    "event": ("event", "Write down what happened to birds."),
    "treat": ("treat", "Write down a treatment."),
    "photo": ("photo", "Keep photos with an exam or a finding."),
    "postmortem": ("postmortem", "Keep what was found in a dead bird."),
    "due": ("due", "List what is due."),
    "concerns": ("concerns", "Say what should be watched, shown to a vet, or told to the authority."),
    "withheld": ("withheld", "Show whose eggs and meat are held back, until when, and why."),
    "pen": ("pen", "Keep what you counted of a pen on a day, or show its days and its birds."),
    "plan": ("plan", "Say how many birds to examine, draw them, and say in which order to go."),
    "agree": ("agree", "Say how far two examiners, or two days, agree on a sign."),
    "flock": ("flock", "Say how common a sign is among the birds examined for it."),
    "import": ("import_notes", "Bring in old notes."),
    "export": ("export", "Write records out."),
    "words": ("words", "Check, add and show the words that are understood."),
}


class _Commands(TyperGroup):
    """Commands by name; only the one that is called is imported."""

    def __init__(self, **attributes: Any) -> None:
        super().__init__(**attributes)
        for name, (_, help_text) in COMMANDS.items():
            self.commands[name] = TyperCommand(name, help=help_text, rich_markup_mode=None)

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        if args and args[0] in self.commands:
            self.commands[args[0]] = _load(args[0])
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: Any) -> Any:
        with told_in_a_sentence():
            return super().invoke(ctx)


def _load(name: str) -> TyperCommand | TyperGroup:
    module = importlib.import_module(f"dictate.cli.{COMMANDS[name][0]}")
    command = typer.main.get_command(module.app)
    assert isinstance(command, TyperCommand | TyperGroup)
    command.name = name
    return command


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import PackageNotFoundError, version

        try:
            typer.echo(f"dictate {version('comb-to-vent')}")
        except PackageNotFoundError:
            typer.echo("dictate, from a checkout that is not installed")
        raise typer.Exit


app = new_app(cls=_Commands, no_args_is_help=True)


@app.callback()
def before_the_command(
    ctx: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", is_eager=True, callback=_version, help="Print the version.")
    ] = False,
    log: Annotated[Path | None, typer.Option(metavar="PATH", help="The flock log to use.")] = None,
    lexicon: Annotated[
        Path | None, typer.Option(metavar="DIR", help="The folder of words to use.")
    ] = None,
) -> None:
    """Say what you see on the bird in your hands; get a checked record of it.

    Everything happens on this machine. What is understood stays a draft until you confirm it.
    """
    ctx.obj = Given(log=log, lexicon=lexicon)


def main() -> None:
    """Run the command `dictate`."""
    app(prog_name="dictate")
