"""The program's own voice: what it said when, so that it is never taken for dictation.

While it speaks through a loudspeaker the microphone hears it too. Words heard inside such a stretch go no
further, nor words that only repeat what was said just before. Where they were not what the program said,
somebody spoke at the same time: then nothing of that phrase is taken, for half a sentence may mean another
thing, and the keeper is told. What the program said is kept as text beside the sound, a JSON line each,
which is also how a round that was cut off knows it.
"""

from __future__ import annotations

import json
from collections import deque
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from dictate.live.commands import in_words
from dictate.model import Utterance, Word

__all__ = ["OwnVoice", "Spoken", "transcript_path"]

BEFORE, AFTER = 0.15, 0.35
"""Seconds before and after, for the way through loudspeaker and room and for loose word times."""
OWN_SHARE = 0.5
"""This part of the words inside must be words of what was said, for the rest of the phrase to be taken."""
KEPT = 30
"""Stretches that are remembered."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """What was said, and from which second of sound to which (end None: it is still being said)."""

    text: str
    start: float
    end: float | None = None


class OwnVoice:
    """Knows what the program said of late, and takes it out of what was heard."""

    def __init__(self) -> None:
        self._spoken: deque[Spoken] = deque(maxlen=KEPT)

    @classmethod
    def read(cls, sound: Path) -> OwnVoice:
        """What was said during a recording, from the text beside it; nothing where there is none."""
        own = cls()
        with suppress(OSError, ValueError, KeyError, TypeError):
            for line in transcript_path(sound).read_text(encoding="utf-8").splitlines():
                row = json.loads(line)
                if row["how"] == "speech":
                    own._spoken.append(Spoken(row["text"], float(row["start"]), float(row["end"])))
        return own

    def begins(self, text: str, seconds: float) -> None:
        self._spoken.append(Spoken(text, seconds))

    def ends(self, seconds: float) -> None:
        if self._spoken and self._spoken[-1].end is None:
            self._spoken[-1] = replace(self._spoken[-1], end=seconds)

    def without(self, utterance: Utterance) -> tuple[Utterance | None, str]:
        """The keeper's part of an utterance (None where nothing may be taken), and the words left out."""
        if not self._spoken or utterance.start is None:
            return utterance, ""
        inside = tuple(word for word in utterance.words if self._inside(word))
        if not inside:
            return utterance, ""
        kept = tuple(word for word in utterance.words if word not in inside)
        said = self._said_before(utterance.start)
        if _share(inside, said) < OWN_SHARE or _share(kept, said) == 1.0:
            return None, utterance.text
        taken = " ".join(word.text for word in inside)
        start = kept[0].start if kept[0].start is not None else utterance.start
        end = kept[-1].end if kept[-1].end is not None else utterance.end
        return replace(utterance, words=kept, start=start, end=end), taken

    def _inside(self, word: Word) -> bool:
        if word.start is None or word.end is None:
            return False
        middle = (word.start + word.end) / 2
        return any(
            one.start - BEFORE <= middle and (one.end is None or middle <= one.end + AFTER)
            for one in self._spoken
        )

    def _said_before(self, start: float) -> frozenset[str]:
        """Words of what was being said at `start` or just before."""
        return frozenset(
            word for one in self._spoken if one.end is None or one.end + 2.0 >= start
            for word in in_words(one.text)
        )


def _share(words: tuple[Word, ...], said: frozenset[str]) -> float:
    """The part of the words that are among those said; 1 where there are none."""
    heard = [word for one in words for word in in_words(one.text)]
    return sum(word in said for word in heard) / len(heard) if heard else 1.0


def transcript_path(sound: Path) -> Path:
    """Where what the program said during a recording is kept."""
    return sound.with_suffix(".answers.jsonl")
