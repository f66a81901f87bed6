"""Find, read, check and merge the word files into one immutable Vocabulary.

The folder is looked for in this order, the first that holds lexicon.toml wins: the folder given,
inside the installed package, beside the package in a checkout. A keeper's own folder (the overlay)
has files of the same shape; its entries are merged by id: lists are added to, `drop` takes phrases
away, other keys replace. All faults are reported at once.
"""

from __future__ import annotations

import hashlib
import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from dictate.errors import LexiconError
from dictate.vocabulary import entries
from dictate.vocabulary.compiled import Shelf
from dictate.vocabulary.entries import BLOCKS, Entry, Manifest
from dictate.vocabulary.words import Vocabulary

__all__ = ["find_lexicon", "load_vocabulary", "read_blocks"]

MARKER = "lexicon.toml"


def find_lexicon(given: Path | None = None) -> Path:
    """The folder of the shipped words; LexiconError names every place looked at."""
    package = Path(str(files("dictate")))
    places = [given] if given else [package / "lexicon", package.parent / "lexicon"]
    for place in places:
        if (place / MARKER).is_file():
            return place
    raise LexiconError(
        " or ".join(str(place) for place in places),
        [f"no {MARKER} there: a folder of word files is wanted"],
    )


def load_vocabulary(
    lexicon: Path | None = None, overlay: Path | None = None, *, cache: Path | None = None
) -> Vocabulary:
    """Read the shipped words (or those in `lexicon`) and the keeper's own, and merge them.

    `cache`: the user's cache folder, where what is made of the words is kept for the next time.
    """
    folder = find_lexicon(lexicon)
    faults: list[str] = []
    files = _files(folder, faults)
    own = _files(overlay, faults) if overlay is not None and overlay.is_dir() else None
    digest = _digest(files)
    if own is not None:
        digest = hashlib.sha256(f"{digest}{_digest(own)}".encode()).hexdigest()
    shelf = Shelf(cache, digest)

    def merged() -> list[Any]:
        blocks = read_blocks(files, faults)
        if own is not None:
            merge(blocks, read_blocks(own, faults, manifest=False), faults)
        validate(blocks, faults)
        if faults:
            raise LexiconError(str(overlay or folder), faults)
        return [[kind, row] for (kind, _), (_, _, row) in blocks.items()]

    rows = merged() if faults else shelf.take("words", (__file__, entries.__file__), merged)
    found: dict[str, list[Entry]] = {kind: [] for kind in BLOCKS}
    for kind, row in rows:
        found[kind].append(BLOCKS[kind].model_validate(row))
    return Vocabulary(found, digest, shelf)


Blocks = dict[tuple[str, str], tuple[str, int, dict[str, Any]]]
Files = list[tuple[str, bytes]]


def _files(folder: Path, faults: list[str]) -> Files:
    """(name, content) of the word files of a folder, in the order of their names."""
    found: Files = []
    for path in sorted(folder.glob("*.toml")):
        try:
            found.append((path.name, path.read_bytes()))
        except OSError as fault:
            faults.append(f"{path.name}: cannot be read: {fault}")
    return found


def _digest(files: Files) -> str:
    digest = hashlib.sha256()
    for name, raw in files:
        digest.update(name.encode() + b"\0" + raw)
    return digest.hexdigest()


