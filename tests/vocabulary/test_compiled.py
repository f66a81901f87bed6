"""What is made of the words is kept, and nothing kept is ever trusted more than the words themselves."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from dictate.errors import LexiconError
from dictate.extraction import extract_text
from dictate.extraction.assemble import Extractor
from dictate.model import draft_record
from dictate.vocabulary import Vocabulary, compiled, load, load_vocabulary
from dictate.vocabulary.compiled import MOST, Shelf

TEXT = "Blue 42, left hock is swolen, no lice, isn't lame. Recheck in ten days."


def files(cache: Path) -> list[Path]:
    return sorted(path for path in cache.rglob("*") if path.is_file())


def same_words(one: Vocabulary, other: Vocabulary) -> bool:
    return (
        one.digest == other.digest
        and list(one.phrases()) == list(other.phrases())
        and dict(one.signs) == dict(other.signs)
    )


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A cache folder in which everything was kept once."""
    Extractor(load_vocabulary(cache=tmp_path / "cache"))
    assert files(tmp_path / "cache")
    return tmp_path / "cache"


def test_what_is_kept_gives_the_same_words_without_reading_them(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fresh = load_vocabulary()
    monkeypatch.setattr(load, "read_blocks", lambda *_, **__: pytest.fail("the word files are read"))
    again = load_vocabulary(cache=kept)
    assert same_words(again, fresh)
    assert Extractor(again).text(TEXT) == Extractor(fresh).text(TEXT)


def test_nothing_is_written_where_all_is_kept(kept: Path) -> None:
    before = {path: path.stat().st_mtime_ns for path in files(kept)}
    Extractor(load_vocabulary(cache=kept))
    assert {path: path.stat().st_mtime_ns for path in files(kept)} == before


@pytest.mark.parametrize("harm", ["cut", "a byte", "empty", "another's", "no JSON"])
def test_a_damaged_file_is_made_again(kept: Path, harm: str) -> None:
    good = {path: path.read_bytes() for path in files(kept)}
    for path, raw in good.items():
        other = next(content for name, content in good.items() if name != path)
        wrong = {
            "cut": raw[: len(raw) // 2],
            "a byte": raw[:-9] + b"X" + raw[-8:],
            "empty": b"",
            "another's": other[:65] + raw[65:],
            "no JSON": b"\xff" * 90,
        }[harm]
        path.write_bytes(wrong)
    again = load_vocabulary(cache=kept)
    assert same_words(again, load_vocabulary())
    assert draft_record(Extractor(again).text(TEXT)) == draft_record(extract_text(TEXT, load_vocabulary()))
    assert {path: path.read_bytes() for path in files(kept)} == good


def test_other_code_makes_it_again(tmp_path: Path) -> None:
    code = tmp_path / "code.py"
    made: list[int] = []

    def take() -> int:
        return Shelf(tmp_path, "x").take("thing", (str(code),), lambda: made.append(1) or len(made))  # type: ignore[func-returns-value]

    code.write_text("one", encoding="utf-8")
    assert [take(), take()] == [1, 1]
    code.write_text("two", encoding="utf-8")
    assert [take(), take()] == [2, 2]


def test_a_keepers_word_works_at_once_and_goes_at_once(kept: Path, tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()

    def signs(text: str) -> list[str]:
        words = load_vocabulary(overlay=own, cache=kept)
        return [f.sign for exam in extract_text(text, words).exams for f in exam.findings]

    assert signs("The left hock is flumpish.") == []
    for word in ("flumpish", "flumped"):
        (own / "own.toml").write_text(f'[[sign]]\nid = "swelling"\nsay = ["{word}"]', encoding="utf-8")
        assert signs(f"The left hock is {word}.") == ["swelling"]
    assert signs("The left hock is flumpish.") == []
    (own / "own.toml").unlink()
    assert signs("The left hock is flumped.") == []


def test_faulty_words_are_told_every_time_and_never_kept(tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "own.toml").write_text('[[sign]]\nid = "x"\nsays = ["y"]', encoding="utf-8")
    for _ in range(2):
        with pytest.raises(LexiconError, match="says"):
            load_vocabulary(overlay=own, cache=tmp_path / "cache")
    assert not (tmp_path / "cache").exists()


def test_a_cache_that_cannot_be_written_is_done_without(tmp_path: Path) -> None:
    (tmp_path / "cache").write_text("a file where the folder should be", encoding="utf-8")
    assert same_words(load_vocabulary(cache=tmp_path / "cache"), load_vocabulary())


def test_a_write_that_is_broken_off_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    assert Shelf(tmp_path, "x").take("thing", (), lambda: [1]) == [1]
    assert files(tmp_path) == []


def test_only_the_word_lists_used_last_stay(tmp_path: Path) -> None:
    for n in range(MOST + 3):
        Shelf(tmp_path, f"words {n}").take("thing", (compiled.__file__,), lambda: {"a": 1})
    assert len(list((tmp_path / compiled.FOLDER).iterdir())) == MOST
    [newest] = (tmp_path / compiled.FOLDER / f"words {MOST + 2}").iterdir()
    assert json.loads(newest.read_bytes().split(b"\n", 1)[1]) == {"a": 1}
