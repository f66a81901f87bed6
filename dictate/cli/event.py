"""`dictate event`: what happened to birds beside exams."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Annotated, Any, cast, get_args

import typer

from dictate.cli.ending import Faults
from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.cli.table import print_table
from dictate.cli.who import find_bird, find_pen
from dictate.errors import DictateError, LogError, UsageError
from dictate.record import Leaving

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.record import BirdRecord
    from dictate.vocabulary import Vocabulary
    from dictate.vocabulary.entries import Event

app = new_app()


@app.command()
def event(
    ctx: typer.Context,
    what: Annotated[
        str | None,
        typer.Argument(help="What happened, as you would say it: died, sold, vaccinated, moved, quarantine …"),
    ] = None,
    who: Annotated[list[str] | None, typer.Argument(metavar="BIRD...", help="Her band or name.")] = None,
    pen: Annotated[str | None, typer.Option(help="All birds that live in this pen that day.")] = None,
    to: Annotated[str | None, typer.Option(metavar="PEN", help="The pen she was moved to.")] = None,
    until: Annotated[
        datetime | None,
        typer.Option(metavar="DATE", formats=["%Y-%m-%d"], help="The last day of it (quarantine, a show)."),
    ] = None,
    note: Annotated[str, typer.Option(help="More of it, in your words.")] = "",
    take_back: Annotated[
        str | None, typer.Option("--take-back", metavar="ID", help="Take an event back that was wrong.")
    ] = None,
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Write down what happened to birds. Without anything: list what is written down.

    Who died, was culled, sold or lost is no longer due nor counted from that day (--on DATE, else today).
    """
    vocabulary = given(ctx).vocabulary()
    with given(ctx).flock_log() as log:
        if take_back is not None:
            log.withdraw_event(_whole_id(log, take_back))
            typer.echo("Taken back.")
            return
        if what is None:
            _list(log, None, as_json)
            return
        kind, word = meaning(what, vocabulary, log, bool(who) or pen is not None)
        if word is None:
            _list(log, find_bird(log, what, None), as_json)
            return
        today = day(on)
        _check(kind, word, to, until)
        faults = Faults()
        birds = _birds(log, who or [], pen, today, faults)
        done = []
        for bird in birds:
            try:
                _write(log, bird, kind, word, today, until.date() if until else None, to, note)
                done.append(bird)
            except LogError:
                raise
            except DictateError as error:
                faults.tell(f"{bird.label}: {error}")
    if as_json:
        print_json({"event": kind, "on": today, "birds": [b.label for b in done], "refused": faults.count})
    elif done:
        more = f" to {to}" if to else f" until {until.date()}" if until else ""
        typer.echo(f"{today} {kind}{more}: {', '.join(b.label for b in done)}.")
    faults.leave(len(done))


def meaning(
    what: str, vocabulary: Vocabulary, log: FlockLog, is_event: bool
) -> tuple[str, Event | None]:
    """The event that was typed; (what, None) for a bird whose events are asked for. Raises UsageError."""
    words = vocabulary.entries("event")
    wanted = " ".join(what.casefold().split())
    for name, word in words.items():
        if wanted == name or wanted in (said.casefold() for said in word.say):
            return name, word
    match = log.find_birds(band=what), log.find_birds(name=what)
    if not is_event and any(not one.unknown for one in match):
        return what, None
    raise UsageError(
        "writing down what happened", f'"{what}"', "no such event is known",
        f"It may be one of: {', '.join(words)}.",
    )


def _check(kind: str, word: Event, to: str | None, until: datetime | None) -> None:
    doing = "writing down what happened"
    if word.to_pen and to is None:
        raise UsageError(doing, kind, "it was not said where to", "Add: --to PEN")
    if to is not None and not word.to_pen:
        raise UsageError(doing, kind, "--to PEN does not go with it")
    if until is not None and not word.lasts:
        raise UsageError(doing, kind, "--until DATE does not go with it")


def _birds(log: FlockLog, who: list[str], pen: str | None, on: date, faults: Faults) -> list[BirdRecord]:
    found: list[BirdRecord] = []
    for name in who:
        try:
            found.append(find_bird(log, name, on))
        except LogError:
            raise
        except DictateError as error:
            faults.tell(error)
    if pen is not None:
        name = find_pen(log, pen)
        found += [bird for bird in log.birds(on=on) if bird.pen_on(on) == name]
    if not who and pen is None:
        raise UsageError("Say to which bird it happened, by her band or name, or give --pen PEN")
    return list({bird.id: bird for bird in found}.values())


def _write(
    log: FlockLog, bird: BirdRecord, kind: str, word: Event, on: date, until: date | None, to: str | None, note: str
) -> None:
    if not bird.here_on(on) and not word.leaves:
        raise UsageError(
            "writing down what happened", kind, f"she has left by {on} ({bird.left_how} {bird.left_on or ''})".strip()
        )
    if not word.leaves:
        log.add_event(bird.id, kind, on, until=until, detail=note or None, pen=to)
    elif kind in get_args(Leaving):
        log.end_bird(bird.id, cast("Leaving", kind), on, detail=note)
    else:
        raise UsageError("writing down what happened", kind, "a bird may leave by these only: "
                         + ", ".join(get_args(Leaving)))


def _whole_id(log: FlockLog, part: str) -> str:
    """The id of an event by its last letters, as the list shows them."""
    fits = [e.id for events in log.all_events().values() for e in events if e.id.endswith(part)]
    if len(fits) != 1:
        found = "no event has it" if not fits else "more than one event has it"
        raise UsageError("taking back an event", part, found, "See the ids with: dictate event")
    return fits[0]


def _list(log: FlockLog, bird: BirdRecord | None, as_json: bool) -> None:
    rows: list[dict[str, Any]] = [
        {"on": event.on, "until": event.until, "event": event.kind, "bird": one.label, "to": event.pen,
         "note": event.detail, "id": event.id}
        for one in log.birds() if bird is None or one.id == bird.id
        for event in log.events(one.id)
    ]
    rows.sort(key=lambda row: (row["on"] is None, str(row["on"]), row["bird"]))
    if as_json:
        print_json({"events": rows})
    elif rows:
        print_table(
            ("day", "until", "what", "bird", "to", "note", "id"),
            [
                (str(r["on"] or ""), str(r["until"] or ""), r["event"], r["bird"], r["to"] or "", r["note"] or "",
                 r["id"][-6:])
                for r in rows
            ],
        )
    else:
        typer.echo("Nothing is written down.")