def read_blocks(files: Files, faults: list[str], *, manifest: bool = True) -> Blocks:
    """All blocks of all files: {(kind, id): (file name, number in its kind, table)}."""
    blocks: Blocks = {}
    for name, raw in files:
        try:
            table = tomllib.loads(raw.decode("utf-8"))
        except (UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
            faults.append(f"{name}: cannot be read: {fault}")
            continue
        if name == MARKER:
            if manifest:
                check_manifest(name, table, faults)
            continue
        take_blocks(name, table, blocks, faults)
    return blocks


def check_manifest(name: str, table: dict[str, Any], faults: list[str]) -> None:
    try:
        Manifest.model_validate(table)
    except ValidationError as fault:
        faults.extend(f"{name}, {worded(error)}" for error in fault.errors())


def take_blocks(name: str, table: dict[str, Any], blocks: Blocks, faults: list[str]) -> None:
    for kind, rows in table.items():
        if kind not in BLOCKS:
            faults.append(f"{name}: [[{kind}]] is not a kind of entry; allowed: {', '.join(sorted(BLOCKS))}")
            continue
        if not isinstance(rows, list):
            faults.append(f"{name}: write [[{kind}]] with two brackets on each side")
            continue
        for number, row in enumerate(rows, 1):
            if not isinstance(row, dict):
                faults.append(f'{name}, {kind} {number}: expected a block [[{kind}]] with keys, found "{row}"')
                continue
            key = (kind, str(row.get("id", "")))
            if not key[1]:
                faults.append(f"{name}, {kind} {number}: the key id is missing")
            elif key in blocks:
                faults.append(f'{name}, {kind} {number} "{key[1]}": the id is used twice ({blocks[key][0]})')
            else:
                blocks[key] = (name, number, row)


def merge(blocks: Blocks, own: Blocks, faults: list[str]) -> None:
    """Lay the keeper's entries over the shipped ones."""
    for key, (name, number, row) in own.items():
        base = dict(blocks[key][2]) if key in blocks else {}
        drop = row.pop("drop", [])
        for field, value in row.items():
            base[field] = _laid_over(base.get(field), value)
        if not isinstance(drop, list):
            faults.append(f'{name}, {key[0]} {number} "{key[1]}", key drop: expected a list of phrases')
            drop = []
        blocks[key] = (name, number, {field: _without(value, drop) for field, value in base.items()})


def _laid_over(base: Any, value: Any) -> Any:
    """A list adds to a list, a table to a table; anything else takes the place of what was there."""
    if isinstance(value, list) and isinstance(base, list):
        return [*base, *(v for v in value if v not in base)]
    if isinstance(value, dict) and isinstance(base, dict):
        return base | {k: _laid_over(base.get(k), v) for k, v in value.items()}
    return value


def _without(value: Any, drop: list[Any]) -> Any:
    """Lists, and the lists of a table, without the dropped phrases."""
    if isinstance(value, dict):
        return {k: _without(v, drop) for k, v in value.items()}
    return [v for v in value if v not in drop] if isinstance(value, list) else value


def validate(blocks: Blocks, faults: list[str]) -> None:
    """Tell every fault of every entry."""
    found: dict[str, list[Entry]] = {kind: [] for kind in BLOCKS}
    for (kind, key), (name, number, row) in blocks.items():
        try:
            found[kind].append(BLOCKS[kind].model_validate(row))
        except ValidationError as fault:
            faults.extend(f'{name}, {kind} {number} "{key}", {worded(error)}' for error in fault.errors())
    known = {entry.id for entry in found["region"]}
    for sign in found["sign"]:
        parts = [getattr(sign, key, ()) for key in ("on", "denied", "usual")]
        named = {region for part in parts for region in part} | {getattr(sign, "home", "")} - {""}
        faults.extend(
            f'sign "{sign.id}": "{region}" is not a region; see regions.toml'
            for region in sorted(named - known)
        )
    signs = {entry.id for entry in found["sign"]}
    for rule in found["look_again"]:
        faults.extend(
            f'look_again "{rule.id}": "{name}" is not a {kind}'
            for kind, names, there in (("sign", rule.signs, signs), ("region", rule.regions, known))  # type: ignore[attr-defined]
            for name in names
            if name not in there
        )


def worded(error: Any) -> str:
    """One pydantic error as: key: what was expected, what was found."""
    where = ".".join(str(part) for part in error["loc"]) or "the file"
    found = error.get("input")
    shown = f', found "{found}"' if isinstance(found, str | int | float) else ""
    return f"key {where}: {error['msg'][0].lower()}{error['msg'][1:]}{shown}"
