"""agree: kappa of two examiners, and of two days, from the log."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from dictate.cli.main import app
from dictate.log import FlockLog
from dictate.model import Bird, Draft, Exam, Finding

runner = CliRunner()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Ten birds seen by Ann and by Bob on one day: both see the sign in four, Ann alone in one, none in five."""
    path = tmp_path / "flock.db"
    with FlockLog.open(path) as log, log.transaction():
        for number in range(10):
            for who, present in (("Ann", number < 5), ("Bob", number < 4)):
                sign = Finding("foot pad", "bumblefoot", "left", grade=1) if present else Finding("foot pad", "normal")
                exam = Exam(Bird(f"blue {number}"), (sign,))
                (exam_id,) = log.save_draft(Draft(f"{who} {number}", (exam,)), on=date(2026, 5, 10), examiner=who)
                log.confirm_exam(exam_id)
    return path


def run(path: Path, *arguments: str) -> Result:
    return runner.invoke(app, ["--log", str(path), "agree", *arguments])


def test_kappa_of_two_examiners(path: Path) -> None:
    result = run(path, "bumblefoot", "Ann", "Bob", "--json")
    found: Any = json.loads(result.stdout)
    # agreed .9; by chance .5 · .4 + .5 · .6 = .5; (.9 - .5) / (1 - .5)
    assert (found["birds"], found["agreed"]) == (10, pytest.approx(0.9))
    assert found["kappa"] == pytest.approx(0.8)
    assert "Kappa 0.80" in run(path, "bumblefoot", "Ann", "Bob").stdout
    assert "linear weights" in run(path, "bumblefoot", "Ann", "Bob", "--weights", "linear").stdout


def test_without_pairs_it_is_undefined(path: Path) -> None:
    shown = run(path, "bumblefoot", "2026-05-10", "2026-05-11").stdout
    assert "Kappa is undefined: no bird was looked at twice." in shown
    assert "10 birds only one" in shown


def test_a_day_and_a_name_cannot_be_compared(path: Path) -> None:
    result = run(path, "bumblefoot", "Ann", "2026-05-10")
    assert result.exit_code == 2
    assert "one is a day" in result.stderr
