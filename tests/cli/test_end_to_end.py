"""The whole way through the command line: notes and sound in, checked, asked, and out again."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from dictate.cli.main import app
from dictate.log import FlockLog

runner = CliRunner()
NOTES = """\
7 March 2026

blue 42 hen, comb red, right foot pad noticeably hardened, no scab. weight 2100 g. recheck in ten days.

red 7, crop full, left eye closed.

31 February 2026
green 3 hen, vent soiled.
"""


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    path = tmp_path / "notes.txt"
    path.write_text(NOTES, encoding="utf-8")
    return path


def run(log: Path, *arguments: str, input: str | None = None) -> Result:
    return runner.invoke(app, ["--log", str(log), *arguments], input=input)


def exported(log: Path, *status: str) -> list[dict[str, Any]]:
    chosen = [part for one in status for part in ("--status", one)]
    result = run(log, "export", "exams", *chosen)
    assert result.exit_code == 0, result.output
    return [json.loads(line) for line in result.stdout.splitlines()]


def test_notes_in_and_records_out(tmp_path: Path, notes: Path) -> None:
    log = tmp_path / "flock.db"
    result = run(log, "import", str(notes), "--confirm", "all")
    assert result.exit_code == 1  # one date is faulty
    assert f"{notes}, line 8" in result.stderr
    assert "31 February 2026" in result.stderr
    rows = {row["bird"]["band"]: row for row in exported(log)}
    assert set(rows) == {"blue 42", "red 7", "green 3"}
    dates = {band: row["date"] for band, row in rows.items()}
    assert dates == {"blue 42": "2026-03-07", "red 7": "2026-03-07", "green 3": None}
    assert "31 February" in rows["green 3"]["date_problem"]
    assert rows["blue 42"]["source"] == {"file": str(notes), "line": 3}
    found = {(f["region"], f["sign"]): f for f in rows["blue 42"]["findings"]}
    assert found["foot pad", "hardened"]["side"] == "right"
    assert "2100 g" in run(log, "bird", "blue 42").stdout
    due = json.loads(run(log, "due", "--on", "2026-03-17", "--json").stdout)["due"]
    assert [look["bird"] for look in due] == ["blue 42"]


def test_the_same_notes_twice_add_nothing(tmp_path: Path, notes: Path) -> None:
    log = tmp_path / "flock.db"
    run(log, "import", str(notes), "--confirm", "all")
    before = exported(log, "confirmed", "draft", "withdrawn")
    run(log, "import", str(notes), "--confirm", "all")
    assert exported(log, "confirmed", "draft", "withdrawn") == before


def test_nothing_is_confirmed_unasked(tmp_path: Path, notes: Path) -> None:
    log = tmp_path / "flock.db"
    run(log, "import", str(notes), "--confirm", "none")
    assert exported(log) == []
    assert len(exported(log, "draft")) == 3


def test_every_line_is_in_the_report(tmp_path: Path, notes: Path) -> None:
    report = tmp_path / "report.jsonl"
    run(tmp_path / "flock.db", "import", str(notes), "--report", str(report))
    fates = [json.loads(line) for line in report.read_text().splitlines()]
    assert [fate["line"] for fate in fates] == list(range(1, len(NOTES.splitlines()) + 1))


def test_a_bad_file_is_named_and_the_others_come_in(tmp_path: Path, notes: Path) -> None:
    bad = tmp_path / "bad.txt"
    bad.write_bytes(b"\0\1\2")
    log = tmp_path / "flock.db"
    result = run(log, "import", str(bad), str(notes), str(tmp_path / "none.txt"))
    assert result.exit_code == 1
    assert "bad.txt" in result.stderr
    assert "none.txt" in result.stderr
    assert len(exported(log, "draft")) == 3
    assert run(log, "import", str(bad)).exit_code == 2


def test_review_by_typed_lines_confirms(tmp_path: Path, notes: Path) -> None:
    log = tmp_path / "flock.db"
    run(log, "import", str(notes))
    before = exported(log, "draft")
    result = run(log, "review", input="k\ny\n" * 200)  # a key that means nothing at a step is passed over
    assert result.exit_code == 0, result.output
    assert "Nothing is left to check." in result.stdout
    after = exported(log)
    assert [row["bird"]["band"] for row in after] == [row["bird"]["band"] for row in before]
    assert run(log, "review").exit_code == 0


def test_review_stops_where_the_input_ends_and_goes_on(tmp_path: Path, notes: Path) -> None:
    log = tmp_path / "flock.db"
    run(log, "import", str(notes))
    assert run(log, "review", input="").exit_code == 0
    assert exported(log) == []
    result = run(log, "review", "--sure")
    assert "confirmed that were sure" in result.stdout


@pytest.mark.slow
def test_a_killed_import_loses_and_doubles_nothing(tmp_path: Path) -> None:
    notes, log = tmp_path / "many.txt", tmp_path / "flock.db"
    notes.write_text("7 March 2026\n\n" + "".join(f"blue {n}, comb pale.\n\n" for n in range(1, 1200)))
    command = [sys.executable, "-m", "dictate", "--log", str(log), "import", str(notes), "--confirm", "all"]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    until = time.monotonic() + 60
    while time.monotonic() < until and process.poll() is None:
        time.sleep(0.1)
        if sum(path.stat().st_size for path in tmp_path.glob("flock.db*")) > 600_000:
            break
    process.send_signal(signal.SIGKILL)
    process.wait()
    with FlockLog.open(log) as opened:
        assert opened.check() == []
        some = sum(1 for _ in opened.exams())
    assert some < 1199
    assert run(log, "import", str(notes), "--confirm", "all").exit_code == 0
    bands = [row["bird"]["band"] for row in exported(log)]
    assert len(bands) == len(set(bands)) == 1199
