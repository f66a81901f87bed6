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


def load_vocabulary(lexicon: Path | None = None, overlay: Path | None = None) -> Vocabulary:
    """Read the shipped words (or those in `lexicon`) and the keeper's own, and merge them."""
    folder = find_lexicon(lexicon)
    faults: list[str] = []
    blocks, digest = read_blocks(folder, faults)
    if overlay is not None and overlay.is_dir():
        own, own_digest = read_blocks(overlay, faults, manifest=False)
        merge(blocks, own, faults)
        digest = hashlib.sha256(f"{digest}{own_digest}".encode()).hexdigest()
    entries = validate(blocks, faults)
    if faults:
        raise LexiconError(str(overlay or folder), faults)
    return Vocabulary(entries, digest)


Blocks = dict[tuple[str, str], tuple[str, int, dict[str, Any]]]


def read_blocks(folder: Path, faults: list[str], *, manifest: bool = True) -> tuple[Blocks, str]:
    """All blocks of all TOML files: {(kind, id): (file name, number in its kind, table)} and a digest."""
    blocks: Blocks = {}
    digest = hashlib.sha256()
    for path in sorted(folder.glob("*.toml")):
        try:
            raw = path.read_bytes()
            table = tomllib.loads(raw.decode("utf-8"))
        except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
            faults.append(f"{path.name}: cannot be read: {fault}")
            continue
        digest.update(path.name.encode() + b"\0" + raw)
        if path.name == MARKER:
            if manifest:
                check_manifest(path.name, table, faults)
            continue
        take_blocks(path.name, table, blocks, faults)
    return blocks, digest.hexdigest()


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
            if isinstance(value, list) and isinstance(base.get(field), list):
                base[field] = [*base[field], *(v for v in value if v not in base[field])]
            elif isinstance(value, dict) and isinstance(base.get(field), dict):
                base[field] = {
                    k: [*base[field].get(k, []), *value.get(k, [])] for k in {*base[field], *value}
                }
            else:
                base[field] = value
        if not isinstance(drop, list):
            faults.append(f'{name}, {key[0]} {number} "{key[1]}", key drop: expected a list of phrases')
            drop = []
        for field, value in base.items():
            if isinstance(value, list):
                base[field] = [v for v in value if v not in drop]
        blocks[key] = (name, number, base)


def validate(blocks: Blocks, faults: list[str]) -> dict[str, list[Entry]]:
    entries: dict[str, list[Entry]] = {kind: [] for kind in BLOCKS}
    for (kind, key), (name, number, row) in blocks.items():
        try:
            entries[kind].append(BLOCKS[kind].model_validate(row))
        except ValidationError as fault:
            faults.extend(f'{name}, {kind} {number} "{key}", {worded(error)}' for error in fault.errors())
    known = {entry.id for entry in entries["region"]}
    for sign in entries["sign"]:
        parts = [getattr(sign, key, ()) for key in ("on", "denied", "usual")]
        named = {region for part in parts for region in part} | {getattr(sign, "home", "")} - {""}
        faults.extend(
            f'sign "{sign.id}": "{region}" is not a region; see regions.toml'
            for region in sorted(named - known)
        )
    return entries


def worded(error: Any) -> str:
    """One pydantic error as: key: what was expected, what was found."""
    where = ".".join(str(part) for part in error["loc"]) or "the file"
    found = error.get("input")
    shown = f', found "{found}"' if isinstance(found, str | int | float) else ""
    return f"key {where}: {error['msg'][0].lower()}{error['msg'][1:]}{shown}"
