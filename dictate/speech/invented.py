"""Words that a recogniser made up: in silence, in noise, the same ones over and over, or those it was shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.model import Word

if TYPE_CHECKING:
    from dictate.speech.pieces import Piece

__all__ = ["without_echo", "without_invented", "without_loops"]

LONGEST_LOOP = 8  # words
REPEATS = 3  # that many times in a row is not how people talk, but for one word said thrice
ECHO = 6  # words in a row as they were shown: nobody says that by chance
OUTSIDE = 0.3  # seconds beyond any phrase that a word's time may be wrong


def without_invented(words: list[Word], piece: Piece) -> list[Word]:
    """The words that fall into the phrases of their piece, loops said once."""
    heard = [word for word in words if _in_speech(word, piece.phrases)]
    return without_loops(heard)


def _in_speech(word: Word, phrases: tuple[tuple[float, float], ...]) -> bool:
    if word.start is None or word.end is None:
        return True
    middle = (word.start + word.end) / 2
    return any(start - OUTSIDE <= middle <= end + OUTSIDE for start, end in phrases)


def without_loops(words: list[Word]) -> list[Word]:
    """Runs of the same words more than REPEATS times in a row shortened to one."""
    plain = [word.text.lower().strip(".,?!") for word in words]
    out: list[Word] = []
    at = 0
    while at < len(words):
        for length in range(1, LONGEST_LOOP + 1):
            times = _times(plain, at, length)
            if times > REPEATS:
                out += words[at : at + length]
                at += times * length
                break
        else:
            out.append(words[at])
            at += 1
    return out


def _times(plain: list[str], at: int, length: int) -> int:
    """How often the `length` words at a place come in a row."""
    unit, times = plain[at : at + length], 1
    while plain[at + times * length : at + (times + 1) * length] == unit and len(unit) == length:
        times += 1
    return times


def without_echo(words: list[Word], shown: str) -> list[Word]:
    """The words without those that only repeat, ECHO or more in a row, what the recogniser was shown."""
    pattern = _plain(shown)
    places: dict[str, list[int]] = {}
    for place, word in enumerate(pattern):
        places.setdefault(word, []).append(place)
    plain = [" ".join(_plain(word.text)) for word in words]
    out: list[Word] = []
    at = 0
    while at < len(words):
        longest = max((_same(plain, at, pattern, place) for place in places.get(plain[at], ())), default=0)
        if longest >= ECHO:
            at += longest
        else:
            out.append(words[at])
            at += 1
    return out


def _plain(text: str) -> list[str]:
    return "".join(c if c.isalnum() or c == "'" else " " for c in text.lower()).split()


def _same(words: list[str], at: int, pattern: list[str], place: int) -> int:
    """How many words from a place on are those of the pattern."""
    length = 0
    while at + length < len(words) and place + length < len(pattern) and words[at + length] == pattern[place + length]:
        length += 1
    return length
