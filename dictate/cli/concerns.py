"""`dictate concerns`: what should be watched, shown to a vet, or told to the authority."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date, time, timedelta
from textwrap import fill
from typing import TYPE_CHECKING, Any

import typer

from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, day, new_app, print_json
from dictate.review.wording import printable

if TYPE_CHECKING:
    from dictate.care.cautions import Caution
    from dictate.care.concerns import Concern, Concerns
    from dictate.care.reasons import Evidence
    from dictate.log import FlockLog
    from dictate.record import StoredExam
    from dictate.settings import Settings

app = new_app()


@app.command()
def concerns(
    ctx: typer.Context,
    on: OnDate = None,
    as_json: AsJson = False,
) -> None:
    """Say what should be watched, shown to a vet, or told to the authority.

    Judged from confirmed records only, by published lists of signs. It does not say what ails a bird,
    and nothing here is a reason to wait where you are worried.
    """
    from dictate.care.cautions import cautions_for

    today, settings = day(on), given(ctx).settings
    with given(ctx).flock_log() as log:
        exams, found = _judged(log, today)
        if found.asks and not as_json and sys.stdin.isatty() and sys.stdout.isatty() and _ask(log, found):
            exams, found = _judged(log, today)
        waiting = _waiting(log, today)
    levels = {one.level for one in found.concerns}
    of_today = [exam.confirmed for exam in exams if exam.on == today and exam.kind == "live"]
    cautions = cautions_for(of_today, levels=levels, named=[name for one in found.concerns for name in one.cautions])
    if as_json:
        print_json(_record(found, cautions) | {"not_confirmed": waiting})
        return
    _print(found, cautions, settings)
    if waiting:
        typer.echo(f"\n{waiting} drafts of the last days are not confirmed and not counted here: dictate review")


def _judged(log: FlockLog, today: date) -> tuple[list[StoredExam], Concerns]:
    """The exams that may count on a day, and what is of concern in them."""
    from dictate.care.concern_rules import concern_rules
    from dictate.care.concerns import concerns as judge

    exams = list(log.exams(since=today - timedelta(days=concern_rules().days.weights), until=today))
    found = judge(exams, log.birds(), log.observations(), today)
    return exams, replace(found, undated=found.undated + log.undated_exams())


def _waiting(log: FlockLog, today: date) -> int:
    """Drafts, of birds and of pens, that might be of concern once they are confirmed."""
    from dictate.care.concern_rules import concern_rules

    since = today - timedelta(days=concern_rules().days.bird)
    return sum(1 for _ in log.exams(statuses=("draft",), since=since, until=today)) + len(
        log.observations(statuses=("draft",), since=since, until=today)
    )


def _ask(log: FlockLog, found: Concerns) -> bool:
    """Ask for the time of exams that cannot be judged without; whether one was given."""
    given_one = False
    for ask in found.asks:
        typer.echo(f"{ask.bird}: {ask.text}")
        answer = typer.prompt("Time, as 7:30 (Enter: not known)", default="", show_default=False).strip()
        moment = _time(answer)
        if answer and moment is None:
            typer.echo(f'"{answer}" is not a time of day; it is left open.')
        if moment is not None:
            log.amend_exam(ask.exam_id, {"at": moment}, reason="asked: time of day")
            given_one = True
    return given_one


def _time(answer: str) -> time | None:
    hour, _, minute = answer.replace(".", ":").partition(":")
    try:
        return time(int(hour), int(minute or 0))
    except ValueError:
        return None


# ---- for programs


def _record(found: Concerns, cautions: list[Caution]) -> dict[str, Any]:
    return {
        "on": found.on,
        "concerns": [_row(one, found) for one in found.concerns],
        "asks": [
            {"bird": ask.bird, "bird_id": ask.bird_id, "exam": ask.exam_id, "date": ask.on, "text": ask.text}
            for ask in found.asks
        ],
        "cautions": [{"id": one.id, "text": one.text} for one in cautions],
        "undated": found.undated,
    }


def _row(one: Concern, found: Concerns) -> dict[str, Any]:
    return {
        "bird": one.bird, "bird_id": one.bird_id, "pen": one.pen, "level": one.level,
        "signs": [evidence.what for evidence in one.evidence],
        "why": "; ".join(dict.fromkeys(reason.why for reason in one.reasons)),
        "source": found.rules.sources(name for reason in one.reasons for name in reason.source),
        "reasons": [
            {
                "level": reason.level, "why": reason.why, "source": found.rules.sources(reason.source),
                "evidence": [
                    {"date": e.on, "what": e.what, "quote": e.quote, "bird": e.bird} for e in reason.evidence
                ],
            }
            for reason in one.reasons
        ],
    }


# ---- for people


def _print(found: Concerns, cautions: list[Caution], settings: Settings) -> None:
    if not found.concerns:
        typer.echo(f"Nothing confirmed up to {found.on} is of concern by the lists in use.")
    for number, level in enumerate(dict.fromkeys(one.level for one in found.concerns)):
        text = found.rules.level[level]
        typer.echo(("\n" if number else "") + f"{text.title.upper()}")
        _say(text.advice, 2)
        for line in _numbers(text.phones, settings):
            typer.echo(f"  {line}")
        for one in found.concerns:
            if one.level == level:
                (_print_one if text.phones else _print_line)(one, found)
    for ask in found.asks:
        typer.echo()
        _say(f"To be asked: {printable(ask.bird)}: {ask.text}", 0)
    if cautions:
        typer.echo("\nCautions")
        for caution in cautions:
            _say(f"- {caution.text}", 2, 2)
    if found.undated:
        typer.echo(f"\n{found.undated} confirmed records without a day are not counted: see dictate review.")
    if found.concerns:
        _print_sources(found)
        typer.echo("\nThis says what to look at and whom to call. It does not say what it is.")


def _say(text: str, indent: int, more: int = 0) -> None:
    """A text of several lines, no wider than is easily read."""
    typer.echo(fill(text, 100, initial_indent=" " * indent, subsequent_indent=" " * (indent + more)))


def _print_sources(found: Concerns) -> None:
    used = dict.fromkeys(name for one in found.concerns for reason in one.reasons for name in reason.source)
    typer.echo("\nSources")
    for name in used:
        _say(f"{name}: {found.rules.sources([name])}", 2, 2)


def _numbers(phones: tuple[str, ...], settings: Settings) -> list[str]:
    """The user's own numbers; where none is set, how to set it."""
    numbers = {"vet": settings.vet_phone, "authority": settings.authority_phone}
    return [
        f"Your {who}: {printable(numbers[who])}" if numbers[who]
        else f"No number of your {who} is set: put {who}_phone into your settings."
        for who in phones
    ]


