"""The demo hears the real recordings with the real recogniser, and touches nothing of the user's."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from dictate.cli import demo
from dictate.cli.main import app
from dictate.log import FlockLog
from dictate.model import Draft, Exam, Finding
from dictate.settings import load_settings

runner = CliRunner()


@pytest.fixture(scope="module")
def places(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo")


@pytest.mark.slow
def test_the_demo_goes_from_sound_to_answers(monkeypatch: pytest.MonkeyPatch, places: Path) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(places))
    result = runner.invoke(app, ["demo", "--first", "2"])
    assert result.exit_code == 0, result.output
    said = result.stdout
    assert "invented" in said
    assert "synthetic" in said
    assert "1 of 2  2026-03-07_1_juniper" in said
    assert re.search(r"weight: 2100 g +“weight two point one kilos”", said), "a weight, and its words"
    for title in demo.QUESTIONS:
        assert title in said

    shown = re.search(r"log of this demo is (\S+);", said)
    assert shown
    log_path = Path(shown[1])
    assert log_path.parent.parent == places
    with FlockLog.open(log_path) as log:
        exams = list(log.exams(statuses=("draft", "confirmed")))
        assert {str(exam.on) for exam in exams} == {"2026-03-07"}
        confirmed = [item for exam in exams for item in exam.items if item.status == "confirmed"]
        assert confirmed
        assert all(item.value.verdict == "sure" for item in confirmed), "nothing doubtful is confirmed"
        assert all(recording.finished for recording in log.recordings())
    own = load_settings()
    assert not own.log.exists()
    assert not own.recordings.exists()


def test_without_the_recordings_it_says_where_they_are(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(demo, "files", lambda package: tmp_path / "site-packages" / package)
    result = runner.invoke(app, ["demo"])
    assert result.exit_code == 2
    assert "They come with the source" in result.stderr
    assert str(tmp_path / "audio_samples") in result.stderr


def test_recordings_in_the_current_folder_come_first(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "audio_samples").mkdir()
    (tmp_path / "audio_samples" / "a.flac").write_bytes(b"")
    monkeypatch.chdir(tmp_path)
    assert demo.find_samples() == tmp_path / "audio_samples"


def test_the_count_against_the_truth(tmp_path: Path) -> None:
    """Of three said (one on both sides counts twice): one right and sure, one with the wrong side, one
    made up and sure."""
    truth = tmp_path / "a.json"
    wanted = [
        {"region": "eye", "side": "both", "sign": "normal", "presence": "present", "when": "now"},
        {"region": "comb", "side": None, "sign": "pallor", "presence": "present", "when": "now"},
    ]
    truth.write_text(json.dumps({"exams": [{"findings": wanted}]}))
    draft = Draft("", (Exam(findings=(
        Finding("eye", "normal", "left", verdict="check"),
        Finding("comb", "pallor", verdict="sure"),
        Finding("vent", "mites", verdict="sure"),
    )),))
    tally = demo._Tally()
    tally.add(draft, truth)
    assert (tally.said, tally.understood, tally.right, tally.sure, tally.sure_right) == (3, 3, 2, 2, 1)
    tally.add(draft, tmp_path / "none.json")
    assert tally.said == 3
