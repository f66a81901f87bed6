"""`dictate words`: check, add and show the words that are understood."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from dictate.cli.ending import tell_check
from dictate.cli.given import given
from dictate.cli.options import AsJson, new_app, print_json
from dictate.errors import UsageError

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

app = new_app(no_args_is_help=True)


@app.callback()
def words() -> None:
    """Check, add and show the words that are understood."""


@app.command()
def check(ctx: typer.Context) -> None:
    """Check the words that come with the program and your own, all faults at once."""
    from dictate.extraction.examples import wrong_examples

    vocabulary = given(ctx).vocabulary()
    faults = wrong_examples(vocabulary)
    tell_check(faults, f"{len(list(vocabulary.phrases()))} phrases, {len(faults)} faults.")


@app.command()
def add(
    ctx: typer.Context,
    phrase: Annotated[str, typer.Argument(help="The word or words, as you say them.")],
    means: Annotated[str, typer.Option(metavar="WORD", help="A word for it that is known already.")],
    kind: Annotated[
        str | None, typer.Option(metavar="KIND", help="region, sign, grade … where WORD means several.")
    ] = None,
) -> None:
    """Teach a word: it is understood, and listened for, from then on."""
    from dictate.vocabulary.own_words import add_phrase, meanings_of

    vocabulary = given(ctx).vocabulary()
    found = [one for one in meanings_of(means, vocabulary) if kind in (None, one[0])]
    if not found:
        raise UsageError("adding", f'"{phrase}"', f'"{means}" is not known', "See: dictate words show")
    if len(found) > 1:
        senses = ", ".join(f"{name} ({one})" for one, name in found)
        remedy = "Give one of these names as --means, and its --kind."
        raise UsageError("adding", f'"{phrase}"', f'"{means}" may mean {senses}', remedy)
    (one, entry), folder = found[0], given(ctx).settings.lexicon
    path = add_phrase(folder, one, entry, phrase, lexicon=given(ctx).lexicon)
    typer.echo(f'"{phrase}" means {entry} ({one}) from now on. It stands in {path}')


@app.command()
def show(
    ctx: typer.Context,
    word: Annotated[str | None, typer.Argument(help="A word, an entry, or a kind of entry.")] = None,
    as_json: AsJson = False,
) -> None:
    """Show what a word means, or all ways of saying a thing."""
    from dictate.vocabulary.own_words import meanings_of

    vocabulary = given(ctx).vocabulary()
    said = _ways_of_saying(vocabulary)
    if word is None:
        chosen = [entry for entry in said if entry[0] in ("region", "sign")]
    else:
        chosen = [entry for entry in said if entry[0] == word] or meanings_of(word, vocabulary)
    if not chosen:
        raise UsageError("showing", f'"{word}"', "no word, entry or kind of that name is known")
    rows = [{"kind": kind, "id": entry, "say": said.get((kind, entry), [])} for kind, entry in chosen]
    if as_json:
        print_json({"entries": rows})
        return
    for row in rows:
        typer.echo(f"{row['kind']}  {row['id']}: {', '.join(row['say'])}")


def _ways_of_saying(vocabulary: Vocabulary) -> dict[tuple[str, str], list[str]]:
    """(kind, id) → its phrases, in the order of the files."""
    said: dict[tuple[str, str], list[str]] = {}
    for phrase, meaning in vocabulary.phrases():
        said.setdefault((meaning.kind, meaning.id), []).append(phrase)
    for command in vocabulary.entries("command").values():  # said to the program, no part of a sentence
        if command.say:
            said["command", command.id] = list(command.say)
    return said
