"""dictate check tells what is there, what is missing and how to get it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from dictate.cli.main import app
from dictate.errors import SoundError
from dictate.log import FlockLog

runner = CliRunner()


def parts(*arguments: str) -> tuple[int, dict[str, dict[str, str]]]:
    result = runner.invoke(app, [*arguments, "check", "--json"])
    return result.exit_code, {part["what"]: part for part in json.loads(result.stdout)["parts"]}


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The replay listener instead of one whose model takes time."""
    monkeypatch.setattr("dictate.speech.LISTENERS", {"replay": "dictate.speech.replay"})
    monkeypatch.setenv("DICTATE_LISTENERS", "replay")
    monkeypatch.setattr("dictate.speech.replay.read_utterances", lambda path: ())
    monkeypatch.setattr("dictate.speech.ListenerOptions", lambda **given: _with_file(tmp_path))


def _with_file(tmp_path: Path):  # type: ignore[no-untyped-def]
    from dictate.speech.listener import ListenerOptions

    return ListenerOptions(replay=tmp_path / "any.json")


def test_all_is_well_on_a_fresh_machine_and_nothing_is_made(tmp_path: Path) -> None:
    log = tmp_path / "flock.db"
    status, found = parts("--log", str(log))
    assert status == 0
    assert found["listener replay"]["state"] == "good"
    assert found["words"]["state"] == "good"
    assert str(log) in found["flock log"]["found"]
    assert not log.exists()


def test_a_log_is_counted(tmp_path: Path) -> None:
    with FlockLog.open(tmp_path / "flock.db") as log:
        log.register_bird(name="Ada")
    _, found = parts("--log", str(tmp_path / "flock.db"))
    assert "register: 1," in found["flock log"]["found"]


def test_a_file_that_is_no_log_is_a_fault_and_the_rest_is_still_looked_at(tmp_path: Path) -> None:
    (tmp_path / "flock.db").write_text("not a log")
    status, found = parts("--log", str(tmp_path / "flock.db"))
    assert status == 1
    assert found["flock log"]["state"] == "faulty"
    assert "sound" in found


def test_faulty_words_are_told_and_the_rest_is_still_looked_at(tmp_path: Path) -> None:
    (tmp_path / "lexicon.toml").write_text('format = 1\nlanguage = "en"\nrelease = "1"\n')
    (tmp_path / "signs.toml").write_text('[[sign]]\nid = "x"\nsays = ["x"]\n')
    status, found = parts("--lexicon", str(tmp_path))
    assert status == 1
    assert found["words"]["state"] == "faulty"
    assert "says" in found["words"]["found"]
    assert "flock log" in found


def test_a_missing_microphone_is_no_fault_and_says_how_to_get_one(monkeypatch: pytest.MonkeyPatch) -> None:
    def none() -> tuple[str, ...]:
        raise SoundError("opening the microphone", "", "the package is not installed", "Install the extra.")

    monkeypatch.setattr("dictate.speech.microphone.microphones", none)
    status, found = parts()
    assert status == 0
    assert found["microphone"] == {
        "what": "microphone", "state": "missing", "found": "the package is not installed",
        "remedy": "Install the extra.",
    }


def test_a_listener_that_the_settings_name_must_be_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DICTATE_LISTENERS", "replay,nobody")
    status, found = parts()
    assert status == 1
    assert found["listener nobody"]["state"] == "faulty"


def test_little_room_for_sound_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    import shutil
    from collections import namedtuple

    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda path: usage(10**12, 10**12, 10**8))
    status, found = parts()
    assert status == 1
    assert found["sound"]["state"] == "faulty"


def test_for_a_person_each_part_begins_with_its_state(tmp_path: Path) -> None:
    result = runner.invoke(app, ["--log", str(tmp_path / "flock.db"), "check"])
    states = {line.split()[0] for line in result.stdout.splitlines() if line and not line.startswith(" ")}
    assert states <= {"good", "missing", "faulty"}
    assert "flock log" in result.stdout


def test_practise_tells_what_was_not_heard(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from contextlib import nullcontext

    from dictate.model import Utterance, Word

    said = Utterance((Word("general", 0.1, 0.5), Word("crop", 0.6, 0.9)), "replay", 0.1, 0.9)
    monkeypatch.setattr("dictate.speech.replay.read_utterances", lambda path: (said,))
    monkeypatch.setattr("dictate.speech.microphone.microphone", lambda: nullcontext([bytes(32_000)] * 10))
    result = runner.invoke(app, ["check", "--practise", "--json"])
    assert result.exit_code == 0, result.output
    told = json.loads(result.stdout)
    assert len(told["phrases"]) == 10
    assert told["phrases"][0]["heard"] == "general crop"
    assert "general" not in told["phrases"][0]["missed"]
    assert 0.8 < told["word_error"] <= 1.2
    shown = runner.invoke(app, ["check", "--practise"]).stdout
    assert "[[pronunciation]]" in shown
