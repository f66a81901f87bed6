"""How commands end: statuses, sentences instead of tracebacks, quiet stops."""

from __future__ import annotations

import os
import resource
import stat
import subprocess
import sys
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from dictate.cli import main as door
from dictate.cli.ending import Faults, save_report
from dictate.cli.main import COMMANDS, app
from dictate.errors import LogBusyError

runner = CliRunner()


@pytest.fixture
def failing(monkeypatch: pytest.MonkeyPatch):  # type: ignore[no-untyped-def]
    """A command in the place of `parse` that raises what it is given."""

    def put(error: BaseException) -> None:
        inner = typer.Typer()

        @inner.command()
        def parse() -> None:
            raise error

        monkeypatch.setattr(door, "_load", lambda name: typer.main.get_command(inner))

    return put


def test_an_error_of_ours_is_one_sentence_and_status_2(failing) -> None:  # type: ignore[no-untyped-def]
    failing(LogBusyError("opening the log", "flock.db", "another program holds it", "Close that one."))
    result = runner.invoke(app, ["parse"])
    assert result.exit_code == 2
    assert result.stderr == "dictate: opening the log flock.db: another program holds it. Close that one.\n"
    assert result.stdout == ""


def test_a_fault_of_the_program_is_a_sentence_with_a_report(failing, own_home: Path) -> None:  # type: ignore[no-untyped-def]
    failing(ZeroDivisionError("something odd"))
    result = runner.invoke(app, ["parse"])
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert "ZeroDivisionError" in result.stderr
    reports = list((own_home / "state").rglob("*.txt"))
    assert len(reports) == 1
    assert str(reports[0]) in result.stderr
    assert "something odd" in reports[0].read_text()
    assert stat.S_IMODE(reports[0].stat().st_mode) == 0o600


def test_no_place_for_a_report_is_said(own_home: Path) -> None:
    (own_home / "state").write_text("a file in the way")
    assert save_report(ValueError("x")) is None


def test_stopping_from_the_keyboard_is_quiet(failing) -> None:  # type: ignore[no-untyped-def]
    failing(KeyboardInterrupt())
    result = runner.invoke(app, ["parse"])
    assert result.exit_code == 130
    assert result.output.strip() == ""


def test_input_that_ends_is_a_sentence(failing) -> None:  # type: ignore[no-untyped-def]
    failing(EOFError())
    result = runner.invoke(app, ["parse"])
    assert result.exit_code == 2
    assert "ended" in result.stderr


@pytest.mark.parametrize(("told", "done", "status"), [(0, 0, None), (1, 3, 1), (2, 0, 2)])
def test_status_of_partly_done(told: int, done: int, status: int | None) -> None:
    faults = Faults()
    for number in range(told):
        faults.tell(f"file {number} is broken")
    if status is None:
        faults.leave(done)
        return
    with pytest.raises(typer.Exit) as ended:
        faults.leave(done)
    assert ended.value.exit_code == status


@pytest.mark.parametrize("arguments", [["nonsense"], ["--nonsense"], ["parse", "--nonsense"], ["parse"]])
def test_wrong_usage_is_status_2(arguments: list[str]) -> None:
    assert runner.invoke(app, arguments).exit_code == 2


@pytest.mark.parametrize("name", list(COMMANDS))
def test_each_command_has_help_that_begins_like_the_table(name: str) -> None:
    result = runner.invoke(app, [name, "--help"])
    assert result.exit_code == 0
    said = " ".join(result.stdout.split())
    assert COMMANDS[name][1].rstrip(".") in said
    assert f"dictate {name}" in said or f"{name} [OPTIONS]" in said


def test_help_and_version_import_nothing_heavy() -> None:
    code = (
        "import sys; from typer.testing import CliRunner; from dictate.cli.main import app\n"
        "for given in (['--help'], ['--version']): assert CliRunner().invoke(app, given).exit_code == 0\n"
        "heavy = set('spacy vosk pocketsphinx numpy pydantic sqlite_utils rapidfuzz rich'.split())\n"
        "sys.exit(repr(heavy & set(sys.modules)) if heavy & set(sys.modules) else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_a_closed_pipe_is_quiet(tmp_path: Path) -> None:
    many = tmp_path / "many.jsonl"
    many.write_text('{"id": 1, "text": 3}\n' * 20_000)
    reading, writing = os.pipe()
    process = subprocess.Popen(
        [sys.executable, "-m", "dictate", "parse", "--jsonl", str(many)],
        stdout=writing, stderr=subprocess.PIPE, text=True,
    )
    os.close(writing)
    os.close(reading)
    _, said = process.communicate(timeout=60)
    assert "Traceback" not in said
    assert "Exception ignored" not in said


def test_help_comes_at_once() -> None:
    """At most a quarter of a second of processor time; wall-clock time depends on who else is busy."""
    spent = []
    for _ in range(3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-m", "dictate", "--help"], check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    assert min(spent) <= 0.25
