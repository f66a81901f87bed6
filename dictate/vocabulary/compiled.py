"""What is made of the word files once and then kept in the cache folder, so that a command starts at once.

A thing is kept under the digest of the words and the digest of the code that makes it, in a file whose first
line is the checksum of the rest. What is missing, damaged or of other words or other code is made again; a cache that
cannot be written is done without. Files are written whole and then put in place.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import Any

__all__ = ["Shelf"]

FOLDER = "lexicon"
MOST = 6  # word lists kept: of one holding, with and without its own words, and of former ones


class Shelf:
    """Things made of one set of words, by name. `cache`: the user's cache folder; None keeps nothing."""

    def __init__(self, cache: Path | None, digest: str) -> None:
        self.folder = cache / FOLDER / digest[:24] if cache is not None else None

    def take(self, name: str, code: Iterable[str | None], make: Callable[[], Any]) -> Any:
        """The thing of that name as JSON keeps it (lists, dicts, text, numbers, days), made by `make` if need be.

        `code`: the files (`__file__`) that make it; it is made again when one of them has changed.
        """
        if self.folder is None:
            return make()
        path = self.folder / f"{name}-{_digest_of(code)}.json"
        with contextlib.suppress(OSError, ValueError):
            return _read(path)
        made = make()
        with contextlib.suppress(OSError):
            _write(path, made)
        return made


def _digest_of(code: Iterable[str | None]) -> str:
    digest = hashlib.sha256()
    for path in (__file__, *code):
        digest.update(Path(str(path)).read_bytes())
    return digest.hexdigest()[:16]


def _read(path: Path) -> Any:
    """The thing in a file; ValueError if it is not as it was written."""
    checksum, _, body = path.read_bytes().partition(b"\n")
    if hashlib.sha256(body).hexdigest().encode() != checksum:
        raise ValueError(f"{path} is damaged")
    return json.loads(body)


def _write(path: Path, made: Any) -> None:
    body = json.dumps(made, ensure_ascii=False, separators=(",", ":"), default=date.isoformat).encode()
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix="new-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(hashlib.sha256(body).hexdigest().encode() + b"\n" + body)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    _tidy(path.parent.parent)


def _tidy(folder: Path) -> None:
    """Only the word lists used last are kept."""
    kept = sorted((p for p in folder.iterdir() if p.is_dir()), key=lambda p: p.stat().st_mtime, reverse=True)
    for old in kept[MOST:]:
        shutil.rmtree(old, ignore_errors=True)
