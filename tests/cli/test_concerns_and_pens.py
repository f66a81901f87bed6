"""concerns and pen: what a person reads, what a program reads, and what is refused."""

from __future__ import annotations

import json
import shutil
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from dictate.cli.concerns import _ask, _judged
from dictate.cli.main import app
from dictate.log import FlockLog
from dictate.model import Action, Bird, Draft, Exam, Finding

runner = CliRunner()
ON = ("--on", "2026-05-10")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A pen with deaths, read from a note that names one bird of it; and a bird whose crop was full, no hour said."""
    folder = tmp_path_factory.mktemp("pens")
    notes = folder / "notes.txt"
    notes.write_text(
        "2026-05-10\nPen 3: two dead this morning.\n\nBlue 42: her comb is purple. Dusted her.\n\nRed 7: crop full.\n",
        encoding="utf-8",
    )
    path = folder / "flock.db"
    assert run(path, "import", str(notes), "--confirm", "all").exit_code == 0
    return path


@pytest.fixture
def path(made: Path, tmp_path: Path) -> Path:
    """A copy of that log, to be changed."""
    return Path(shutil.copy(made, tmp_path / "flock.db"))


def run(path: Path, *arguments: str, **more: Any) -> Result:
    return runner.invoke(app, ["--log", str(path), *arguments], **more)


def record(path: Path, *arguments: str) -> Any:
    result = run(path, *arguments, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_concerns_for_a_program(path: Path) -> None:
    found = record(path, "concerns", *ON)
    first = found["concerns"][0]
    assert (first["bird"], first["pen"], first["level"]) == (None, "pen 3", "authority")
    assert {"signs", "why", "source"} <= set(first)
    blue = next(row for row in found["concerns"] if row["bird"] == "blue 42")
    assert (blue["level"], blue["signs"]) == ("vet", ["comb: cyanosis"])
    assert blue["reasons"][0]["evidence"][0] == {
        "date": "2026-05-10", "what": "comb: cyanosis", "quote": "comb is purple", "bird": "blue 42",
    }
    assert [ask["bird"] for ask in found["asks"]] == ["red 7"]


def test_concerns_for_a_person(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DICTATE_VET_PHONE", "01234 567")
    shown = run(path, "concerns", *ON).stdout
    assert "Your vet: 01234 567" in shown
    assert "No number of your authority is set" in shown
    assert "does not say what it is" in shown
    assert shown.count("Wash your hands") == 1
    assert "Respirator" in shown, "dusted on the day itself"
    assert '"comb is purple"' in shown
    assert "To be asked: red 7" in shown


def test_review_shows_the_cautions_of_what_it_confirmed_once(tmp_path: Path) -> None:
    path, old = tmp_path / "flock.db", date.today() - timedelta(days=40)
    for day, bird in ((date.today(), "Blue 42"), (date.today(), "Blue 43"), (old, "Blue 44")):
        with FlockLog.open(path) as log:
            dusted = Action("treat", quote="dusted her", verdict="sure")
            exam = Exam(Bird(bird.lower(), verdict="sure"), (Finding("vent", "mites", verdict="sure"),), (), (dusted,))
            log.save_draft(Draft(f"{bird} has mites, dusted her", (exam,)), on=day)
    assert run(path, "review", "--sure").stdout.count("Respirator") == 1
    assert "Caution" not in run(path, "review", "--sure").stdout


def test_before_the_day_nothing_is_of_concern(path: Path) -> None:
    assert record(path, "concerns", "--on", "2026-05-09")["concerns"] == []
    assert "Nothing confirmed up to 2026-05-09" in run(path, "concerns", "--on", "2026-05-09").stdout


def test_what_is_not_confirmed_is_said_not_to_count(path: Path, tmp_path: Path) -> None:
    notes = tmp_path / "more.txt"
    notes.write_text("2026-05-10\nGreen 3 has a twisted neck.\n\nPen 9: four dead.\n", encoding="utf-8")
    assert record(path, "concerns", *ON)["not_confirmed"] == 0
    run(path, "import", str(notes))
    found = record(path, "concerns", *ON)
    assert found["not_confirmed"] >= 2
    assert "green 3" not in {one["bird"] for one in found["concerns"]}
    assert "not confirmed and not counted here" in run(path, "concerns", *ON).stdout


def test_records_without_a_day_are_said_to_be_left_out(path: Path) -> None:
    with FlockLog.open(path) as log:
        exam = Exam(Bird("blue 9"), (Finding("neck", "twisted neck"),))
        (exam_id,) = log.save_draft(Draft("blue 9 twisted neck", (exam,)))
        log.confirm_exam(exam_id)
    assert record(path, "concerns", *ON)["undated"] == 1
    assert "1 confirmed records without a day are not counted" in run(path, "concerns", *ON).stdout


def test_without_a_log_it_says_so(tmp_path: Path) -> None:
    result = run(tmp_path / "none.db", "concerns")
    assert result.exit_code == 2
    assert "none.db" in result.stderr


@pytest.mark.parametrize(("answer", "level"), [("6:45", "watch"), ("20.30", None), ("", None), ("noonish", None)])
def test_the_time_of_an_exam_is_asked_for_and_kept(
    path: Path, monkeypatch: pytest.MonkeyPatch, answer: str, level: str | None
) -> None:
    monkeypatch.setattr("typer.prompt", lambda *_, **__: answer)
    with FlockLog.open(path) as log:
        _, found = _judged(log, date(2026, 5, 10))
        assert _ask(log, found) == (answer[:1].isdigit())
        _, found = _judged(log, date(2026, 5, 10))
    red = [one.level for one in found.concerns if one.bird == "red 7"]
    assert red == ([level] if level else [])
    assert bool(found.asks) == (not answer[:1].isdigit())


def test_what_is_typed_of_a_pen_is_kept_shown_and_taken_back(path: Path) -> None:
    assert run(path, "pen", "pen 3", "eggs=14", "soft eggs=2", "water=9.5L", "feed=4000g", *ON).exit_code == 0
    (pen,) = record(path, "pen", "3", *ON)["pens"]
    (day,) = pen["days"]
    kept = {row["kind"]: (row["value"], row["unit"]) for row in day["observations"]}
    assert kept == {
        "deaths": (2, "1"), "eggs": (14, "1"), "odd eggs": (2, "1"), "water": (9.5, "L"), "feed": (4, "kg"),
    }
    assert "eggs 14" in run(path, "pen", *ON).stdout
    taken = next(row["id"] for row in day["observations"] if row["kind"] == "eggs")
    run(path, "pen", "--withdraw", taken)
    (pen,) = record(path, "pen", "3", *ON)["pens"]
    assert "eggs" not in {row["kind"] for row in pen["days"][0]["observations"]}


def test_a_pen_is_shown_with_its_birds(path: Path) -> None:
    run(path, "bird", "blue 42", "--pen", "pen 3")
    (pen,) = record(path, "pen", "pen 3", *ON)["pens"]
    assert [row["bird"] for row in pen["birds"]] == ["blue 42"]


@pytest.mark.parametrize(("text", "found"), [
    ("eggs", "WHAT=NUMBER"), ("hats=3", "WHAT may be"), ("eggs=many", "not a number"),
    ("eggs=2.5", "cannot be counted"),
    ("eggs=-1", "cannot be counted"), ("water=3kg", "does not fit"), ("eggs=nan", "not a number"),
])
def test_what_cannot_be_kept_is_told_and_nothing_is_kept(path: Path, text: str, found: str) -> None:
    result = run(path, "pen", "pen 3", "deaths=1", text, *ON)
    assert result.exit_code == 2
    assert found in result.stderr
    (pen,) = record(path, "pen", "pen 3", *ON)["pens"]
    assert [row["value"] for row in pen["days"][0]["observations"]] == [2]


def test_an_unknown_pen_is_told_with_the_known_ones(path: Path) -> None:
    result = run(path, "pen", "pen 9")
    assert result.exit_code == 2
    assert "known are pen 3" in result.stderr
