"""`dictate flock`: how common a sign is, with its denominator and how sure that is."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from dictate.cli.given import given
from dictate.cli.meant import sign_and_regions
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json

if TYPE_CHECKING:
    from dictate.flock.prevalence import Prevalence

app = new_app()


@app.command()
def flock(
    ctx: typer.Context,
    sign: Annotated[str, typer.Argument(help="The sign, as you would say it.")],
    region: Annotated[
        list[str] | None, typer.Option(help="The part of the body; repeat it for more than one.")
    ] = None,
    side: Annotated[Literal["left", "right"] | None, typer.Option(help="Only this side.")] = None,
    pen: Annotated[str | None, typer.Option(help="Only birds of this pen.")] = None,
    since: Annotated[
        datetime | None,
        typer.Option(metavar="DATE", formats=["%Y-%m-%d"], help="Only exams from this day on."),
    ] = None,
    rest_counts: Annotated[
        bool, typer.Option("--rest-counts", help='Count "the rest is normal" as examined.')
    ] = False,
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Say how common a sign is among the birds examined for it."""
    from dictate.flock.prevalence import prevalence

    vocabulary = given(ctx).vocabulary()
    name, regions = sign_and_regions(sign, region, vocabulary)
    with given(ctx).flock_log() as log:
        found = prevalence(
            log.exams(), log.birds(), sign=name, regions=regions, until=day(on),
            since=since.date() if since else None, pen=pen, side=side, rest_counts=rest_counts,
        )
        names = [log.bird(bird_id).label for bird_id in found.positive_birds]
    if as_json:
        print_json({**asdict(found), "share": found.share, "positive_birds": names})
        return
    for line in _lines(found, names):
        typer.echo(line)


def _lines(found: Prevalence, names: list[str]) -> list[str]:
    where = ", ".join(found.regions)
    span = f"from {found.since} to {found.until}" if found.since else f"up to {found.until}"
    if found.share is None:
        lines = [f"{found.sign} ({where}): no bird was examined for it {span}."]
    else:
        lines = [
            f"{found.sign} ({where}): {found.positive} of {found.examined} birds examined for it "
            f"({found.share:.0%}; 95 % interval {found.low:.0%} to {found.high:.0%}), "
            f"each by the last exam {span}."
        ]
    if names:
        lines.append(f"  with it: {', '.join(names)}")
    for count, words in (
        (found.possible, "only possibly with it, not counted as such"),
        (found.rest_only, 'not spoken of, but "the rest is normal" was said'),
        (found.not_examined, "in the flock and not examined for it"),
        (found.left, "examined, but no longer in the flock"),
        (found.unidentified, "exams of a bird that is not known"),
        (found.undated, "exams without a day"),
    ):
        if count:
            lines.append(f"  {count} {words}")
    return lines
