"""`dictate pen`: what is counted of a pen on a day, typed or shown."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

import typer

from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.cli.table import print_table
from dictate.errors import UsageError
from dictate.model import Observation
from dictate.review.wording import number_words, printable

if TYPE_CHECKING:
    from dictate.care.pen_days import PenDays
    from dictate.record import StoredObservation
    from dictate.vocabulary import Vocabulary

app = new_app()


@app.command()
def pen(
    ctx: typer.Context,
    which: Annotated[
        str | None, typer.Argument(metavar="PEN", help="The pen, as you call it. Without it: all pens.")
    ] = None,
    counted: Annotated[
        list[str] | None,
        typer.Argument(metavar="WHAT=NUMBER...", help="What you counted: eggs=14 deaths=0 water=9.5L."),
    ] = None,
    detail: Annotated[str | None, typer.Option(help="A word about it, kept with each figure.")] = None,
    withdraw: Annotated[
        str | None, typer.Option(metavar="ID", help="Take one figure back; --json shows the ids.")
    ] = None,
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Keep what you counted of a pen on a day, or show its days and its birds.

    Deaths, eggs, odd eggs, water, feed and sick birds; typed here, or spoken and confirmed in review.
    """
    from dictate.care.pen_days import pen_days

    today = day(on)
    figures = list(counted or [])
    if which is not None and "=" in which:
        figures.insert(0, which)
        which = None
    told = [_observation(text, which, detail, given(ctx).vocabulary()) for text in figures]
    with given(ctx).flock_log(create=bool(told)) as log:
        if told:
            with log.transaction():
                for one in told:
                    log.add_observation(one, on=today)
        if withdraw is not None:
            log.settle_observation(withdraw, "withdrawn", reason="taken back")
        found = pen_days(log.observations(), log.birds(), today, which)
        waiting = len(log.observations(statuses=("draft",)))
        if which is not None and not found:
            names = sorted({one.pen for one in pen_days(log.observations(), log.birds(), today) if one.pen})
            known = f"known are {', '.join(names)}" if names else "no pen is known yet"
            raise UsageError("looking for the pen", f'"{which}"', known)
        if as_json:
            print_json({"on": today, "pens": [_record(one) for one in found], "not_confirmed": waiting})
            return
        for days in found:
            _print(days)
    if not found:
        typer.echo('Nothing is kept of any pen yet. As: dictate pen "pen 3" eggs=14 deaths=0')
    if waiting:
        typer.echo(f"{waiting} more were heard or read and are not confirmed: dictate review")


def _observation(text: str, pen: str | None, detail: str | None, vocabulary: Vocabulary) -> Observation:
    """WHAT=NUMBER[UNIT] as an observation in the unit of its kind. Raises UsageError."""
    name, equals, figure = (part.strip() for part in text.partition("="))
    kind = _kind(name, vocabulary)
    if not equals or kind is None:
        kinds = ", ".join(k for k, entry in vocabulary.observations.items() if entry.unit != "%")
        raise UsageError("keeping", f'"{text}"', "it is not WHAT=NUMBER", f"WHAT may be: {kinds}.")
    wanted = vocabulary.observations[kind].unit
    digits = figure.rstrip("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ ")
    unit = figure[len(digits):].strip()
    try:
        value = float(digits.replace(",", "."))
    except ValueError:
        raise UsageError("keeping", f'"{text}"', f'"{figure}" is not a number', "As: eggs=14") from None
    if not 0 <= value < 1e6 or (wanted == "1" and value != int(value)):
        raise UsageError("keeping", f'"{text}"', f'"{figure}" cannot be counted', "As: eggs=14")
    return Observation(kind, pen, _converted(value, unit, wanted, text, vocabulary), wanted, detail)


def _kind(name: str, vocabulary: Vocabulary) -> str | None:
    """The kind that a word means: its name or any way of saying it."""
    if name in vocabulary.observations:
        return name if vocabulary.observations[name].unit != "%" else None
    meant = {m.id for phrase, m in vocabulary.phrases() if m.kind == "observation" and phrase.lower() == name.lower()}
    return next(iter(meant)) if len(meant) == 1 else None


def _converted(value: float, unit: str, wanted: str, text: str, vocabulary: Vocabulary) -> float:
    """The value in the wanted unit: what was typed behind the number, if anything, is a unit's word."""
    if not unit or unit == wanted:
        return value
    for entry in vocabulary.units.values():
        if unit.lower() in (word.lower() for word in (*entry.say, *entry.short)):
            if entry.quantity == "mass" and wanted == "kg":
                return round(value * entry.factor / 1000, 4)
            if entry.unit == wanted:
                return round(value * entry.factor, 4)
    unit_wanted = "no unit" if wanted == "1" else wanted
    raise UsageError("keeping", f'"{text}"', f'the unit "{unit}" does not fit', f"It is kept in: {unit_wanted}.")


def _words(one: StoredObservation) -> str:
    value = "" if one.value is None else f" {number_words(one.value)}"
    unit = f" {one.unit}" if one.value is not None and one.unit not in (None, "1") else ""
    return f"{one.kind}{value}{unit}" + (f" ({one.detail})" if one.detail else "")


def _print(found: PenDays) -> None:
    title = found.pen or "no pen said"
    if found.birds:
        title += f": {', '.join(bird.label for bird in found.birds)}"
    rows = [
        (str(on or "no day known"), ", ".join(_words(one) for one in told), "; ".join(_quotes(told)))
        for on, told in found.days
    ]
    if rows:
        print_table(("day", "counted", "words"), rows, title)
    else:
        typer.echo(f"{printable(title)}\n  Nothing was counted yet.")


def _quotes(told: tuple[StoredObservation, ...]) -> list[str]:
    return list(dict.fromkeys(one.quote for one in told if one.quote))


def _record(found: PenDays) -> dict[str, Any]:
    days: list[tuple[date | None, tuple[StoredObservation, ...]]] = list(found.days)
    return {
        "pen": found.pen,
        "birds": [{"bird": bird.label, "bird_id": bird.id} for bird in found.birds],
        "days": [
            {
                "date": on,
                "observations": [
                    {"id": one.id, "kind": one.kind, "value": one.value, "unit": one.unit,
                     "detail": one.detail, "quote": one.quote}
                    for one in told
                ],
            }
            for on, told in days
        ],
    }
