"""The documents say what the program does, and no text says what none of ours may say."""

from __future__ import annotations

import ast
import re
import subprocess
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from typer.core import TyperGroup
from typer.main import get_command
from typer.testing import CliRunner

from dictate.cli.main import COMMANDS, _load, app

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def blocks(document: str, language: str) -> list[str]:
    """The fenced blocks of one language, without their fences."""
    return re.findall(rf"^```{language}\n(.*?)^```$", document, re.MULTILINE | re.DOTALL)


# ---------------------------------------------------------------- the README


def test_the_readme_has_two_commands_of_one_line_each() -> None:
    commands = blocks(README, "sh")
    assert len(commands) == 2
    assert all(len(command.strip().splitlines()) == 1 for command in commands)
    assert "dictate demo" in commands[0]
    assert "pytest" in commands[1]


def test_the_exam_in_the_readme_is_what_the_program_gives() -> None:
    words, shown = blocks(README, "text")[:2]
    result = CliRunner().invoke(app, ["parse", words.strip()])
    assert result.exit_code == 0, result.output
    assert result.stdout.splitlines() == shown.splitlines()


# ---------------------------------------------------------------- commands and their help


def commands() -> Iterator[tuple[str, Any]]:
    """Every command and command of a command by its whole name; a group that only holds others too."""
    for name in COMMANDS:
        command = _load(name)
        yield name, command
        if isinstance(command, TyperGroup):
            for inner, one in command.commands.items():
                yield f"{name} {inner}", one


ALL = dict(commands())


def test_the_list_of_commands_is_whole() -> None:
    assert set(get_command(app).commands) == set(COMMANDS)  # type: ignore[attr-defined]
    assert {"parse", "words add", "words check", "words show", "export exams"} <= set(ALL)


@pytest.mark.parametrize("name", ALL)
def test_a_command_says_what_it_does_and_what_each_option_is_for(name: str) -> None:
    assert (ALL[name].help or "").strip()
    silent = [one.name for one in ALL[name].params if not (getattr(one, "help", None) or "").strip()]
    assert not silent, f"dictate {name}: no help for {silent}"


@pytest.mark.parametrize("name", ALL)
def test_a_command_is_named_in_the_documents(name: str) -> None:
    assert re.search(rf"\bdictate {name}\b", README + DEVELOPERS)


def test_the_documents_name_no_command_that_does_not_exist() -> None:
    spoken_of = re.findall(r"`dictate ([a-z]+)", README + DEVELOPERS)
    assert spoken_of
    assert set(spoken_of) <= set(COMMANDS)


# ---------------------------------------------------------------- the contributors' guide


def test_the_picture_of_the_rooms_shows_every_room() -> None:
    picture = blocks(DEVELOPERS, "text")[0]
    shown = set(re.findall(r"^  (\w+(?:\.py|/))\s", picture, re.MULTILINE))
    package = ROOT / "dictate"
    rooms = {f"{path.parent.name}/" for path in package.glob("*/__init__.py")}
    files = {path.name for path in package.glob("*.py") if not path.name.startswith("__")}
    assert shown == rooms | files


def test_what_the_guide_points_to_is_there() -> None:
    pointed = re.findall(r"`((?:dictate|lexicon|tests|audio_samples|\.ci)/[\w./*-]*)`", DEVELOPERS)
    assert len(pointed) > 20
    assert [path for path in pointed if not list(ROOT.glob(path.rstrip("/")))] == []


def test_the_words_that_the_guide_adds_do_what_it_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    entries = "\n".join(blocks(DEVELOPERS, "toml"))
    (tmp_path / "guide.toml").write_text(entries, encoding="utf-8")
    monkeypatch.setenv("DICTATE_LEXICON", str(tmp_path))
    names = [entry["id"] for entry in tomllib.loads(entries)["cue"]]
    result = CliRunner().invoke(app, ["words", "check"])
    assert result.exit_code in (0, 1), result.output  # 2: the entries themselves are faulty
    assert names
    assert not [name for name in names if f'cue "{name}"' in result.output], result.output
    spoilt = entries.replace("no swelling", "swelling")
    assert spoilt != entries
    (tmp_path / "guide.toml").write_text(spoilt, encoding="utf-8")
    assert f'cue "{names[0]}"' in CliRunner().invoke(app, ["words", "check"]).output


