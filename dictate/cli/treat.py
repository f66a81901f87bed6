"""`dictate treat`: a treatment as it was given, in the keeper's words."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Annotated, Any

import typer

from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.cli.table import print_table
from dictate.cli.who import find_bird, find_pen
from dictate.cli.working import Flock, held_row
from dictate.errors import UsageError
from dictate.keeping import PRODUCE, Course

if TYPE_CHECKING:
    from datetime import date

    from dictate.log import FlockLog

app = new_app()

FirstDay = Annotated[
    datetime | None, typer.Option(metavar="DATE", formats=["%Y-%m-%d"], help="The day of the first dose.")
]


@app.command()
def treat(
    ctx: typer.Context,
    who: Annotated[str | None, typer.Argument(metavar="BIRD", help="Her band or name.")] = None,
    product: Annotated[str | None, typer.Option("--with", help="What was given, in your words.")] = None,
    pen: Annotated[str | None, typer.Option(help="The whole pen was treated.")] = None,
    first: FirstDay = None,
    last: Annotated[
        datetime | None,
        typer.Option(metavar="DATE", formats=["%Y-%m-%d"], help="The day of the last dose, once it was given."),
    ] = None,
    label_eggs: Annotated[
        int | None, typer.Option(min=0, metavar="DAYS", help="The label's days for eggs.")
    ] = None,
    label_meat: Annotated[
        int | None, typer.Option(min=0, metavar="DAYS", help="The label's days for meat.")
    ] = None,
    off_label: Annotated[
        bool,
        typer.Option(
            "--off-label", help="Used otherwise than its label says (then the longest days it has for any animal)."
        ),
    ] = False,
    vet_eggs: Annotated[int | None, typer.Option(min=0, metavar="DAYS", help="Days for eggs that a vet set.")] = None,
    vet_meat: Annotated[int | None, typer.Option(min=0, metavar="DAYS", help="Days for meat that a vet set.")] = None,
    vet: Annotated[str | None, typer.Option(metavar="NAME", help="The vet who prescribed it.")] = None,
    batch: Annotated[str | None, typer.Option(metavar="NUMBER", help="The batch number on the pack.")] = None,
    reason: Annotated[str | None, typer.Option("--for", help="What it was given for.")] = None,
    regime: Annotated[
        str | None, typer.Option(metavar="PLACE", help="Whose law holds, where it is not that of the settings.")
    ] = None,
    change: Annotated[
        str | None, typer.Option("--change", metavar="ID", help="Change this treatment instead of adding one.")
    ] = None,
    take_back: Annotated[
        str | None, typer.Option("--take-back", metavar="ID", help="Take a treatment back that was wrong.")
    ] = None,
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Write down a treatment. Without anything: list those that are written down.

    The program knows no medicine: product and days are yours, from the label or your vet. Days are whole
    days after the last dose; days of a label mean that it was used as it says, unless you add --off-label. What
    follows for eggs and meat is worked out by the law of your place.
    """
    settings, vocabulary, today = given(ctx).settings, given(ctx).vocabulary(), day(on)
    facts: dict[str, Any] = {
        "first_on": first.date() if first else None, "last_on": last.date() if last else None,
        "label_days": _days(label_eggs, label_meat), "vet_days": _days(vet_eggs, vet_meat),
        "prescriber": vet, "product_batch": batch, "reason": reason, "product": product,
        "use": "off-label" if off_label else "label" if label_eggs is not None or label_meat is not None else None,
        "regime": regime or (settings.regime or None if change is None else None),
    }
    facts = {name: value for name, value in facts.items() if value not in (None, ())}
    with given(ctx).flock_log() as log:
        if take_back is not None:
            log.withdraw_course(_whole(log, take_back).id)
            typer.echo("Taken back.")
            return
        if change is not None:
            before = _whole(log, change)
            for name in ("label_days", "vet_days"):
                if name in facts:
                    facts[name] = tuple((dict(getattr(before, name)) | dict(facts[name])).items())
            course_id = log.change_course(before.id, facts).id
        elif product is None:
            if who or pen or set(facts) - {"regime"}:
                raise UsageError("Say what was given, in your own words: --with WORDS")
            _list(Flock.read(log, vocabulary, settings.regime), today, as_json)
            return
        else:
            bird = find_bird(log, who, facts.get("first_on", today)) if who else None
            facts.setdefault("first_on", facts.get("last_on", today))
            course_id = log.add_course(Course(
                id="", bird_id=bird.id if bird else None, pen=find_pen(log, pen) if pen else None, **facts
            ))
        flock = Flock.read(log, vocabulary, settings.regime)
    _tell(flock, course_id, today, as_json)


