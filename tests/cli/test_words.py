"""dictate words: checking, adding and showing."""

from __future__ import annotations

import json
import shutil
import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from dictate.cli.main import app
from dictate.vocabulary import find_lexicon, load_vocabulary
from dictate.vocabulary.own_words import add_phrase

runner = CliRunner()


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The keeper's folder of own words, not made yet."""
    folder = tmp_path / "own"
    monkeypatch.setenv("DICTATE_LEXICON", str(folder))
    return folder


def run(*arguments: str) -> Result:
    return runner.invoke(app, ["words", *arguments])


def understood(text: str) -> list[tuple[str, str]]:
    record = json.loads(runner.invoke(app, ["parse", text, "--json"]).stdout)
    return [(f["region"], f["sign"]) for exam in record["exams"] for f in exam["findings"]]


def test_an_added_word_is_understood_at_once(own: Path) -> None:
    assert understood("her comb is wobblesome") == []
    result = run("add", "wobblesome", "--means", "swelling")
    assert result.exit_code == 0, result.output
    assert understood("her comb is wobblesome") == [("comb", "swelling")]
    assert "wobblesome" in load_vocabulary(None, own).spoken_phrases()


def test_several_words_for_one_thing(own: Path) -> None:
    for word in ("wobblesome", 'the "puffs"', "dangly"):
        assert run("add", word, "--means", "swelling").exit_code == 0
    phrases = {phrase for phrase, meaning in load_vocabulary(None, own).phrases() if meaning.id == "swelling"}
    assert {"wobblesome", 'the "puffs"', "dangly"} <= phrases


def test_what_a_person_wrote_stays_as_it_was(own: Path) -> None:
    own.mkdir()
    mine = '# my words\n[[sign]]\nid = "swelling"   # as my gran said\nsay = ["lumpsome"]\n'
    mine += '\n[[region]]\nid = "crop"\n'
    (own / "mine.toml").write_text(mine)
    add_phrase(own, "sign", "swelling", "wobblesome")
    add_phrase(own, "region", "crop", "the bag")
    written = (own / "mine.toml").read_text()
    assert written.startswith('# my words\n[[sign]]\nid = "swelling"   # as my gran said\n')
    rows = tomllib.loads(written)
    assert rows["sign"] == [{"id": "swelling", "say": ["wobblesome", "lumpsome"]}]
    assert rows["region"] == [{"id": "crop", "say": ["the bag"]}]


def test_a_word_for_something_unknown_or_of_two_senses_is_refused(own: Path) -> None:
    result = run("add", "wobblesome", "--means", "flibber")
    assert result.exit_code == 2
    assert "flibber" in result.stderr
    assert not own.exists()


def test_a_fault_in_own_words_is_named_and_nothing_is_added(own: Path) -> None:
    own.mkdir()
    (own / "mine.toml").write_text('[[sign]]\nid = "swelling"\nsay = "not a list"\nodd = 1\n')
    before = (own / "mine.toml").read_text()
    result = run("add", "wobblesome", "--means", "swelling")
    assert result.exit_code == 2
    assert "mine.toml" in result.stderr
    assert (own / "mine.toml").read_text() == before
    assert run("check").exit_code == 2


def test_the_shipped_words_have_no_fault() -> None:
    result = run("check")
    assert result.exit_code == 0, result.stderr
    assert "0 faults" in result.stdout


def test_an_example_that_does_not_give_what_it_expects_is_named(tmp_path: Path) -> None:
    folder = tmp_path / "lexicon"
    shutil.copytree(find_lexicon(), folder)
    cues = (folder / "cues.toml").read_text()
    (folder / "cues.toml").write_text(cues.replace('expect = ["neck: no lice"]', 'expect = ["neck: lice"]'))
    result = runner.invoke(app, ["--lexicon", str(folder), "words", "check"])
    assert result.exit_code == 1
    assert "neck: no lice" in result.stderr


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    folder = tmp_path / "lexicon"
    shutil.copytree(find_lexicon(), folder)
    with (folder / "signs.toml").open("a") as file:
        file.write('\n[[sign]]\nid = "x"\ncolour = 1\n[[sign]]\nid = "y"\nhome = "moon"\n')
    result = runner.invoke(app, ["--lexicon", str(folder), "words", "check"])
    assert result.exit_code == 2
    assert "colour" in result.stderr
    assert "moon" in result.stderr


def test_a_lexicon_that_is_not_there(tmp_path: Path) -> None:
    result = runner.invoke(app, ["--lexicon", str(tmp_path / "none"), "words", "check"])
    assert result.exit_code == 2
    assert "none" in result.stderr


def test_show() -> None:
    assert "nostril" in run("show", "nare").stdout
    assert "region  nare" in run("show", "nostril").stdout
    entries = json.loads(run("show", "grade", "--json").stdout)["entries"]
    assert [entry["id"] for entry in entries] == ["slight", "moderate", "severe"]
    assert len(run("show").stdout.splitlines()) > 80
    assert "read it back" in run("show", "command").stdout
    assert run("show", "flibber").exit_code == 2
