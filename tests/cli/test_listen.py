"""dictate listen from a recording: the same way as the microphone, from sound to log."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from dictate.cli.main import app
from dictate.log import FlockLog
from dictate.model import Utterance, Word
from dictate.speech.replay import utterances_record
from dictate.speech.sound import open_sound

ROOT = Path(__file__).parents[2]
SOUND = ROOT / "audio_samples" / "2026-03-07_2_red_seven.flac"  # 24 seconds long
SAID = [
    "this is blue fourteen", "left foot pad moderate bumblefoot", "comb pale", "scratch that",
    "next bird", "red seven", "right eye cloudy",
]
runner = CliRunner()


@pytest.fixture
def words(tmp_path: Path) -> Path:
    """What the replay listener hears: each of SAID in turn, two seconds apart from one second on."""
    utterances = []
    for number, text in enumerate(SAID):
        start = 1.0 + 2 * number
        spoken = text.split()
        utterances.append(Utterance(
            tuple(Word(w, start + n / 5, start + (n + 1) / 5, 0.95) for n, w in enumerate(spoken)),
            "replay", start, start + len(spoken) / 5,
        ))
    path = tmp_path / "words.json"
    path.write_text(json.dumps(utterances_record(utterances)))
    return path


@pytest.fixture
def log_path(tmp_path: Path) -> Path:
    return tmp_path / "flock.db"


def arguments(log_path: Path, words: Path, *more: str) -> list[str]:
    return [
        "--log", str(log_path), "listen", "--from", str(SOUND), "--listener", "replay",
        "--replay", str(words), *more,
    ]


def findings(exam: Any) -> set[tuple[str, str | None, str]]:
    return {(f.region, f.side, f.sign) for f in exam.exam.findings}


def test_a_round_from_sound_to_drafts(log_path: Path, words: Path, tmp_path: Path) -> None:
    events_path = tmp_path / "events.jsonl"
    result = runner.invoke(app, arguments(
        log_path, words, "--speed", "full", "--events", str(events_path), "--on", "2026-03-07",
        "--examiner", "Pat",
    ))
    assert result.exit_code == 0, result.output
    assert "2 birds waiting as drafts" in result.stderr
    assert "not looked at:" in result.stderr

    rows = [json.loads(line) for line in events_path.read_text().splitlines()]
    assert all({"event", "audio_seconds", "wall_seconds"} <= row.keys() for row in rows)
    found = [row for row in rows if row["event"] == "finding"]
    first = found[0]
    assert (first["finding"]["region"], first["finding"]["side"]) == ("foot pad", "left")
    assert 3.0 < first["phrase_end"] <= first["audio_seconds"] < 4.5, "told when it was said, not at the end"
    assert [row["record"]["sign"] for row in rows if row["event"] == "withdrawn"] == ["pallor"]
    assert [row["command"] for row in rows if row["event"] == "command"] == ["take-back", "next-bird"]
    assert rows[-1]["event"] == "ended"

    with FlockLog.open(log_path) as log:
        blue, red = log.drafts()
        assert (blue.bird.band, red.bird.band) == ("blue 14", "red 7")
        assert findings(blue) == {("foot pad", "left", "bumblefoot")}
        assert findings(red) == {("eye", "right", "cloudiness")}
        assert {blue.on, red.on} == {date(2026, 3, 7)}
        assert blue.examiner == "Pat"
        (recording,) = log.recordings()
        assert recording.finished
        heard = [u.text for u in log.recording(recording.id).utterances]
        assert heard == SAID, "all words, taken back or not"
    assert Path(recording.path).parent == log_path.parent / "flock-recordings", "beside a log of one's own"
    assert open_sound(recording.path).seconds == pytest.approx(open_sound(SOUND).seconds, abs=0.01)


def test_sound_lies_where_the_settings_say(
    log_path: Path, words: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DICTATE_RECORDINGS", str(tmp_path / "sound"))
    assert runner.invoke(app, arguments(log_path, words, "--speed", "full")).exit_code == 0
    assert len(list((tmp_path / "sound").glob("*.wav"))) == 1


def test_sound_is_not_kept_where_the_settings_say_so(
    log_path: Path, words: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DICTATE_KEEP_RECORDINGS", "never")
    result = runner.invoke(app, arguments(log_path, words, "--speed", "full"))
    assert "The sound is not kept" in result.stderr
    assert not list((log_path.parent / "flock-recordings").glob("*.wav"))
    with FlockLog.open(log_path) as log:
        assert len(log.drafts()) == 2


def test_events_to_stdout_leave_it_to_them_alone(log_path: Path, words: Path) -> None:
    result = runner.invoke(app, arguments(log_path, words, "--speed", "full", "--events", "-"))
    assert result.exit_code == 0
    assert all("event" in json.loads(line) for line in result.stdout.splitlines())
    assert "blue fourteen" in result.stderr


def test_at_real_speed_it_takes_as_long_as_the_sound(log_path: Path, words: Path, tmp_path: Path) -> None:
    events_path = tmp_path / "events.jsonl"
    result = runner.invoke(
        app, arguments(log_path, words, "--speed", "8", "--events", str(events_path))
    )
    assert result.exit_code == 0
    for line in events_path.read_text().splitlines():
        row = json.loads(line)
        assert row["wall_seconds"] > row["audio_seconds"] / 8 - 0.5


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (["--from", "nowhere.wav"], "there is no such file"),
        (["--speed", "-1"], "must be a number above 0"),
        (["--speed", "soon"], "must be a number above 0"),
        (["--events", "/nowhere/at/all.jsonl"], "writing events to"),
        (["--listener", "nobody"], "there is none of that name"),
    ],
)
def test_what_cannot_be_done_is_told_in_a_sentence(
    log_path: Path, words: Path, more: list[str], sentence: str
) -> None:
    result = runner.invoke(app, arguments(log_path, words, *more))
    assert result.exit_code == 2
    assert sentence in result.stderr
    assert "Traceback" not in result.output


def test_a_recording_that_is_no_sound_is_refused_and_leaves_no_draft(
    log_path: Path, words: Path, tmp_path: Path
) -> None:
    bad = tmp_path / "bad.wav"
    bad.write_bytes(b"not sound")
    result = runner.invoke(app, arguments(log_path, words, "--from", str(bad)))
    assert result.exit_code == 2
    assert "bad.wav" in result.stderr
    again = runner.invoke(app, arguments(log_path, words, "--speed", "full"))
    assert again.exit_code == 0
    assert "cut off" not in again.stderr, "it is not taken for a session that was cut off"


def start(log_path: Path, words: Path, out: Path) -> subprocess.Popen[bytes]:
    """The command as a process of its own at four times the real speed."""
    return subprocess.Popen(
        [sys.executable, "-m", "dictate", *arguments(log_path, words, "--speed", "4", "--events", str(out))],
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)}, start_new_session=True,
    )


def wait_for(out: Path, said: str, seconds: float = 60) -> None:
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if out.exists() and any(json.loads(line).get("text") == said for line in _whole_lines(out)):
            return
        time.sleep(0.05)
    pytest.fail(f"{said!r} was not heard in time")


def _whole_lines(path: Path) -> list[str]:
    return path.read_text().rpartition("\n")[0].splitlines()


def test_ctrl_c_ends_the_round_in_good_order(log_path: Path, words: Path, tmp_path: Path) -> None:
    out = tmp_path / "events.jsonl"
    with start(log_path, words, out) as process:
        wait_for(out, SAID[1])
        os.killpg(process.pid, signal.SIGINT)
        _, told = process.communicate(timeout=30)
    assert process.returncode == 0, told
    assert b"waiting as drafts" in told
    with FlockLog.open(log_path) as log:
        assert findings(log.drafts()[0]) == {("foot pad", "left", "bumblefoot")}
        (recording,) = log.recordings()
        assert recording.finished
        assert recording.seconds is not None
        assert recording.seconds < 20, "not the whole of the recording that was played in"


def test_after_kill_9_the_next_start_brings_everything_back(
    log_path: Path, words: Path, tmp_path: Path
) -> None:
    out = tmp_path / "events.jsonl"
    with start(log_path, words, out) as process:
        wait_for(out, SAID[6])
        os.killpg(process.pid, signal.SIGKILL)
    with FlockLog.open(log_path) as log:
        assert [exam.bird.band for exam in log.drafts()] == ["blue 14"], "put down before the end"
        (cut_off,) = log.recordings()
        assert not cut_off.finished
        assert open_sound(cut_off.path, allow_truncated=True).seconds > 13.6 - 4.0, "a second at this speed"

    silent = tmp_path / "silent.json"
    silent.write_text(json.dumps({"utterances": []}))
    result = runner.invoke(app, arguments(log_path, silent, "--speed", "full"))
    assert result.exit_code == 0, result.output
    assert "was cut off" in result.stderr
    assert 'red 7 was in hand. Say "same bird again"' in result.stderr
    with FlockLog.open(log_path) as log:
        assert [exam.bird.band for exam in log.drafts()] == ["blue 14", "red 7"]
        assert findings(log.drafts()[1]) == {("eye", "right", "cloudiness")}
        assert [u.text for u in log.recording(cut_off.id).utterances] == SAID
    again = runner.invoke(app, arguments(log_path, silent, "--speed", "full"))
    assert "was cut off" not in again.stderr, "brought back once"


def test_a_full_disk_ends_the_round_with_all_that_was_said(
    log_path: Path, words: Path, tmp_path: Path
) -> None:
    """No file may grow beyond 8 seconds of sound: as good as a full disk for the sound, not for the log."""
    import resource

    log_path.parent.mkdir(exist_ok=True)
    FlockLog.open(log_path).close()
    most = log_path.stat().st_size + 8 * 32_000
    process = subprocess.run(
        [sys.executable, "-m", "dictate", *arguments(log_path, words, "--speed", "full")],
        capture_output=True, text=True, env={**os.environ, "PYTHONPATH": str(ROOT)}, timeout=120, check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most)),
    )
    assert process.returncode == 2
    assert "keeping the sound in" in process.stderr
    assert "Traceback" not in process.stderr
    with FlockLog.open(log_path) as log:
        (cut_off,) = log.recordings()
        assert open_sound(cut_off.path).seconds == pytest.approx((most - 44) / 32_000, abs=1.0)
        assert ("foot pad", "left", "bumblefoot") in findings(log.drafts()[0])
        assert [u.text for u in log.recording(cut_off.id).utterances][:2] == SAID[:2]
    silent = tmp_path / "silent.json"
    silent.write_text(json.dumps({"utterances": []}))
    again = runner.invoke(app, arguments(log_path, silent, "--speed", "full"))
    assert "was cut off" in again.stderr, "the next start says so"


def test_the_level_of_answers_and_what_was_said(log_path: Path, words: Path) -> None:
    result = runner.invoke(app, arguments(log_path, words, "--speed", "full", "--answers", "loud"))
    assert result.exit_code == 2
    assert "silent, tones, speech" in result.stderr
    assert runner.invoke(app, arguments(log_path, words, "--speed", "full")).exit_code == 0
    (answers,) = (log_path.parent / "flock-recordings").glob("*.answers.jsonl")
    rows = [json.loads(line) for line in answers.read_text().splitlines()]
    assert "Put down: blue 14: 1 finding" in [row["text"] for row in rows]
    assert {row["how"] for row in rows} == {"shown"}


def test_sound_after_the_last_words_is_heard_by_the_recovery(
    log_path: Path, words: Path, tmp_path: Path
) -> None:
    """Killed before the last words were heard: the next start hears them in the sound that was kept."""
    out = tmp_path / "events.jsonl"
    with start(log_path, words, out) as process:
        wait_for(out, SAID[5])
        time.sleep(1.0)
        os.killpg(process.pid, signal.SIGKILL)
    with FlockLog.open(log_path) as log:
        heard = [u.text for u in log.recording(log.recordings()[0].id).utterances]
    tail = tmp_path / "tail.json"
    tail.write_text(json.dumps(utterances_record(
        [Utterance((Word("comb", 0.1, 0.3, 0.9), Word("pale", 0.3, 0.6, 0.9)), "replay", 0.1, 0.6)]
    )))
    runner.invoke(app, arguments(log_path, tail, "--speed", "full"))
    with FlockLog.open(log_path) as log:
        recording = log.recording(log.recordings()[0].id)
        assert [u.text for u in recording.utterances] == [*heard, "comb pale"]
        last = recording.utterances[-1]
        assert last.start is not None
        assert last.start > 11.0, "times count from the beginning of the recording"
        assert ("comb", None, "pallor") in findings(log.drafts()[1])


def test_without_a_microphone_it_says_what_to_do(log_path: Path, words: Path) -> None:
    from dictate.errors import SoundError
    from dictate.speech.microphone import microphones

    try:
        if microphones():
            pytest.skip("this machine has a microphone")
    except SoundError:
        pass
    result = runner.invoke(
        app, ["--log", str(log_path), "listen", "--listener", "replay", "--replay", str(words)]
    )
    assert result.exit_code == 2
    assert "microphone" in result.stderr
