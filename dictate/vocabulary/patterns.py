"""The little language in which patterns of talk are written (see sentences.py), read into a tree."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

__all__ = ["Choice", "Node", "Slot", "Words", "read_pattern", "tokens"]


def tokens(text: str) -> list[str]:
    """The words of a text as a recogniser knows them: small letters, hyphens parted, no other marks."""
    return re.findall(r"[a-z]+(?:'[a-z]+)*'?(?<!')|[a-z]+", text.lower().replace("’", "'"))


@dataclass(frozen=True, slots=True)
class Words:
    """Words to be said as they stand."""

    words: tuple[str, ...]


@dataclass(slots=True)
class Slot:
    """A place to be filled: {name:key:key}. `pools` is room for whoever fills it."""

    name: str
    keys: tuple[str, ...]
    pools: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the options, or perhaps none if `optional`."""

    options: tuple[tuple[Node, ...], ...]
    optional: bool


Node = Words | Slot | Choice


def read_pattern(pattern: str) -> tuple[tuple[Node, ...], float]:
    """The tree of a pattern, and how many times likelier it is than others ("… *3").

    Raises ValueError when its brackets do not match.
    """
    match = re.search(r"\s\*(\d+(?:\.\d+)?)$", pattern)
    if match is None:
        return _parse(pattern), 1.0
    return _parse(pattern[: match.start()]), float(match[1])


_PIECE = re.compile(r"\{[^{}]*\}|[\[\](|)]|[^\[\](|){}]+")


def _parse(text: str) -> tuple[Node, ...]:
    pieces = _PIECE.findall(text)
    options, rest = _parse_options(pieces, 0, "")
    if rest != len(pieces):
        raise ValueError("the brackets do not match")
    return options[0] if len(options) == 1 else (Choice(options, False),)


def _parse_options(pieces: list[str], at: int, closing: str) -> tuple[tuple[tuple[Node, ...], ...], int]:
    """The choices up to the closing bracket, and the place after it."""
    options: list[tuple[Node, ...]] = []
    nodes: list[Node] = []
    while at < len(pieces) and pieces[at] != closing:
        piece = pieces[at]
        at += 1
        if piece in "[(":
            inner, at = _parse_options(pieces, at, "]" if piece == "[" else ")")
            nodes.append(Choice(inner, piece == "["))
            if at >= len(pieces) or pieces[at] not in "])":
                raise ValueError("a bracket is not closed")
            at += 1
        elif piece == "|":
            options.append(tuple(nodes))
            nodes = []
        elif piece[0] == "{":
            name, *keys = piece[1:-1].split(":")
            nodes.append(Slot(name, tuple(keys)))
        elif piece in "])":
            raise ValueError("a bracket is closed that was not opened")
        elif words := tokens(piece):
            nodes.append(Words(tuple(words)))
    options.append(tuple(nodes))
    return tuple(options), at
