"""`dictate plan`: how many birds to examine, which ones, and in which order to go."""

from __future__ import annotations

import random
from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

import typer

from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.errors import UsageError
from dictate.review.wording import printable

if TYPE_CHECKING:
    from dictate.flock.drawing import Draw
    from dictate.log import FlockLog
    from dictate.record import BirdRecord

app = new_app()


@app.command()
def plan(
    ctx: typer.Context,
    in_birds: Annotated[
        int | None, typer.Option("--in-birds", min=1, metavar="D", help="To find what at least D birds have.")
    ] = None,
    in_percent: Annotated[
        float | None,
        typer.Option("--in-percent", min=0, max=100, metavar="P", help="To find what at least P in 100 have."),
    ] = None,
    margin: Annotated[
        float | None,
        typer.Option(min=0, max=100, metavar="P", help="To tell a share to within P in 100 either way."),
    ] = None,
    none_in: Annotated[
        int | None, typer.Option("--none-in", min=0, metavar="N", help="What it says that none of N had it.")
    ] = None,
    finds: Annotated[
        float, typer.Option(min=0, max=100, metavar="P", help="A look finds it in P of 100 birds that have it.")
    ] = 100,
    sure: Annotated[float, typer.Option(min=0, max=100, metavar="P", help="How sure, in 100.")] = 95,
    flock: Annotated[
        int | None, typer.Option(min=1, metavar="N", help="Birds in the flock. Without it: the register.")
    ] = None,
    pen: Annotated[str | None, typer.Option(help="Only this pen of the register.")] = None,
    draw: Annotated[bool, typer.Option("--draw", help="Draw the birds and say in which order to go.")] = False,
    due_first: Annotated[
        bool, typer.Option("--due-first", help="First those due, then those not seen longest; not by chance.")
    ] = False,
    seed: Annotated[int | None, typer.Option(metavar="NUMBER", help="Draw the same birds again.")] = None,
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Say how many birds to examine, draw them, and say in which order to go.

    By exact chances in whole birds. With no question asked: to find what one bird in ten has.
    """
    from dictate.care.pens import same_pen

    if sum(one is not None for one in (in_birds, in_percent, margin, none_in)) > 1:
        raise UsageError("planning", found="more than one of --in-birds, --in-percent, --margin, --none-in")
    today, birds, drawn = day(on), [], None
    wants_register = flock is None or draw or due_first
    if wants_register:
        with given(ctx).flock_log() as log:
            birds = [
                bird for bird in log.birds(on=today)
                if pen is None or same_pen(bird.pen, pen)
            ]
            if not birds:
                whose = f'in the pen "{pen}"' if pen else "in the register"
                raise UsageError("planning", found=f"no bird is {whose}", remedy="Say how many: --flock 30.")
            size = flock if flock is not None else len(birds)
            row, lines = _answer(size, in_birds, in_percent, margin, none_in, finds / 100, sure / 100)
            if (draw or due_first) and row["examine"] is not None:
                drawn = _draw(log, birds, int(row["examine"]), seed, due_first, today)
    else:
        assert flock is not None
        row, lines = _answer(flock, in_birds, in_percent, margin, none_in, finds / 100, sure / 100)
    if as_json:
        print_json(row | ({"draw": _record(drawn)} if drawn else {}))
        return
    for line in lines if drawn is None else lines[:1]:
        typer.echo(line)
    if drawn is not None:
        _print(drawn, due_first, today)


def _answer(
    size: int, in_birds: int | None, in_percent: float | None, margin: float | None, none_in: int | None,
    finds: float, sure: float,
) -> tuple[dict[str, Any], list[str]]:
    """The figures, and the same in sentences."""
    from dictate.flock.sample_size import birds_to_estimate, birds_to_find, chance_to_find, none_found, with_share

    row: dict[str, Any] = {"flock": size, "sure": sure, "finds": finds, "examine": None}
    missing = "" if finds == 1 else f", where a look finds it in {finds:.0%} of the birds that have it"
    if none_in is not None:
        found = none_found(none_in, size, confidence=sure, finds=finds)
        row |= {"question": "none found", "examined": none_in, "at_most": found.at_most, "share": found.share}
        return row, [
            f"None in {none_in} of {size} birds: with {sure:.0%} confidence it is in at most {found.at_most} of them "
            f"({found.share:.0%}){missing}.",
            "That holds for birds drawn by chance, looked at for it on one day.",
        ]
    if margin is not None:
        number = birds_to_estimate(size, margin / 100, confidence=sure)
        row |= {"question": "estimate", "margin": margin / 100, "examine": number}
        return row, [
            f"Examine {number} of {size} birds to tell a share to within {margin:g} in 100 with {sure:.0%} confidence "
            "(usual approximation, safest for a share of one half)."
        ]
    least = in_birds if in_birds is not None else with_share(size, (10 if in_percent is None else in_percent) / 100)
    number_or_none = birds_to_find(size, least, confidence=sure, finds=finds)
    row |= {"question": "find", "in_birds": least, "examine": number_or_none}
    if number_or_none is None:
        best = chance_to_find(size, least, size, finds)
        return row, [
            f"Not even all {size} birds are enough to find what {least} of them have with {sure:.0%} confidence"
            f"{missing}: all of them, once, find it with {best:.0%}. Look at them on two days."
        ]
    chance = chance_to_find(size, least, number_or_none, finds)
    row["chance"] = chance
    have = "has" if least == 1 else "have"
    return row, [
        f"Examine {number_or_none} of {size} birds to find what at least {least} of them {have}, "
        f"with {sure:.0%} confidence{missing} (chance {chance:.1%}).",
        "That holds for birds drawn by chance: dictate plan --draw.",
    ]


def _draw(
    log: FlockLog, birds: list[BirdRecord], number: int, seed: int | None, due_first: bool, today: date
) -> Draw:
    """Draw the birds; sick are those with a concern above watch, quarantine is what the register says."""
    from dictate.care.concerns import concerns
    from dictate.care.rechecks import due
    from dictate.flock.drawing import draw as draw_birds

    exams = list(log.exams())
    found = concerns(exams, birds, (), today)
    sick = {one.bird_id for one in found.concerns if one.bird_id and one.level != "watch"}
    kept_apart = {bird.id for bird in birds if _in_quarantine(log, bird, today)}
    first: list[str] = []
    if due_first:
        first = [one.bird_id for one in due(exams, birds, today)]
        seen: dict[str, date] = {}
        for exam in exams:
            if exam.bird_id and exam.on and exam.on <= today and exam.kind == "live":
                seen[exam.bird_id] = max(exam.on, seen.get(exam.bird_id, exam.on))
        first += sorted((bird.id for bird in birds), key=lambda one: seen.get(one, date.min))
    chosen = random.SystemRandom().randrange(10000) if seed is None else seed
    return draw_birds(birds, min(number, len(birds)), chosen, sick=sick, quarantine=kept_apart, first=first)


def _in_quarantine(log: FlockLog, bird: BirdRecord, today: date) -> bool:
    return any(
        event.kind.startswith("quarantine") and event.on is not None and event.on <= today
        and (event.until is None or today <= event.until)
        for event in log.events(bird.id)
    )


# ---- how it is shown

WASH = "Wash your hands, clean or change shoes and overall, clean the scales."
STATES = {"well": "", "sick": "  (sick birds here)", "quarantine": "  (quarantine)"}


def _print(drawn: Draw, due_first: bool, today: date) -> None:
    """The list to take along: a box to tick for each bird."""
    number = len(drawn.birds)
    if due_first:
        typer.echo(f"\n{number} of {drawn.of} birds, {today}: those due, then those not seen longest. Not by chance:")
        typer.echo("what is found in them does not tell how common it is in the flock.")
    else:
        typer.echo(f"\n{number} of {drawn.of} birds, {today}, drawn by chance (the same again: --seed {drawn.seed}).")
    for place, stop in enumerate(drawn.stops):
        if place:
            typer.echo(f"\n  ---- {WASH}")
        typer.echo(f"\n  {printable(stop.pen or 'no pen known')}{STATES[stop.state]}")
        for bird in stop.birds:
            typer.echo(f"  [ ] {printable(bird.label)}")
    typer.echo(f"\n  ---- {WASH}")


def _record(drawn: Draw) -> dict[str, Any]:
    return {
        "seed": drawn.seed, "of": drawn.of,
        "stops": [
            {"pen": stop.pen, "state": stop.state,
             "birds": [{"bird": bird.label, "bird_id": bird.id} for bird in stop.birds]}
            for stop in drawn.stops
        ],
    }
