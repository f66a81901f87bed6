"""The invented flock: the same at each run, told as invented, and every question has an answer."""

from __future__ import annotations

import json
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from typer.testing import CliRunner

from dictate.cli.demo_flock import MORE, questions
from dictate.cli.invented_flock import fill, script
from dictate.cli.main import app
from dictate.extraction import extract_text
from dictate.log import FlockLog
from dictate.vocabulary import load_vocabulary

WEEKS = 6


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The last weeks of it only, for the time that it takes."""
    path = tmp_path_factory.mktemp("flock") / "flock.db"
    vocabulary = load_vocabulary()
    with FlockLog.open(path) as log:
        fill(log, script(WEEKS), lambda text: extract_text(text, vocabulary))
        assert log.check() == []
        assert log.check_photos() == (1, [])
    return path


def test_it_is_the_same_at_each_run_and_says_that_it_is_invented() -> None:
    first, again = script(), script()
    assert first.visits() == again.visits()
    assert list(first.counts()) == list(again.counts())
    assert "invented" in first.says


def test_two_years_of_every_bird_while_she_is_there() -> None:
    play = script()
    assert (play.until - play.first).days == 104 * 7
    visits = play.visits()
    assert len(visits) > 200
    assert visits == sorted(visits, key=lambda v: (v.on, v.at))
    for name in ("Maud", "Fern", "Captain"):
        days = [v.on for v in visits if name in v.text]
        assert max(b - a for a, b in pairwise(days)) <= timedelta(weeks=20)
    assert max(v.on for v in visits if "Bramble" in v.text) < play.day("76+0")
    assert min(v.on for v in visits if "Mabel" in v.text) >= play.day("34+0")


def test_each_question_has_an_answer(path: Path) -> None:
    more = [c for _, c in MORE if "--calendar" not in c and "Ivy" not in c]  # she died long before these weeks
    for command in [*questions(script().until).values(), *more]:
        result = CliRunner().invoke(app, ["--log", str(path), *command])
        assert result.exit_code == 0, result.output
        assert len(result.stdout.splitlines()) > 1, command


def test_what_was_told_is_what_is_answered(path: Path) -> None:
    on = ["--on", script().until.isoformat(), "--json"]

    def ask(*command: str) -> dict[str, object]:
        result = CliRunner().invoke(app, ["--log", str(path), *command, *on])
        assert result.exit_code == 0, result.output
        answer: dict[str, object] = json.loads(result.stdout)
        return answer

    signs = ask("bird", "Fern")["signs"]
    assert isinstance(signs, list)
    found = {(s["sign"], s["state"], s["grade"]) for s in signs}
    assert found == {("hardened", "worse", 3), ("swelling", "worse", 2)}
    due = ask("due")
    assert {("quarantine", "Opal (red 32)"), ("asked", "Juno (white 4)")} <= {
        (d["kind"], d["bird"]) for d in due["due"]  # type: ignore[attr-defined]
    }
    assert due["no_rule"][0]["species"] == "duck"  # type: ignore[index]
    rows = ask("withheld")["held_back"]
    assert isinstance(rows, list)
    held = {(h["produce"], h["bird"] or h["pen"]): h["until"] for h in rows}
    assert held["eggs", "Fern (blue 22)"] == held["eggs", "Orchard"] == "2026-10-06"
    assert held["eggs", "Duchess (yellow 2)"] is None
