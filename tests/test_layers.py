"""Imports go one way, and each heavy library has one door."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "dictate"

# Lowest first. Rooms on one line may not import one another.
ORDER: list[set[str]] = [
    {"errors"},
    {"model"},
    {"keeping"},
    {"record"},
    {"settings"},
    {"vocabulary"},
    {"speech", "extraction", "log", "care", "flock"},
    {"fusion"},
    {"review", "live", "intake", "report"},
    {"cli"},
    {"__main__"},
]
LEVEL = {room: level for level, rooms in enumerate(ORDER) for room in rooms}

HEAVY = {
    "vosk", "spacy", "rapidfuzz", "sqlite_utils", "pocketsphinx", "faster_whisper", "soundfile",
    "sounddevice", "icalendar", "exifread", "av",
}
MORE_DOORS = {
    # its decoder, its model's files, and its finder of pauses, which serves every recogniser
    "pocketsphinx": {
        "speech/pocketsphinx_listener.py", "speech/pocketsphinx_model.py", "speech/endpoint.py",
    },
    "sounddevice": {"speech/microphone.py", "live/mouth.py"},  # sound in, sound out
}
NEVER = {"click"}  # typer carries its own copy; an exception of the other one would not be caught


def imported(source: str) -> Iterator[str]:
    """Each module that the source imports anywhere, in functions too, by its full name."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute, so that they can be followed by reading"
            module = node.module or ""
            yield from ([f"{module}.{name.name}" for name in node.names] if module == "dictate" else [module])


def room_of(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def fault(room: str, module: str) -> str | None:
    """Why a file of `room` may not import `module`; None where it may."""
    if module.split(".")[0] in NEVER:
        return f"{module} is never imported"
    if module.split(".")[0] != "dictate":
        return None
    other = room_of(module)
    if other == room or not other:
        return None
    if other not in LEVEL:
        return f"the room {other} stands in no place of the order"
    return None if LEVEL[other] < LEVEL[room] else f"{room} may not import {other}"


FILES = sorted(PACKAGE.rglob("*.py"))


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_point_one_way(path: Path) -> None:
    inside = path.relative_to(PACKAGE)
    room = inside.parts[0].removesuffix(".py")
    if room == "__init__":
        assert not list(imported(path.read_text(encoding="utf-8"))), "the package itself imports nothing"
        return
    assert room in LEVEL, f"{room} stands in no place of the order"
    faults = [f for module in imported(path.read_text(encoding="utf-8")) if (f := fault(room, module))]
    assert not faults


@pytest.mark.parametrize("library", sorted(HEAVY))
def test_a_heavy_library_has_one_door(library: str) -> None:
    doors = {
        path.relative_to(PACKAGE).as_posix()
        for path in FILES
        if any(module.split(".")[0] == library for module in imported(path.read_text(encoding="utf-8")))
    }
    assert len(doors) <= 1 or doors <= MORE_DOORS.get(library, set())


@pytest.mark.parametrize(
    ("room", "module"),
    [
        ("speech", "dictate.extraction.numbers"), ("log", "dictate.care"), ("model", "dictate.settings"),
        ("vocabulary", "dictate.cli.main"), ("review", "dictate.intake"), ("cli", "click"),
    ],
)
def test_the_test_sees_a_wrong_import(room: str, module: str) -> None:
    assert fault(room, module)


def test_no_file_is_longer_than_400_lines() -> None:
    long = {
        str(path.relative_to(PACKAGE)): lines
        for path in FILES
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert not long
