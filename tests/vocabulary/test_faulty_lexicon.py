"""A faulty word file: every fault is told, all at once, with file, entry, key, what was found and what is allowed."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.errors import LexiconError
from dictate.vocabulary import load_vocabulary

# (name, the keeper's file, words that the one fault must contain)
FAULTS: list[tuple[str, str, list[str]]] = [
    ("kind not known", '[[feather]]\nid = "x"', ["own.toml", "[[feather]]", "allowed", "region", "sign", "cue"]),
    ("one bracket", '[sign]\nid = "x"', ["own.toml", "[[sign]]", "two brackets"]),
    ("no id", '[[sign]]\nsay = ["x"]', ["own.toml", "sign 1", "id", "missing"]),
    ("no id in the second", '[[sign]]\nid = "x"\n[[sign]]\nsay = ["y"]', ["own.toml", "sign 2", "id"]),
    ("id is a number", "[[sign]]\nid = 3", ["own.toml", "sign 1", "key id", "string", "3"]),
    ("id twice", '[[sign]]\nid = "x"\n[[sign]]\nid = "x"', ["own.toml", "sign 2", '"x"', "twice"]),
    ("key not known", '[[sign]]\nid = "x"\nsays = ["y"]', ["own.toml", "sign 1", '"x"', "key says", "not permitted"]),
    ("text for a list", '[[sign]]\nid = "x"\nsay = "glow"', ["own.toml", "sign 1", "key say", "glow"]),
    ("number for a phrase", '[[sign]]\nid = "x"\nsay = ["y", 3]', ["own.toml", "sign 1", "key say.1", "string", "3"]),
    ("empty phrase", '[[sign]]\nid = "x"\nsay = [""]', ["own.toml", "sign 1", "key say.0", "at least 1"]),
    ("blank at the end", '[[sign]]\nid = "x"\nsay = ["glow "]', ["own.toml", "sign 1", "key say.0", "glow "]),
    ("category", '[[cue]]\nid = "x"\ncategory = "never"',
     ["own.toml", "cue 1", "key category", "never", "absent", "doubtful", "past"]),
    ("category missing", '[[cue]]\nid = "x"', ["own.toml", "cue 1", "key category", "required"]),
    ("direction", '[[cue]]\nid = "x"\ncategory = "absent"\ndirection = "up"',
     ["own.toml", "cue 1", "key direction", "up", "forward", "backward", "alone"]),
    ("reach in words", '[[cue]]\nid = "x"\ncategory = "absent"\nreach = "eight"',
     ["own.toml", "cue 1", "key reach", "integer", "eight"]),
    ("reach nought", '[[cue]]\nid = "x"\ncategory = "absent"\nreach = 0',
     ["own.toml", "cue 1", "key reach", "greater than or equal to 1", "0"]),
    ("step of a grade", '[[grade]]\nid = "x"\nstep = 4', ["own.toml", "grade 1", "key step", "4", "1, 2 or 3"]),
    ("order missing", '[[region]]\nid = "x"', ["own.toml", "region 1", "key order", "required"]),
    ("yes for true", '[[region]]\nid = "x"\norder = 1\npaired = "yes"', ["own.toml", "region 1", "key paired", "yes"]),
    ("unit of no kind", '[[unit]]\nid = "x"\nquantity = "luck"\nfactor = 1.0\nunit = "g"',
     ["own.toml", "unit 1", "key quantity", "luck", "mass"]),
    ("region not known", '[[sign]]\nid = "x"\nusual = ["elbow"]', ['sign "x"', "elbow", "region"]),
    ("home not known", '[[sign]]\nid = "x"\nhome = "elbow"', ['sign "x"', "elbow", "region"]),
    ("place not known", '[[sign]]\nid = "x"\n[sign.on]\nelbow = ["y"]', ['sign "x"', "elbow", "region"]),
    ("text for a list at a place", '[[sign]]\nid = "x"\n[sign.on]\neye = "glow"', ["own.toml", "key on.eye", "glow"]),
    ("drop is text", '[[sign]]\nid = "redness"\ndrop = "sore"', ["own.toml", "sign 1", "key drop", "list"]),
    ("no TOML", '[[sign]\nid = "x"', ["own.toml", "cannot be read", "line 1"]),
]


@pytest.fixture(scope="module")
def shipped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A lexicon of one region and one sign, for speed."""
    folder = tmp_path_factory.mktemp("shipped")
    (folder / "lexicon.toml").write_text('format = 1\nlanguage = "en"\nrelease = "1"', encoding="utf-8")
    (folder / "all.toml").write_text(
        '[[region]]\nid = "eye"\norder = 1\n[[sign]]\nid = "redness"\nsay = ["sore"]\non = {eye = ["red"]}',
        encoding="utf-8",
    )
    return folder


