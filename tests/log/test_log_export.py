"""What leaves the log: confirmed things only unless more is asked for, and nothing that runs."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from dictate.errors import UsageError
from dictate.log import FlockLog
from dictate.model import Action, Bird, Draft, Exam, Finding
from dictate.record import Source

Build = Callable[..., Draft]
DAY = date(2031, 5, 1)


def lines(log: FlockLog, *statuses: Any) -> list[dict[str, Any]]:
    return [json.loads(line) for line in log.export_exams(statuses=statuses or ("confirmed",))]


def test_the_line_of_an_exam(log: FlockLog, build: Build) -> None:
    (exam_id,) = log.save_draft(build(), Source("old.txt", 12), on=None, date_problem="30 February 2031")
    log.confirm_exam(exam_id)
    (row,) = lines(log)
    assert list(row)[:9] == [
        "date", "date_problem", "bird", "findings", "measurements", "actions", "rest_normal", "source",
        "status",
    ]
    assert (row["date"], row["date_problem"]) == (None, "30 February 2031")
    assert row["source"] == {"file": "old.txt", "line": 12}
    assert (row["bird"]["band"], row["bird"]["name"], row["bird"]["sex"]) == ("blue 42", None, "hen")
    assert row["measurements"][0]["value"] == 2100


def test_of_a_draft_only_what_is_confirmed_goes_out(log: FlockLog, build: Build) -> None:
    (exam_id,) = log.save_draft(build(), on=DAY)
    assert lines(log) == []
    log.confirm_sure(exam_id)
    (row,) = lines(log)
    assert row["status"] == "confirmed"
    assert [f["sign"] for f in row["findings"]] == ["hardened"]
    assert row["actions"] == []


def test_a_bird_that_is_not_confirmed_does_not_go_out(log: FlockLog, build: Build) -> None:
    (exam_id,) = log.save_draft(build(verdict="ask"), on=DAY)
    log.confirm_sure(exam_id)
    assert [row["bird"]["band"] for row in lines(log)] == [None]
    assert [row["bird"]["band"] for row in lines(log, "draft")] == ["blue 42"]


def test_drafts_and_withdrawn_ones_where_asked_for(log: FlockLog, build: Build) -> None:
    first, second, third = (log.save_draft(build(), on=DAY)[0] for _ in range(3))
    log.confirm_exam(second)
    log.confirm_exam(third)
    log.withdraw(third, "no")
    assert [(row["id"], row["status"]) for row in lines(log, "draft", "confirmed", "withdrawn")] == [
        (first, "draft"), (second, "confirmed"), (third, "withdrawn"),
    ]
    assert [row["id"] for row in lines(log, "withdrawn")] == [third]
    assert lines(log, "withdrawn")[0]["withdrawn_why"] == "no"
    assert len(lines(log, "withdrawn")[0]["findings"]) == 2


def test_a_note_and_a_recording_are_named_as_the_source(log: FlockLog, build: Build) -> None:
    note = log.add_note("words", file="book.txt", line=3, on=DAY)
    recording = log.add_recording("/sound/round.wav")
    log.confirm_exam(*log.save_draft(build(), Source(note=note.id), on=DAY))
    log.confirm_exam(*log.save_draft(build(), Source(recording=recording), on=DAY))
    assert [row["source"] for row in lines(log)] == [
        {"file": "book.txt", "line": 3}, {"file": "/sound/round.wav", "line": None},
    ]


@pytest.mark.parametrize("start", ["=1+1", "+1", "-1", "@a", "\t=1", "\r=1"])
def test_no_cell_of_the_table_is_a_formula(log: FlockLog, start: str) -> None:
    exam = Exam(
        bird=Bird(name=start), findings=(Finding("comb", "pallor", detail=start, quote=start),),
        actions=(Action("other", detail=start),),
    )
    log.confirm_exam(*log.save_draft(Draft(start, (exam,)), Source(start, 1), on=DAY))
    rows = list(csv.DictReader(io.StringIO("".join(log.export_exams("csv")), newline="")))
    assert len(rows) == 2
    assert {rows[0][name] for name in ("name", "detail", "quote", "file")} == {"'" + start}
    assert json.loads(next(log.export_exams()))["bird"]["name"] == start


def test_an_exam_without_items_has_a_row_too(log: FlockLog) -> None:
    log.confirm_exam(*log.save_draft(Draft("fine", (Exam(rest_normal=True),)), on=DAY))
    (row,) = csv.DictReader(io.StringIO("".join(log.export_exams("csv")), newline=""))
    assert (row["rest_normal"], row["item"]) == ("True", "")


@pytest.mark.parametrize(("form", "statuses"), [("xml", ("confirmed",)), ("csv", ("lost",)), ("jsonl", ())])
def test_what_cannot_be_exported_is_told(log: FlockLog, form: Any, statuses: Any) -> None:
    with pytest.raises(UsageError):
        log.export_exams(form, statuses)


def test_many_exams_come_in_their_order(log: FlockLog) -> None:
    with log.transaction():
        exams = tuple(Exam(bird=Bird(band=str(number))) for number in range(601))
        for exam_id in log.save_draft(Draft("said", exams), on=DAY):
            log.confirm_exam(exam_id)
    assert [row["bird"]["band"] for row in lines(log)] == [str(number) for number in range(601)]