# ---------------------------------------------------------------- what stands nowhere

PLACES = re.compile(
    r"(?<![\w./~])/(?:home|root|work|Users|mnt)/\w"  # a folder of somebody's machine
    r"|\b[A-Z]:\\Users\b"
    r"|\b(?:pypi|pythonhosted|npmjs|anaconda|huggingface)\.\w"  # a host that packages come from
)


def tracked() -> list[Path]:
    """The files under version control."""
    try:
        listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True).stdout
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("not a checkout: what is tracked cannot be told")
    return [path for name in listed.decode().split("\0") if name and (path := ROOT / name).is_file()]


def test_no_tracked_text_names_a_place_on_a_machine_or_a_registry() -> None:
    paths = tracked()
    assert ROOT / "pyproject.toml" in paths
    found = []
    for path in paths:
        data = path.read_bytes()
        if b"\0" in data:
            continue  # sound
        for number, line in enumerate(data.decode("utf-8").splitlines(), 1):
            if PLACES.search(line):
                found.append(f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}")
    assert not found


@pytest.mark.parametrize(
    "line", ["cd " + "/home" + "/ann/hens", "--index-url https://py" + "pi.org/simple", "in '" + "/root" + "/x'"]
)
def test_the_scan_for_places_sees_one(line: str) -> None:
    assert PLACES.search(line)


# What is left to the label, the local rules and a vet: an amount, and the name of a substance.
ADVICE = re.compile(
    r"\b(?:mg|ml|cc|mcg|iu)\s*(?:/|per)\s*\w"
    r"|\b(?:milli|micro)?(?:grams?|lit(?:re|er)s?|gallons?) (?:per|a|to (?:the|a))"
    r" (?:kilo|kg|bird|hen|lit(?:re|er)|gallon)"
    r"|\d\s*(?:mg|ml|cc|mcg|iu|drops)\b"
    r"|\b(?:recommended|correct|right|usual) (?:dose|dosage|amount)\b|\bdose of\b"
    r"|\b\w+(?:mectin|methrin|bendazole|floxacin|cycline|cillin|prolium|pronil|zuril|nosad)\b"
    r"|\b(?:sulfa|sulpha)\w+|\blevamisole\b|\bpiperazine\b|\bcarbaryl\b|\btylosin\b",
    re.IGNORECASE,
)


def printable() -> Iterator[tuple[str, str]]:
    """Every text that the program's own code holds, with its file; and the README."""
    for path in sorted((ROOT / "dictate").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield str(path.relative_to(ROOT)), node.value
    yield "README.md", README
    for name, command in ALL.items():
        yield f"dictate {name} --help", CliRunner().invoke(app, [*name.split(), "--help"]).output
        yield f"dictate {name}", command.help or ""


def test_no_text_of_the_program_names_a_substance_or_an_amount_to_give() -> None:
    found = [(where, hit[0]) for where, text in printable() if (hit := ADVICE.search(text))]
    assert not found


def test_a_note_that_asks_for_a_dose_gets_none() -> None:
    said = "Red nine has mites on the vent. How much should I give her per kilo? Tell me the dose and what to use."
    for more in ([], ["--explain"], ["--json"]):
        output = CliRunner().invoke(app, ["parse", said, *more]).output
        assert "mites" in output
        assert not ADVICE.search(output)


@pytest.mark.parametrize(
    "text",
    [
        "give 0.2 mg/kg", "2 ml per litre of water", "5 ml in the water", "the recommended dose is small",
        "dust her with per" + "methrin", "grams per bird",
    ],
)
def test_the_scan_for_advice_sees_it(text: str) -> None:
    assert ADVICE.search(text)


@pytest.mark.parametrize("text", ["2100 g", "lesion size 4 mm", "treated, eggs held back 7 days", "a drop in eggs"])
def test_the_scan_for_advice_lets_records_pass(text: str) -> None:
    assert not ADVICE.search(text)
