"""Exams as lines for other programs: JSON Lines by the contract of `dictate export exams`, and CSV."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Sequence
from typing import Any, Literal

from dictate.errors import UsageError
from dictate.log.database import Database
from dictate.log.reading import exams
from dictate.model import Bird, Exam, Finding, Measurement, exam_record
from dictate.record import Item, ItemStatus, Status, StoredExam

__all__ = ["COLUMNS", "export_exams"]

# What of an exam each asked-for status brings.
_ITEM_STATUSES: dict[Status, tuple[ItemStatus, ...]] = {
    "draft": ("draft",),
    "confirmed": ("confirmed",),
    "withdrawn": ("withdrawn",),
}

COLUMNS = (
    "exam", "status", "date", "time", "date_problem", "kind", "examiner", "bird_id", "band", "name", "sex",
    "rest_normal", "item", "item_status", "region", "side", "sign", "presence", "grade", "certainty", "when",
    "measurement", "value", "unit", "of", "low", "high", "approximate", "former", "scheme",
    "action", "in_days", "detail", "quote", "verdict", "start", "end", "file", "line",
)


def export_exams(
    db: Database, form: Literal["jsonl", "csv"] = "jsonl", statuses: Sequence[Status] = ("confirmed",)
) -> Iterator[str]:
    unknown = [status for status in statuses if status not in _ITEM_STATUSES]
    if unknown or not statuses:
        raise UsageError(
            "exporting exams", found=f"there is no status {', '.join(map(repr, unknown)) or 'given'}",
            remedy="It may be one or more of: draft, confirmed, withdrawn.",
        )
    if form not in ("jsonl", "csv"):
        raise UsageError(
            "exporting exams", found=f"there is no format {form!r}", remedy="It may be jsonl or csv."
        )
    return _csv(db, statuses) if form == "csv" else _jsonl(db, statuses)


def _jsonl(db: Database, statuses: Sequence[Status]) -> Iterator[str]:
    for stored in exams(db, statuses=statuses):
        yield json.dumps(record(stored, statuses), ensure_ascii=False) + "\n"


def record(stored: StoredExam, statuses: Sequence[Status]) -> dict[str, Any]:
    """One exam by the contract, with keys of our own behind those it asks for."""
    chosen = _chosen(stored, statuses)
    row: dict[str, Any] = {
        "date": stored.on.isoformat() if stored.on else None,
        "date_problem": stored.date_problem,
        **exam_record(_exam_of(stored, chosen, statuses)),
        "source": {"file": stored.source.file, "line": stored.source.line},
        "status": _status(stored, statuses),
        "id": stored.id,
        "bird_id": stored.bird_id,
        "kind": stored.kind,
        "time": stored.at.isoformat() if stored.at else None,
        "examiner": stored.examiner,
    }
    if stored.photos:
        findings = {item.id: place for place, item in enumerate(i for i in chosen if i.kind == "finding")}
        row["photos"] = [
            {"file": p.path, "sha256": p.sha256, "name": p.name, "finding": findings.get(p.finding_id or "")}
            for p in stored.photos
        ]
    row.pop("questions", None)
    for key, kind in (("findings", "finding"), ("measurements", "measurement"), ("actions", "action")):
        for item_row, item in zip(row[key], [i for i in chosen if i.kind == kind], strict=True):
            item_row["status"] = item.status
    if stored.status == "withdrawn":
        row["withdrawn_why"] = stored.withdrawn_why
    return row


def _chosen(stored: StoredExam, statuses: Sequence[Status]) -> list[Item]:
    """The items that go out: those of a withdrawn exam all, as they stood."""
    if stored.status == "withdrawn":
        return [item for item in stored.items if item.stands]
    allowed = {status for asked in statuses for status in _ITEM_STATUSES[asked]}
    return [item for item in stored.items if item.status in allowed]


def _status(stored: StoredExam, statuses: Sequence[Status]) -> Status:
    """A draft of which a part is confirmed goes out as confirmed where only that part does."""
    return "confirmed" if stored.status == "draft" and "draft" not in statuses else stored.status


def _exam_of(stored: StoredExam, chosen: Sequence[Item], statuses: Sequence[Status]) -> Exam:
    values = [item.value for item in chosen]
    only_confirmed = stored.status == "draft" and "draft" not in statuses
    return Exam(
        bird=Bird() if only_confirmed and stored.bird_status == "draft" else stored.bird,
        findings=tuple(v for v in values if isinstance(v, Finding)),
        measurements=tuple(v for v in values if isinstance(v, Measurement)),
        actions=tuple(v for v in values if not isinstance(v, (Finding, Measurement))),
        rest_normal=stored.rest_normal and not only_confirmed,
        span=stored.span,
    )


def _csv(db: Database, statuses: Sequence[Status]) -> Iterator[str]:
    """One row per finding, measurement or action; an exam without any has one row too."""
    line = io.StringIO()
    writer = csv.DictWriter(line, COLUMNS, lineterminator="\r\n")

    def taken() -> str:
        text = line.getvalue()
        line.seek(0)
        line.truncate()
        return text

    writer.writeheader()
    yield taken()
    for stored in exams(db, statuses=statuses):
        for row in _csv_rows(record(stored, statuses)):
            writer.writerow({name: _safe(value) for name, value in row.items()})
            yield taken()


def _csv_rows(row: dict[str, Any]) -> Iterator[dict[str, Any]]:
    exam = {
        "exam": row["id"], "status": row["status"], "date": row["date"], "time": row["time"],
        "date_problem": row["date_problem"], "kind": row["kind"], "examiner": row["examiner"],
        "bird_id": row["bird_id"], **{name: row["bird"][name] for name in ("band", "name", "sex")},
        "rest_normal": row["rest_normal"], **row["source"],
    }
    items = [
        ("finding", {}, row["findings"]),
        ("measurement", {"kind": "measurement"}, row["measurements"]),
        ("action", {"kind": "action"}, row["actions"]),
    ]
    empty = True
    for kind, renamed, rows in items:
        for item in rows:
            empty = False
            named = {renamed.get(name, name): value for name, value in item.items()}
            known = {name: value for name, value in named.items() if name in COLUMNS and name != "status"}
            yield exam | known | {"item": kind, "item_status": item["status"]}
    if empty:
        yield exam


def _safe(value: Any) -> Any:
    """Text that a spreadsheet would take for a formula gets an apostrophe before it."""
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%"):
        return "'" + value
    return "" if value is None else value
