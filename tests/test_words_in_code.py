"""No word of the trade in code: what names a part of the body, a sign or a parasite stands in the lexicon alone."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from dictate.vocabulary import load_vocabulary

PACKAGE = Path(__file__).resolve().parent.parent / "dictate"

# Words that are something else too, and stand in code as that. Nothing gets in here without its reason.
ENGLISH = {
    # ids that the rules of the record name (extraction/hits.py) and kinds of measurement that it has
    "normal": "the sign of a good word",
    "general": "the region of the whole bird",
    "skin": "the region of none said",
    "breathing": "a region, and a rate",
    "plumage": "the region of feathers",
    "abdomen": "abdomen depth",
    "lesion": "lesion size",
    # keys and kinds of the lexicon's entries
    "mass": "a quantity",
    "weak": "a list of weak words",
    "limb": "a key of regions",
    # of files, discs, texts, registers and commands
    "broken": "of files",
    "closed": "of files",
    "cut": "of texts",
    "empty": "of files",
    "full": "of the disk",
    "leg": "where a ring is worn",
    "scratch": "scratch that",
    "breaths": "of the speaker",
    "digits": "of numbers",
    "dropping": "of feathers, or leaving out",
    "breath": "of the speaker",
    "comb": "in the name of the program",
    "vent": "in the name of the program",
    "mouth": "what the program speaks with",
    # ordinary English in rules of grammar
    "back": "back to",
    "dry": "",
    "fat": "size",
    "smell": "a verb",
    "hot": "hot water",
    "nose": "on the nose",
    "ear": "a rule of spelling",
}


@cache
def trade_words() -> frozenset[str]:
    """Single words that name a region or a thing found on one, and all ids of regions and signs."""
    vocabulary = load_vocabulary()
    words = {phrase for region in vocabulary.regions.values() for phrase in (region.id, *region.say, *region.plural)}
    words |= {phrase for sign in vocabulary.signs.values() for phrase in (sign.id, *sign.noun)}
    return frozenset(word.lower() for word in words if re.fullmatch(r"[a-zA-Z]+", word))


def literals(source: str) -> Iterator[tuple[int, str]]:
    """(line, text) of every string that is no docstring."""
    tree = ast.parse(source)
    kinds = (ast.Module, ast.ClassDef, ast.FunctionDef)
    explained = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, kinds) and node.body and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in explained:
            yield node.lineno, node.value


def found_in(source: str) -> list[tuple[int, str]]:
    return [
        (line, word)
        for line, text in literals(source)
        for word in re.findall(r"[a-z]+", text.lower())
        if word in trade_words() and word not in ENGLISH
    ]


# Rooms that understand and keep. What is printed for a person (cli, review) is wording, not rules.
ROOMS = ("vocabulary", "extraction", "speech", "log", "care", "flock", "live", "intake")
# A rule named after what it was made for: the name is printed by --explain and decides nothing.
NAMES_OF_RULES = {
    "looking.py": {"lameness": "the name of a rule"},
}


@pytest.mark.parametrize("room", ROOMS)
def test_no_string_in_code_holds_a_word_of_the_trade(room: str) -> None:
    faults = [
        f"{path.relative_to(PACKAGE)}, line {line}: {word}"
        for path in sorted((PACKAGE / room).rglob("*.py"))
        for line, word in found_in(path.read_text(encoding="utf-8"))
        if word not in NAMES_OF_RULES.get(path.name, {})
    ]
    assert faults == []


def test_the_scan_sees_a_word_and_passes_over_docstrings_and_comments() -> None:
    source = 'def f(word):\n    """A wattle."""\n    return word in ("a", "red wattle")  # wattle\n'
    assert found_in(source) == [(3, "wattle")]


def test_every_exception_is_still_needed() -> None:
    used = {
        word
        for path in PACKAGE.rglob("*.py")
        for _, text in literals(path.read_text(encoding="utf-8"))
        for word in re.findall(r"[a-z]+", text.lower())
    }
    assert ENGLISH.keys() - (used & trade_words()) == set()
