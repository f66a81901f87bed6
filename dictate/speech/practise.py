"""Phrases to read aloud, and what a listener made of them: which words it does not hear from this voice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dictate.vocabulary.patterns import tokens

if TYPE_CHECKING:
    from dictate.speech.listener import Block, Listener
    from dictate.vocabulary import Vocabulary

__all__ = ["Practice", "misheard", "phrases_to_read", "read_aloud"]

PHRASES = 10
GIVE_UP = 20.0  # seconds without a phrase
RATE = 16000


@dataclass(frozen=True, slots=True)
class Practice:
    """One phrase: what was to be read, what was heard, and the words of it that were not heard."""

    read: str
    heard: str
    missed: tuple[str, ...]
    errors: int

    @property
    def words(self) -> int:
        return len(tokens(self.read))


def phrases_to_read(vocabulary: Vocabulary, count: int = PHRASES) -> list[str]:
    """Short phrases that together hold all regions and the signs that belong to them, head to tail."""
    regions = list(vocabulary.head_to_tail)
    left = dict(vocabulary.signs)
    out = []
    for n in range(count):
        parts = []
        for place, region in enumerate(regions[n * len(regions) // count : (n + 1) * len(regions) // count]):
            side = f"{('left', 'right')[place % 2]} " if vocabulary.regions[region].paired else ""
            fitting = next((name for name, sign in left.items() if region in (sign.home, *sign.usual)), None)
            sign = left.pop(fitting) if fitting else None
            parts.append(f"{side}{region} {sign.id if sign else ''}".strip())
        out.append(" ".join(parts))
    return out


def read_aloud(listener: Listener, blocks: Iterable[Block]) -> Iterator[str]:
    """What is heard of a microphone, phrase by phrase; "" where nothing is said for GIVE_UP seconds."""
    hearing, waited = listener.begin(), 0.0
    for block in blocks:
        waited += (len(block) // 2 if isinstance(block, bytes) else len(block)) / RATE
        said = " ".join(utterance.text for utterance in hearing.feed(block))
        if said or waited >= GIVE_UP:
            yield said
            hearing, waited = listener.begin(), 0.0
    yield " ".join(utterance.text for utterance in hearing.finish())


def misheard(read: str, heard: str) -> Practice:
    """Compare word by word (fewest words changed, left out or put in)."""
    wanted, got = tokens(read), tokens(heard)
    rows: list[list[int]] = [list(range(len(got) + 1))]
    for n, word in enumerate(wanted, 1):
        row = [n]
        for m, other in enumerate(got, 1):
            row.append(min(rows[-1][m - 1] + (word != other), rows[-1][m] + 1, row[-1] + 1))
        rows.append(row)
    return Practice(read, heard, _missed(wanted, got, rows), rows[-1][-1])


def _missed(wanted: Sequence[str], got: Sequence[str], rows: Sequence[Sequence[int]]) -> tuple[str, ...]:
    missed = []
    n, m = len(wanted), len(got)
    while n:
        here = rows[n][m]
        if m and wanted[n - 1] == got[m - 1] and here == rows[n - 1][m - 1]:
            n, m = n - 1, m - 1
        elif here == rows[n - 1][m] + 1:
            n -= 1
            missed.append(wanted[n])
        elif m and here == rows[n][m - 1] + 1:
            m -= 1
        else:
            n, m = n - 1, m - 1
            missed.append(wanted[n])
    return tuple(reversed(missed))