def faults_of(folder: Path, shipped: Path) -> list[str]:
    with pytest.raises(LexiconError) as caught:
        load_vocabulary(shipped, folder)
    assert "dictate words check" in str(caught.value)
    for fault in caught.value.faults:
        assert fault in str(caught.value)
    return caught.value.faults


@pytest.mark.parametrize(("text", "told"), [row[1:] for row in FAULTS], ids=[row[0] for row in FAULTS])
def test_a_fault_is_told(tmp_path: Path, shipped: Path, text: str, told: list[str]) -> None:
    (tmp_path / "own.toml").write_text(text, encoding="utf-8")
    [fault] = faults_of(tmp_path, shipped)
    assert [word for word in told if word not in fault] == [], fault


def test_a_list_of_words_for_entries_is_told(tmp_path: Path, shipped: Path) -> None:
    (tmp_path / "own.toml").write_text('sign = ["redness"]', encoding="utf-8")
    [fault] = faults_of(tmp_path, shipped)
    assert [word for word in ("own.toml", "sign 1", "[[sign]]", "redness") if word not in fault] == [], fault


def test_text_for_a_list_at_a_place_of_a_shipped_sign_is_told(tmp_path: Path, shipped: Path) -> None:
    (tmp_path / "own.toml").write_text('[[sign]]\nid = "redness"\n[sign.on]\neye = "ruddy"', encoding="utf-8")
    [fault] = faults_of(tmp_path, shipped)
    assert [word for word in ("own.toml", '"redness"', "key on.eye", "ruddy") if word not in fault] == [], fault


def test_the_small_lexicon_has_no_fault_itself(shipped: Path) -> None:
    assert list(load_vocabulary(shipped).signs) == ["redness"]


def test_all_faults_of_all_files_are_told_at_once(tmp_path: Path, shipped: Path) -> None:
    for n, (_, text, _) in enumerate(FAULTS):
        text = text.replace('"x"', f'"x{n}"')
        (tmp_path / f"own{n:02}.toml").write_text(text, encoding="utf-8")
    told = faults_of(tmp_path, shipped)
    for n, (name, _, words) in enumerate(FAULTS):
        words = [word.replace("own.toml", f"own{n:02}.toml").replace('"x"', f'"x{n}"') for word in words]
        assert any(all(word in fault for word in words) for fault in told), name
    assert len(told) == len(FAULTS)


def test_a_file_that_is_not_in_utf_8_is_named(tmp_path: Path, shipped: Path) -> None:
    (tmp_path / "old.toml").write_bytes(b'[[sign]]\nid = "\xff"')
    [fault] = faults_of(tmp_path, shipped)
    assert "old.toml" in fault


def test_a_folder_without_words_names_every_place(tmp_path: Path) -> None:
    with pytest.raises(LexiconError, match=r"lexicon\.toml") as caught:
        load_vocabulary(tmp_path / "nowhere")
    assert str(tmp_path / "nowhere") in str(caught.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('format = 2\nlanguage = "en"\nrelease = "1"', ["key format", "1", "2"]),
        ("format = 1", ["key language", "key release"]),
        ('format = 1\nlanguage = "en"\nrelease = "1"\nowner = "me"', ["key owner"]),
    ],
)
def test_a_faulty_manifest_is_told(tmp_path: Path, text: str, told: list[str]) -> None:
    (tmp_path / "lexicon.toml").write_text(text, encoding="utf-8")
    with pytest.raises(LexiconError) as caught:
        load_vocabulary(tmp_path)
    assert [word for word in told if not any(word in fault for fault in caught.value.faults)] == []
    assert all(fault.startswith("lexicon.toml") for fault in caught.value.faults)
