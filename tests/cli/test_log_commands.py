"""bird, due, flock and export over a small log made by hand."""

from __future__ import annotations

import csv
import io
import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from dictate.cli.main import app
from dictate.log import FlockLog
from dictate.model import Action, Bird, Draft, Exam, Finding, Measurement

runner = CliRunner()


def scales(side: str | None = "left", presence: str = "present", **more: Any) -> Finding:
    facts: dict[str, Any] = {"side": side, "presence": presence, "quote": "scaly", "verdict": "sure"} | more
    return Finding("shank", "raised scales", **facts)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Three birds on two days: one with raised scales on both, one without, one not looked at for it."""
    path = tmp_path / "flock.db"
    days = {
        date(2026, 3, 7): [
            Exam(Bird("blue 42", "Clover", "hen", verdict="sure"), (scales(),),
                 (Measurement("weight", 2100, "g", verdict="sure"),),
                 (Action("recheck", 14, quote="look again in two weeks", verdict="sure"),
                  Action("withhold", 7, quote="no eggs for a week", verdict="sure"))),
            Exam(Bird("red 7", verdict="sure"), (scales(None, "absent"),)),
            Exam(Bird("green 3", verdict="sure"), (Finding("comb", "normal", verdict="sure"),)),
        ],
        date(2026, 4, 4): [Exam(Bird("blue 42", verdict="sure"), (scales(grade=1),))],
    }
    with FlockLog.open(path) as log:
        for day, exams in days.items():
            for exam_id in log.save_draft(Draft("words", tuple(exams)), on=day):
                log.confirm_exam(exam_id)
        unchecked = Exam(Bird("red 7", verdict="sure"), (scales(),))
        log.save_draft(Draft("more words", (unchecked,)), on=date(2026, 4, 5))
    return path


def run(path: Path, *arguments: str) -> Result:
    return runner.invoke(app, ["--log", str(path), *arguments])


def table(path: Path, *arguments: str) -> Any:
    result = run(path, *arguments, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_a_bird_by_band_and_by_name_is_the_same(path: Path) -> None:
    by_band, by_name = table(path, "bird", "Blue 42"), table(path, "bird", "clover")
    assert by_band == by_name
    assert [exam["date"] for exam in by_band["exams"]] == ["2026-03-07", "2026-04-04"]
    assert by_band["exams"][1]["findings"][0]["grade"] == 1


def test_history_as_a_table(path: Path) -> None:
    result = run(path, "bird", "blue 42", "--words", "--on", "2026-04-30")
    assert result.exit_code == 0
    for words in ("Clover (blue 42), hen", "2026-03-07", "left shank: raised scales", "weight: 2100 g"):
        assert words in result.stdout
    assert "recheck, 14 days" in result.stdout


def test_a_bird_that_nobody_knows(path: Path) -> None:
    result = run(path, "bird", "white 99")
    assert result.exit_code == 2
    assert "white 99" in result.stderr


def test_a_new_bird_is_listed_and_one_that_left_is_told(path: Path) -> None:
    facts = ("--sex", "hen", "--pen", "2", "--hatched", "2025-04-01")
    assert run(path, "bird", "white 5", "--new", *facts).exit_code == 0
    sold = ("--name", "Nettle", "--left", "sold", "--on", "2026-04-01")
    assert run(path, "bird", "white 5", *sold).exit_code == 0
    birds = {bird["band"]: bird for bird in table(path, "bird")["birds"]}
    assert (birds["white 5"]["name"], birds["white 5"]["left_how"]) == ("Nettle", "sold")
    assert birds["white 5"]["hatched"] == "2025-04-01"
    assert "sold 2026-04-01" in run(path, "bird").stdout


def test_changing_without_saying_whom_is_refused(path: Path) -> None:
    assert run(path, "bird", "--sex", "hen").exit_code == 2


@pytest.mark.parametrize(
    ("on", "due"), [("2026-03-20", []), ("2026-03-21", ["Clover (blue 42)"]), ("2026-04-10", [])]
)
def test_due_on_a_day(path: Path, on: str, due: list[str]) -> None:
    assert [look["bird"] for look in table(path, "due", "--on", on)["due"]] == due


def test_due_says_what_to_look_at_and_what_is_held_back(path: Path) -> None:
    result = run(path, "due", "--on", "2026-03-14", "--within", "30")
    assert result.exit_code == 0
    for words in ("in 7 days", "shank", "look again in two weeks", "hold until 2026-03-14", "your vet"):
        assert words in result.stdout
    assert "Nothing is due" in run(path, "due", "--on", "2026-03-16").stdout


def test_prevalence_counts_those_examined_for_it(path: Path) -> None:
    found = table(path, "flock", "scaly leg", "--on", "2026-04-30")
    assert (found["sign"], found["regions"], found["positive"], found["examined"]) == (
        "raised scales", ["shank"], 1, 2,
    )
    assert found["not_examined"] == 1
    assert found["positive_birds"] == ["Clover (blue 42)"]
    said = run(path, "flock", "raised scales", "--on", "2026-04-30").stdout
    assert "1 of 2 birds examined for it (50%; 95 % interval 9% to 91%)" in said


def test_a_sign_that_may_be_anywhere_needs_its_region(path: Path) -> None:
    result = run(path, "flock", "swelling")
    assert result.exit_code == 2
    assert "--region" in result.stderr
    assert table(path, "flock", "swelling", "--region", "eyes")["examined"] == 0


def test_a_word_that_is_no_sign(path: Path) -> None:
    result = run(path, "flock", "happiness")
    assert result.exit_code == 2
    assert "happiness" in result.stderr


def test_export_gives_confirmed_exams_and_more_where_asked(path: Path) -> None:
    rows = [json.loads(line) for line in run(path, "export", "exams").stdout.splitlines()]
    assert [(row["date"], row["bird"]["band"], row["status"]) for row in rows] == [
        ("2026-03-07", "blue 42", "confirmed"), ("2026-03-07", "red 7", "confirmed"),
        ("2026-03-07", "green 3", "confirmed"), ("2026-04-04", "blue 42", "confirmed"),
    ]
    assert {"findings", "measurements", "actions", "rest_normal", "source", "date_problem"} <= set(rows[0])
    more = run(path, "export", "exams", "--status", "confirmed", "--status", "draft").stdout.splitlines()
    assert len(more) == 5
    assert json.loads(more[-1])["status"] == "draft"


def test_export_as_a_table(path: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(run(path, "export", "exams", "--format", "csv").stdout)))
    assert rows
    assert any("blue 42" in str(row) for row in rows)


@pytest.mark.parametrize(
    "command", [["bird"], ["due"], ["flock", "raised scales"], ["export", "exams"], ["review"]]
)
def test_a_log_that_is_not_there_is_a_sentence(tmp_path: Path, command: list[str]) -> None:
    result = run(tmp_path / "nowhere.db", *command)
    assert result.exit_code == 2
    assert "nowhere.db" in result.stderr
    assert not (tmp_path / "nowhere.db").exists()


def test_a_file_that_is_no_log_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "flock.db").write_text("this is not a log at all, but a text of some length" * 50)
    result = run(tmp_path / "flock.db", "due")
    assert result.exit_code == 2
    assert "flock.db" in result.stderr