def _print_one(one: Concern, found: Concerns) -> None:
    pen = f"  ({printable(one.pen)})" if one.bird and one.pen else ""
    typer.echo(f"\n  {printable(one.label)}{pen}")
    for reason in one.reasons:
        lower = "" if reason.level == one.level else f"  [{found.rules.level[reason.level].title}]"
        _say(f"{reason.why[:1].upper()}{reason.why[1:]}.{lower}  (by {', '.join(reason.source)})", 4)
        for line in (_evidence_line(evidence, one) for evidence in reason.evidence):
            typer.echo(f"      {line}")


def _print_line(one: Concern, found: Concerns) -> None:
    """What is only watched, in short: such birds may be many."""
    pen = f" ({printable(one.pen)})" if one.bird and one.pen else ""
    said = "; ".join(dict.fromkeys(f"{e.on} {e.what}" for e in one.evidence))
    typer.echo()
    _say(f"{printable(one.label)}{pen}: {printable(said)}", 2, 4)
    for reason in one.reasons:
        _say(f"{reason.why}  (by {', '.join(reason.source)})", 4, 2)


def _evidence_line(evidence: Evidence, one: Concern) -> str:
    who = f"{evidence.bird}: " if evidence.bird and not one.bird else ""
    quote = f'  "{evidence.quote}"' if evidence.quote else ""
    return printable(f"{evidence.on}  {who}{evidence.what}{quote}")
