"""`dictate photo`: photos kept with an exam or a finding."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from dictate.cli.ending import Faults, tell_check
from dictate.cli.given import given
from dictate.cli.options import AsJson, OnDate, new_app, print_json
from dictate.cli.who import find_bird
from dictate.errors import DictateError, NotFoundError, UsageError
from dictate.model import Finding
from dictate.review.wording import finding_words

if TYPE_CHECKING:
    from datetime import date

    from dictate.log import FlockLog
    from dictate.record import Item, StoredExam
    from dictate.vocabulary import Vocabulary

app = new_app(no_args_is_help=True)


@app.callback()
def photo() -> None:
    """Keep photos with an exam or a finding. Nothing in a picture is looked at or understood."""


@app.command()
def add(
    ctx: typer.Context,
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Photos.")],
    bird: Annotated[str | None, typer.Option(metavar="BIRD", help="Whose exam, by band or name.")] = None,
    part: Annotated[
        str | None, typer.Option(metavar="WORDS", help='Which finding: its part, as you say it ("left foot pad").')
    ] = None,
    on: OnDate = None,
    at: Annotated[
        datetime | None,
        typer.Option(metavar="TIME", formats=["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M"],
                     help="When it was taken (2026-03-12 16:40), where the file does not say."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Copy photos beside the log, each with the exam it belongs to.

    With --bird: her exam of that day (--on DATE), else her last one. Without: the exam and the finding
    that were being spoken of when it was taken.
    """
    vocabulary = given(ctx).vocabulary()
    faults, done = Faults(), []
    with given(ctx).flock_log() as log:
        for path in files:
            try:
                done.append(_add(log, vocabulary, path, bird, part, on.date() if on else None, at))
            except DictateError as error:
                faults.tell(error)
    if as_json:
        print_json({"photos": done, "refused": faults.count})
    else:
        for row in done:
            known = "" if row["new"] else " (it was there already)"
            about = f", {row['finding']}" if row["finding"] else ""
            typer.echo(f"{row['name']}: {row['bird']}, {row['date'] or 'no day known'}{about}{known}. {row['why']}.")
    faults.leave(len(done))


def _add(
    log: FlockLog, vocabulary: Vocabulary, path: Path, who: str | None, part: str | None, on: date | None,
    at: datetime | None,
) -> dict[str, Any]:
    from dictate.intake.photos import place_of, taken_at

    read = (at, "--at") if at else taken_at(path)
    taken = read[0] if read else None
    finding: Item | None
    if who is not None:
        exam = _exam_of(log, who, on)
        finding, why = _finding_of(exam, part, vocabulary), "By hand"
    else:
        if taken is None:
            raise UsageError(
                "placing the photo", str(path), "neither the picture nor its name says when it was taken",
                "Say whose it is with --bird, or when with --at.",
            )
        place = place_of(taken, log.recordings(), log.exams(statuses=("draft", "confirmed")))
        if place is None:
            raise NotFoundError(
                "placing the photo", str(path), f"no exam was under way at {taken:%Y-%m-%d %H:%M} ({read[1]})"
                if read else "", "Say whose it is with --bird.",
            )
        exam, finding = place.exam, place.finding
        why = f"By time: {place.why}" + (f" (by {read[1]})" if read else "")
        if part is not None:
            finding = _finding_of(exam, part, vocabulary)
    kept, new = log.keep_photo(path, exam.id, finding.id if finding else None, taken=taken)
    value = finding.value if finding else None
    return {
        "name": path.name, "path": kept.path, "sha256": kept.sha256, "bird": exam.bird.label, "date": exam.on,
        "exam": exam.id, "finding": finding_words(value) if isinstance(value, Finding) else None,
        "taken": taken, "why": why, "new": new,
    }


