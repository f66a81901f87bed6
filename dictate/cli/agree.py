"""`dictate agree`: how far two examiners, or two days, agree on a sign."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date, datetime
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from dictate.cli.given import given
from dictate.cli.meant import sign_and_regions
from dictate.cli.options import AsJson, new_app, print_json
from dictate.errors import UsageError

if TYPE_CHECKING:
    from dictate.flock.agreement import Agreement
    from dictate.flock.two_looks import Pairs

app = new_app()


@app.command()
def agree(
    ctx: typer.Context,
    sign: Annotated[str, typer.Argument(help="The sign, as you would say it.")],
    first: Annotated[str, typer.Argument(help="An examiner, or a day (2026-03-12).")],
    second: Annotated[str, typer.Argument(help="The other examiner, or the other day.")],
    region: Annotated[
        list[str] | None, typer.Option(help="The part of the body; repeat it for more than one.")
    ] = None,
    weights: Annotated[
        Literal["none", "linear", "quadratic"] | None,
        typer.Option(help="Compare grades 0 to 3, and how much a near miss counts. Without it: there or not."),
    ] = None,
    within: Annotated[
        int, typer.Option(min=0, metavar="DAYS", help="Two examiners' looks at most so many days apart.")
    ] = 1,
    as_json: AsJson = False,
) -> None:
    """Say how far two examiners, or two days, agree on a sign: Cohen's kappa."""
    from dictate.flock.agreement import agreement_of_pairs
    from dictate.flock.two_looks import GRADES, pairs_of_days, pairs_of_examiners

    vocabulary = given(ctx).vocabulary()
    name, regions = sign_and_regions(sign, region, vocabulary)
    days, graded = (_day(first), _day(second)), weights is not None
    if (days[0] is None) != (days[1] is None):
        raise UsageError("comparing", f'"{first}" and "{second}"', "one is a day and the other is not")
    with given(ctx).flock_log() as log:
        if days[0] is not None and days[1] is not None:
            found = pairs_of_days(log.exams(), days[0], days[1], sign=name, regions=regions, graded=graded)
        else:
            found = pairs_of_examiners(
                log.exams(), first, second, sign=name, regions=regions, within=within, graded=graded
            )
    result = agreement_of_pairs(found.pairs, GRADES if graded else GRADES[:2], weights=weights or "none")
    if as_json:
        print_json({"sign": name, "regions": regions, "graded": graded, **asdict(result),
                    "one_only": found.one_only, "ungraded": found.ungraded})
        return
    for line in _lines(name, regions, (first, second), result, found, graded):
        typer.echo(line)


def _day(text: str) -> date | None:
    try:
        return datetime.strptime(text, "%Y-%m-%d").date()
    except ValueError:
        return None


def _lines(
    sign: str, regions: list[str], between: tuple[str, str], result: Agreement, found: Pairs, graded: bool
) -> list[str]:
    what = f"{sign} ({', '.join(regions)}), {'grades 0 to 3' if graded else 'there or not'}"
    head = f"{what}, {between[0]} and {between[1]}: {result.birds} birds looked at twice"
    lines = [f"{head}."]
    if result.agreed is not None:
        lines = [f"{head}, {result.agreed:.0%} given the same."]
    if result.kappa is None:
        lines.append(f"Kappa is undefined: {result.why}.")
    else:
        how: Any = "each miss counts the same" if result.weights == "none" else f"{result.weights} weights"
        lines.append(
            f"Kappa {result.kappa:.2f} ({how}; {result.confidence:.0%} interval {result.low:.2f} to {result.high:.2f})."
        )
    if found.one_only:
        lines.append(f"  {found.one_only} birds only one of the two looked at, not counted")
    if found.ungraded:
        lines.append(f"  {found.ungraded} birds with the sign only perhaps, or without a grade, not counted")
    return lines
