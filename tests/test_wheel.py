"""The wheel carries the lexicon byte for byte, and the package is marked as typed."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Iterator[zipfile.ZipFile]:
    pytest.importorskip("hatchling", reason="the build backend comes with the extra [test]")
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT, check=True, capture_output=True,
    )
    with zipfile.ZipFile(next(folder.glob("*.whl"))) as opened:
        yield opened


def test_the_wheel_carries_the_lexicon_byte_for_byte(wheel: zipfile.ZipFile) -> None:
    source = ROOT / "lexicon"
    here = {
        f"dictate/lexicon/{path.relative_to(source).as_posix()}": path.read_bytes()
        for path in source.rglob("*") if path.is_file()
    }
    there = {name: wheel.read(name) for name in wheel.namelist() if name.startswith("dictate/lexicon/")}
    assert "dictate/lexicon/lexicon.toml" in here
    assert there == here


def test_the_wheel_is_typed_and_has_the_command(wheel: zipfile.ZipFile) -> None:
    names = wheel.namelist()
    assert "dictate/py.typed" in names
    entry_points = next(name for name in names if name.endswith("entry_points.txt"))
    assert "dictate = dictate.cli.main:main" in wheel.read(entry_points).decode()


def test_the_wheel_carries_neither_tests_nor_recordings(wheel: zipfile.ZipFile) -> None:
    assert not [name for name in wheel.namelist() if name.startswith(("tests/", "audio_samples/"))]