def _exam_of(log: FlockLog, who: str, on: date | None) -> StoredExam:
    """Her exam of a day, or her last one; drafts too. Raises NotFoundError or UsageError."""
    bird = find_bird(log, who, on)
    marks = {bird.name and bird.name.casefold(), *(band.mark.casefold() for band in bird.bands)} - {None}
    found = [
        exam for exam in log.exams(statuses=("draft", "confirmed"))
        if exam.bird_id == bird.id
        or (exam.bird_id is None and {(exam.bird.name or "").casefold(), (exam.bird.band or "").casefold()} & marks)
    ]
    if on is not None:
        found = [exam for exam in found if exam.on == on]
    if not found:
        day = f" of {on}" if on else ""
        raise NotFoundError("looking for the exam", bird.label, f"there is no exam{day} of her in the log")
    last = max((exam.on for exam in found if exam.on is not None), default=None)
    latest = [exam for exam in found if exam.on == last]
    if len(latest) > 1 and len({exam.at for exam in latest}) < len(latest):
        raise UsageError("looking for the exam", bird.label, f"there are {len(latest)} of {last}", "Use --at.")
    return max(latest, key=lambda exam: str(exam.at))


def _finding_of(exam: StoredExam, part: str | None, vocabulary: Vocabulary) -> Item | None:
    """The finding of an exam on the part that was typed, side and all. Raises UsageError."""
    if part is None:
        return None
    from dictate.extraction import extract_text

    # Read as a finding, so that a part is named here as in an exam.
    heard = [f for e in extract_text(f"{part} normal", vocabulary).exams for f in e.findings]
    regions = {f.region for f in heard}
    sides = {f.side for f in heard} - {None}
    fits = [
        item for item in exam.items
        if item.stands and isinstance(item.value, Finding) and item.value.region in regions
        and (not sides or item.value.side in sides or item.value.side in ("both", None))
    ]
    present = [i for i in fits if isinstance(i.value, Finding) and i.value.presence == "present"]
    fits = present if len(present) == 1 else fits
    if len(fits) != 1:
        what = [finding_words(i.value) for i in exam.items if i.stands and isinstance(i.value, Finding)]
        found = "no finding of that exam is on it" if not fits else f"{len(fits)} findings are on it"
        raise UsageError("looking for the finding", f'"{part}"', found, f"It has: {'; '.join(what)}.")
    return fits[0]


@app.command(name="list")
def list_photos(
    ctx: typer.Context,
    who: Annotated[str | None, typer.Argument(metavar="BIRD", help="Only hers.")] = None,
    as_json: AsJson = False,
) -> None:
    """List the photos that are kept."""
    with given(ctx).flock_log() as log:
        bird = find_bird(log, who, None) if who else None
        rows: list[dict[str, Any]] = [
            {"name": photo.name, "bird": exam.bird.label, "date": exam.on, "taken": photo.taken, "path": photo.path,
             "finding": _about(exam, photo.finding_id), "exam": exam.id, "sha256": photo.sha256, "id": photo.id}
            for exam in log.exams(statuses=("draft", "confirmed")) if bird is None or exam.bird_id == bird.id
            for photo in exam.photos
        ]
    if as_json:
        print_json({"photos": rows})
    elif rows:
        for row in rows:
            about = f", {row['finding']}" if row["finding"] else ""
            typer.echo(f"{row['name']} ({row['id'][-6:]}): {row['bird']}, {row['date'] or 'no day known'}{about}")
            typer.echo(f"    {row['path']}")
    else:
        typer.echo("No photo is kept.")


def _about(exam: StoredExam, finding_id: str | None) -> str | None:
    item = exam.item(finding_id) if finding_id else None
    return finding_words(item.value) if item and isinstance(item.value, Finding) else None


@app.command()
def check(ctx: typer.Context) -> None:
    """Check that every photo is there and is as it was when it was kept."""
    with given(ctx).flock_log() as log:
        count, faults = log.check_photos()
    tell_check(faults, f"{count} photos, {len(faults)} missing or changed.")


@app.command()
def remove(
    ctx: typer.Context,
    part: Annotated[str, typer.Argument(metavar="ID", help="The last letters of its id, as the list shows.")],
) -> None:
    """Show a photo no more. Its file stays."""
    with given(ctx).flock_log() as log:
        fits = [
            p.id for exam in log.exams(statuses=("draft", "confirmed")) for p in exam.photos if p.id.endswith(part)
        ]
        if len(fits) != 1:
            raise UsageError("removing a photo", part, "no photo has it" if not fits else "more than one has it")
        log.withdraw_photo(fits[0])
    typer.echo("It is shown no more.")
