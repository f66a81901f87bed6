"""plan: how many, which, and in which order."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from dictate.cli.main import app
from dictate.log import FlockLog
from dictate.model import Action, Bird, Draft, Exam, Finding

runner = CliRunner()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Twelve birds in two pens; one in quarantine, one with a concern, one due."""
    path = tmp_path / "flock.db"
    with FlockLog.open(path) as log:
        ids = [log.register_bird(band=f"blue {n}", pen="Barn" if n <= 6 else "Orchard") for n in range(1, 13)]
        log.add_event(ids[0], "quarantine", date(2026, 5, 1), until=date(2026, 5, 31))
        for band, exam in (
            ("blue 2", Exam(Bird("blue 2"), (Finding("vent", "prolapse"),))),
            ("blue 9", Exam(Bird("blue 9"), (Finding("comb", "normal"),), (), (Action("recheck", 3, quote="again"),))),
        ):
            assert exam.bird.band == band
            (exam_id,) = log.save_draft(Draft(band, (exam,)), on=date(2026, 5, 6))
            log.confirm_exam(exam_id)
    return path


def run(path: Path, *arguments: str) -> Result:
    return runner.invoke(app, ["--log", str(path), "plan", *arguments, "--on", "2026-05-10"])


def answer(path: Path, *arguments: str) -> Any:
    result = run(path, *arguments, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_without_a_question_it_is_one_in_ten_of_the_register(path: Path) -> None:
    found = answer(path)
    assert (found["flock"], found["in_birds"], found["examine"]) == (12, 2, 9)  # 1 - C(10,9)/C(12,9) = .955


def test_figures_need_no_log(tmp_path: Path) -> None:
    missing = tmp_path / "none.db"
    assert answer(missing, "--flock", "100", "--in-birds", "1")["examine"] == 95
    assert answer(missing, "--flock", "50", "--in-percent", "10")["examine"] == 22
    assert answer(missing, "--flock", "50", "--none-in", "22")["at_most"] == 4
    assert answer(missing, "--flock", "1000", "--margin", "5")["examine"] == 278
    assert "Not even all 10 birds" in run(missing, "--flock", "10", "--in-birds", "1", "--finds", "90").stdout
    assert not missing.exists()


def test_birds_are_drawn_and_the_quarantine_comes_last(path: Path) -> None:
    drawn = answer(path, "--in-birds", "1", "--sure", "99", "--draw", "--seed", "3")["draw"]
    assert [(stop["pen"], stop["state"]) for stop in drawn["stops"]] == [
        ("Orchard", "well"), ("Barn", "sick"), ("Barn", "quarantine"),
    ]
    assert [b["bird"] for b in drawn["stops"][2]["birds"]] == ["blue 1"]
    assert drawn["stops"][1]["birds"][-1]["bird"] == "blue 2"
    assert drawn == answer(path, "--in-birds", "1", "--sure", "99", "--draw", "--seed", "3")["draw"]


def test_the_list_can_be_taken_along(path: Path) -> None:
    shown = run(path, "--draw", "--seed", "3").stdout
    assert shown.count("[ ] blue") == 9
    assert "--seed 3" in shown
    assert shown.count("Wash your hands") >= 2


def test_due_birds_first_and_said_to_be_no_chance(path: Path) -> None:
    shown = run(path, "--in-birds", "6", "--due-first").stdout
    assert "blue 9" in shown
    assert "Not by chance" in shown


def test_two_questions_at_once_and_an_empty_pen_are_told(path: Path) -> None:
    assert run(path, "--in-birds", "1", "--margin", "5").exit_code == 2
    result = run(path, "--pen", "Attic")
    assert result.exit_code == 2
    assert "Attic" in result.stderr