def _days(eggs: int | None, meat: int | None) -> tuple[tuple[str, int], ...]:
    return tuple((p, days) for p, days in zip(PRODUCE, (eggs, meat), strict=True) if days is not None)


def _whole(log: FlockLog, part: str) -> Course:
    """The treatment with an id that ends so, as the list shows it."""
    fits = [course for course in log.courses() if course.id.endswith(part)]
    if len(fits) != 1:
        found = "no treatment has it" if not fits else "more than one treatment has it"
        raise UsageError("looking for the treatment", part, found, "See the ids with: dictate treat")
    return fits[0]


def course_row(course: Course, flock: Flock) -> dict[str, Any]:
    """A treatment as a JSON object, with the end of withholding for each produce and its working."""
    from dictate.care.courses import end_of

    regimes = list(flock.vocabulary.entries("regime").values())
    names = {bird.id: bird.label for bird in flock.birds}
    ends = [end_of(course, produce, regimes) for produce in PRODUCE]
    return {
        "id": course.id, "bird": names.get(course.bird_id or ""), "bird_id": course.bird_id, "pen": course.pen,
        "product": course.product, "batch": course.product_batch, "first": course.first_on, "last": course.last_on,
        "label_days": dict(course.label_days), "vet_days": dict(course.vet_days), "use": course.use,
        "prescriber": course.prescriber, "for": course.reason, "regime": course.regime, "quote": course.quote,
        "exam": course.exam_id,
        "withheld": [
            {"produce": e.produce, "until": e.until, "ask_vet": e.ask, "why": e.why, "source": e.source or None}
            for e in ends
        ],
    }


def _tell(flock: Flock, course_id: str, today: date, as_json: bool) -> None:
    """What follows from the treatment that was just written down."""
    (course,) = [one for one in flock.courses if one.id == course_id]
    row = course_row(course, flock)
    held = [one for one in flock.held_back(today) if any(r.course_id == course_id for r in one.reasons)]
    if as_json:
        print_json(row | {"held_back": [held_row(one) for one in held]})
        return
    typer.echo(f"Written down ({course_id[-6:]}): {row['bird'] or 'pen ' + str(course.pen)}, {course.product}.")
    for end in row["withheld"]:
        until = f"hold until {end['until']}, that day included" if end["until"] else (
            "no last day is known" if end["ask_vet"] else "nothing is held back"
        )
        typer.echo(f"  {end['produce']}: {until}. {end['why']}.")
    for one in held:
        if one.bird is None and one.until is not None:
            because = "because they are mixed" if course.bird_id else "for all were treated"
            typer.echo(f"  {one.what}: hold until {one.until}, {because}.")
    typer.echo("The label, local rules and your vet decide.")


def _list(flock: Flock, today: date, as_json: bool) -> None:
    rows = [course_row(course, flock) for course in flock.courses if not course.first_on or course.first_on <= today]
    if as_json:
        print_json({"treatments": rows})
        return
    if not rows:
        typer.echo("No treatment is written down.")
        return
    print_table(
        ("given", "to", "what", "eggs", "meat", "vet", "id"),
        [
            (
                f"{row['first'] or '?'} to {row['last'] or '?'}", row["bird"] or f"pen {row['pen']}", row["product"],
                *(_end_words(end) for end in row["withheld"]), row["prescriber"] or "", row["id"][-6:],
            )
            for row in rows
        ],
        "Treatments, with the last day of holding back",
    )


def _end_words(end: dict[str, Any]) -> str:
    return str(end["until"]) if end["until"] else "ask a vet" if end["ask_vet"] else "none"
