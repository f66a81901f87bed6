"""The keeper's own words: put one more phrase into their folder, without touching what a person wrote."""

from __future__ import annotations

import json
import re
import shutil
import tempfile
import tomllib
from pathlib import Path

from dictate.errors import LexiconError, UsageError
from dictate.vocabulary.load import MARKER, load_vocabulary
from dictate.vocabulary.words import Vocabulary

__all__ = ["add_phrase", "meanings_of"]

ADDED = "added.toml"
HEADER = "# Words added with: dictate words add. You may edit this file, or write others beside it.\n"


def meanings_of(word: str, vocabulary: Vocabulary) -> list[tuple[str, str]]:
    """The entries, as (kind, id), that a word means: those it is the name of, else all it may be said for."""
    wanted = " ".join(word.lower().split())
    named = [(kind, wanted) for kind in ("region", "sign") if wanted in vocabulary.entries(kind)]
    said = [(m.kind, m.id) for phrase, m in vocabulary.phrases() if phrase.lower() == wanted]
    return named or list(dict.fromkeys(said))


def add_phrase(folder: Path, kind: str, entry: str, phrase: str, *, lexicon: Path | None = None) -> Path:
    """Add a way of saying an entry to the keeper's folder, which is made where it is missing.

    The entry's block there gets the phrase, or a new block is put at the end of added.toml. All words
    are checked as they would then be; where that finds a fault, LexiconError is raised and
    nothing is changed. Returns the file that was written.
    """
    phrase = " ".join(phrase.split())
    if not phrase:
        raise UsageError("adding a word", found="it is empty")
    path, text = _with_phrase(folder, kind, entry, phrase)
    with tempfile.TemporaryDirectory() as trial:
        for file in folder.glob("*.toml") if folder.is_dir() else ():
            shutil.copy(file, trial)
        (Path(trial) / path.name).write_text(text, encoding="utf-8")
        load_vocabulary(lexicon, Path(trial))
    try:
        folder.mkdir(parents=True, exist_ok=True)
        new = path.with_suffix(".new")
        new.write_text(text, encoding="utf-8")
        new.replace(path)
    except OSError as error:
        raise LexiconError(str(path), [f"it cannot be written: {error.strerror or error}"]) from error
    return path


def _with_phrase(folder: Path, kind: str, entry: str, phrase: str) -> tuple[Path, str]:
    """The file to write and its new text."""
    for path in sorted(folder.glob("*.toml")) if folder.is_dir() else ():
        text = path.read_text(encoding="utf-8")
        rows = [] if path.name == MARKER else tomllib.loads(text).get(kind, [])
        for number, row in enumerate(rows if isinstance(rows, list) else []):
            if isinstance(row, dict) and row.get("id") == entry:
                return path, _inserted(text, kind, number, phrase)
    path = folder / ADDED
    text = path.read_text(encoding="utf-8") if path.is_file() else HEADER
    return path, f"{text.rstrip()}\n\n[[{kind}]]\nid = {_quoted(entry)}\nsay = [{_quoted(phrase)}]\n"


def _inserted(text: str, kind: str, number: int, phrase: str) -> str:
    """The text with the phrase put first into the list `say` of the block of that number."""
    heads = list(re.finditer(rf"^[ \t]*\[\[[ \t]*{re.escape(kind)}[ \t]*\]\].*$", text, re.MULTILINE))
    start = heads[number].end()
    following = re.compile(r"^[ \t]*\[", re.MULTILINE).search(text, start)
    end = following.start() if following else len(text)
    said = re.compile(r"^[ \t]*say[ \t]*=[ \t]*\[", re.MULTILINE).search(text, start, end)
    if said is None:
        return f"{text[:start]}\nsay = [{_quoted(phrase)}]{text[start:]}"
    return f"{text[: said.end()]}{_quoted(phrase)}, {text[said.end():]}"


def _quoted(text: str) -> str:
    """A TOML string: JSON's way of writing one is allowed there."""
    return json.dumps(text, ensure_ascii=False)
