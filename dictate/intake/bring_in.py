"""Entries of old notes → the flock log: understand, keep once, confirm by policy, account for every line."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from dictate.intake.plain_text import Entry, PlainText
from dictate.model import Draft
from dictate.record import ExamKind, Source

if TYPE_CHECKING:
    from dictate.log import FlockLog

__all__ = ["Confirm", "Fate", "Report", "bring_in", "grouped"]

Confirm = Literal["all", "sure", "none"]
PORTION = 50
"""Entries in one transaction: what a kill in the middle can cost is done again at the next run."""


@dataclass(frozen=True, slots=True)
class Fate:
    """What became of a line: "exam" (with the exams' ids), "observation", "nothing understood",
    "in the log already", "blank", "year" or "date"."""

    line: int
    what: str
    exams: tuple[str, ...] = ()
    birds: tuple[str, ...] = ()


@dataclass(slots=True)
class Report:
    """What came of one file."""

    file: str
    lines: int = 0
    entries: int = 0
    exams: int = 0
    observations: int = 0
    confirmed: int = 0
    left_to_check: int = 0
    known_already: int = 0
    nothing_understood: int = 0
    problems: list[tuple[int, str]] = field(default_factory=list)
    fates: list[Fate] = field(default_factory=list, repr=False)


def grouped(read: PlainText, understand: Callable[[str], Draft]) -> Iterator[tuple[Entry, Draft]]:
    """Entries with what was understood; one that names no bird goes on with the one before it
    on the same day, as a note does that has a blank line in it."""
    waiting: tuple[Entry, Draft] | None = None
    for entry in read.entries:
        draft = understand(entry.text)
        if waiting and entry.follows and draft.exams and not draft.exams[0].bird.known and waiting[1].exams:
            joined = waiting[0].joined(entry)
            waiting = joined, understand(joined.text)
            continue
        if waiting:
            yield waiting
        waiting = entry, draft
    if waiting:
        yield waiting


def bring_in(
    read: PlainText,
    log: FlockLog,
    understand: Callable[[str], Draft],
    *,
    confirm: Confirm = "none",
    batch: str | None = None,
    parser: str = "",
    by: str | None = None,
    post_mortem: Callable[[str], bool] | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Report:
    """Bring the entries of a file into the log; an entry that is there already adds nothing.

    `confirm` says what becomes fact at once: everything, what is sure, or nothing.
    `post_mortem` says of an entry's words whether they are of a dead bird. `progress(lines done, lines)` is
    called now and then.
    """
    report = Report(str(read.path), read.count)
    report.fates += [Fate(line, what) for line, what in sorted(read.other_lines.items())]
    portion: list[tuple[Entry, Draft]] = []

    def store() -> None:
        with log.transaction():
            for entry, draft in portion:
                opened = post_mortem is not None and len(draft.exams) == 1 and post_mortem(entry.text)
                kind: ExamKind = "post-mortem" if opened else "live"
                _keep(entry, draft, log, report, confirm, batch, parser, by, kind)
            if confirm == "all" and batch is not None:
                for row in log.observations(statuses=("draft",), batch=batch):
                    log.settle_observation(row.id, "confirmed", reason="import, confirm all")
                    report.confirmed += 1
        if progress and portion:
            progress(portion[-1][0].lines[-1], read.count)
        portion.clear()

    for entry, draft in grouped(read, understand):
        portion.append((entry, draft))
        if len(portion) == PORTION:
            store()
    store()
    report.fates.sort(key=lambda fate: fate.line)
    return report


def _keep(
    entry: Entry, draft: Draft, log: FlockLog, report: Report, confirm: Confirm, batch: str | None,
    parser: str, by: str | None, kind: ExamKind,
) -> None:
    report.entries += 1
    key = _own_key(entry, report.file)
    note = log.add_note(
        entry.text, file=report.file, line=entry.line, on=entry.on, key=key, batch=batch
    )
    if not note.new:
        report.known_already += 1
        _tell(report, entry, "in the log already")
        return
    if entry.date_problem and (draft.exams or draft.observations):
        report.problems.append((entry.line, entry.date_problem))
    if not draft.exams and not draft.observations:
        report.nothing_understood += 1
        _tell(report, entry, "nothing understood")
        return
    exam_ids = log.save_draft(
        draft, Source(file=report.file, line=entry.line, note=note.id), on=entry.on,
        date_problem=entry.date_problem, kind=kind, batch=batch, parser=parser,
    )
    report.exams += len(exam_ids)
    report.observations += len(draft.observations)
    birds = tuple(exam.bird.label for exam in draft.exams)
    _tell(report, entry, "exam" if exam_ids else "observation", exam_ids, birds)
    _confirm(exam_ids, log, report, confirm, by)


def _own_key(entry: Entry, file: str) -> str | None:
    """Two notes without a day are never taken for the same one, unless they are one place of one file."""
    if entry.on is not None:
        return None
    words = " ".join(entry.text.split()).lower()
    place = f"{Path(file).resolve()}\0{entry.line}"
    return hashlib.sha256(f"{place}\0{words}".encode("utf-8", "surrogateescape")).hexdigest()


def _confirm(
    exam_ids: Sequence[str], log: FlockLog, report: Report, confirm: Confirm, by: str | None
) -> None:
    for exam_id in exam_ids:
        if confirm == "none":
            report.left_to_check += sum(item.stands for item in log.exam(exam_id).items)
            continue
        done = (log.confirm_exam if confirm == "all" else log.confirm_sure)(
            exam_id, reason=f"import, confirm {confirm}", by=by
        )
        report.confirmed += done.confirmed
        report.left_to_check += done.left


def _tell(
    report: Report, entry: Entry, what: str, exams: Sequence[str] = (), birds: Sequence[str] = ()
) -> None:
    report.fates += [Fate(line, what, tuple(exams), tuple(birds)) for line in entry.lines]
