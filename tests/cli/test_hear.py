"""dictate hear: recordings in, records out, words kept before what was made of them."""

from __future__ import annotations

import json
import wave
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner, Result

from dictate.cli.main import app
from dictate.log import FlockLog

runner = CliRunner()
SAID = "blue 42 left eye closed no discharge"


@pytest.fixture
def sound(tmp_path: Path) -> Path:
    """Three seconds of soft noise: the words come from the replay listener."""
    path = tmp_path / "2026-03-07_pen.wav"
    samples = np.random.default_rng(7).normal(0, 3000, 48_000).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(samples.tobytes())
    return path


@pytest.fixture
def words(tmp_path: Path) -> Path:
    path = tmp_path / "words.json"
    spoken = [
        {"word": word, "start": round(0.3 * n, 1), "end": round(0.3 * n + 0.2, 1), "confidence": 0.9}
        for n, word in enumerate(SAID.split())
    ]
    path.write_text(json.dumps({"utterances": [{"start": 0.0, "end": 2.3, "words": spoken}]}))
    return path


def run(log: Path, words: Path, *arguments: str) -> Result:
    return runner.invoke(
        app, ["--log", str(log), "hear", "--listener", "replay", "--replay", str(words), *arguments]
    )


def rows(result: Result) -> list[dict[str, Any]]:
    return [json.loads(line) for line in result.stdout.splitlines()]


def test_a_line_for_each_recording(tmp_path: Path, sound: Path, words: Path) -> None:
    result = run(tmp_path / "flock.db", words, str(sound), "--jsonl")
    assert result.exit_code == 0, result.output
    [row] = rows(result)
    assert (row["id"], row["text"]) == (sound.stem, SAID)
    assert row["words"][2] == {"word": "left", "start": 0.6, "end": 0.8, "confidence": 0.9}
    found = {finding["sign"]: finding for finding in row["exams"][0]["findings"]}
    assert (found["closed"]["side"], found["discharge"]["presence"]) == ("left", "absent")
    for finding in found.values():
        assert finding["quote"]
        assert 0 <= finding["start"] < finding["end"] <= 3
        assert 0 <= finding["confidence"] <= 1


def test_recording_words_and_draft_are_kept(tmp_path: Path, sound: Path, words: Path) -> None:
    path = tmp_path / "flock.db"
    run(path, words, str(sound))
    with FlockLog.open(path) as log:
        [recording] = log.recordings()
        assert (recording.path, recording.finished, recording.has_draft) == (str(sound), True, True)
        kept = log.recording(recording.id)
        assert " ".join(u.text for u in kept.utterances) == SAID
        [exam] = log.drafts()
        assert (str(exam.on), exam.bird.band) == ("2026-03-07", "blue 42")
        assert exam.source.recording == recording.id


def test_a_recording_heard_twice_is_kept_once(tmp_path: Path, sound: Path, words: Path) -> None:
    path = tmp_path / "flock.db"
    run(path, words, str(sound))
    copy = tmp_path / "copy.wav"
    copy.write_bytes(sound.read_bytes())
    result = run(path, words, str(copy), "--jsonl")
    assert result.exit_code == 0
    assert len(rows(result)) == 1
    assert "already" in result.stderr
    with FlockLog.open(path) as log:
        assert len(log.recordings()) == len(log.drafts()) == 1


def test_words_kept_without_a_draft_get_theirs_the_next_time(
    tmp_path: Path, sound: Path, words: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "flock.db"

    def cut_off(*given: object, **more: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(FlockLog, "save_draft", cut_off)
        assert run(path, words, str(sound)).exit_code == 130
    with FlockLog.open(path) as log:
        [recording] = log.recordings()
        assert not recording.has_draft
        assert log.recording(recording.id).utterances
    assert run(path, words, str(sound)).exit_code == 0
    with FlockLog.open(path) as log:
        assert len(log.recordings()) == len(log.drafts()) == 1
        assert len(log.recording(recording.id).utterances) == 1


def test_nothing_is_kept_where_nothing_is_to_be(tmp_path: Path, sound: Path, words: Path) -> None:
    result = run(tmp_path / "flock.db", words, str(sound), "--no-log", "--jsonl")
    assert result.exit_code == 0
    assert not (tmp_path / "flock.db").exists()


@pytest.mark.parametrize(
    ("name", "given", "day", "problem"),
    [
        ("pen2.wav", [], None, "no day in the name"),
        ("pen2.wav", ["--on", "2026-03-09"], "2026-03-09", None),
        ("2026-13-01.wav", [], None, "not a day"),
        ("x_2026-03-08_y.wav", [], "2026-03-08", None),
    ],
)
def test_the_day_of_a_recording_is_never_guessed(
    tmp_path: Path, sound: Path, words: Path, name: str, given: list[str], day: str | None,
    problem: str | None,
) -> None:
    path = tmp_path / "flock.db"
    sound = sound.rename(tmp_path / name)
    run(path, words, str(sound), *given)
    with FlockLog.open(path) as log:
        [exam] = log.drafts()
    assert (str(exam.on) if exam.on else None) == day
    assert (problem or "") in (exam.date_problem or "")
    assert bool(problem) == bool(exam.date_problem)


def test_bad_recordings_are_named_and_the_rest_is_heard(tmp_path: Path, sound: Path, words: Path) -> None:
    text, empty = tmp_path / "text.wav", tmp_path / "empty.wav"
    text.write_text("this is no sound")
    empty.write_bytes(b"")
    files = [str(text), str(sound), str(empty), str(tmp_path / "none.wav")]
    result = run(tmp_path / "flock.db", words, *files, "--jsonl")
    assert result.exit_code == 1
    for name in ("text.wav", "empty.wav", "none.wav"):
        assert name in result.stderr
    assert ["error" in row for row in rows(result)] == [True, False, True, True]
    assert run(tmp_path / "flock.db", words, str(text)).exit_code == 2


def test_a_listener_that_is_not_there(tmp_path: Path, sound: Path) -> None:
    result = runner.invoke(app, ["hear", "--no-log", "--listener", "nobody", str(sound)])
    assert result.exit_code == 2
    assert "nobody" in result.stderr
    result = runner.invoke(app, ["hear", "--no-log", "--listener", "replay", str(sound)])
    assert result.exit_code == 2
