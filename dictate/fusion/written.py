"""What a recogniser wrote → plain words with their sounds and seconds.

Whisper writes as people write: capitals, commas, "2 ,100" in two pieces, "re -check". Talk is small
letters without marks, a number one word, a pause a gap in time.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from dictate.model import Utterance
from dictate.vocabulary.spoken_numbers import NumberSpeller

__all__ = ["Heard", "Writing"]

PAUSE = 0.3  # seconds without a word that are a pause
TORN = re.compile(r"[.,]\d")
NUMBER = re.compile(r"(\d+(?:\.\d+)?)(.*)")
PARTS = re.compile(r"[^a-z0-9.'%°]+")
ORDINAL = frozenset(("st", "nd", "rd", "th"))


@dataclass(slots=True)
class Heard:
    """One word as a recogniser wrote it: small letters, its sounds, its seconds, how sure it was (0..1).

    `pause`: a pause comes before it. `spoken`: a number in words; it stays as it is. `name`: written with
    a capital where no sentence begins.
    """

    word: str
    sounds: tuple[str, ...]
    start: float
    end: float
    confidence: float
    pause: bool = False
    spoken: tuple[str, ...] = ()
    name: bool = False


@dataclass(slots=True)
class _Raw:
    text: str
    start: float
    end: float
    confidence: float
    after_stop: bool


class Writing:
    """Reads what was written. `sounds` gives the sounds of a small-letter word."""

    def __init__(self, numbers: NumberSpeller, sounds: Callable[[str], tuple[str, ...]]) -> None:
        self._numbers, self._sounds = numbers, sounds

    def read(self, utterances: Iterable[Utterance]) -> list[Heard]:
        """All words in order; words without times are left out."""
        out: list[Heard] = []
        before: float | None = None
        for raw in _joined(utterances):
            pause = before is not None and raw.start - before >= PAUSE
            text = raw.text.lower().replace("’", "'").strip(".,?!:;-\"")
            parts = [part for part in PARTS.split(text) if part.strip(".'%°")]
            step = (raw.end - raw.start) / max(1, len(parts))
            for number, part in enumerate(parts):
                start = raw.start + number * step
                name = raw.text.strip()[:1].isupper() and not raw.after_stop
                heard = self._word(part.strip(".'"), start, start + step, raw.confidence, name)
                if heard:
                    heard[0].pause = pause and number == 0
                out += heard
            before = raw.end
        return _whole_numbers(out)

    def _word(self, part: str, start: float, end: float, confidence: float, name: bool) -> list[Heard]:
        match = NUMBER.fullmatch(part)
        if match is None:
            word = re.sub(r"[^a-z']", "", part)
            return [Heard(word, self._sounds(word), start, end, confidence, name=name)] if word else []
        digits, rest = match.groups()
        spoken = tuple(self._spoken(digits))
        if rest in ORDINAL:
            digits, rest = digits + rest, ""
        sounds = tuple(sound for word in spoken for sound in self._sounds(word))
        found = [Heard(digits, sounds, start, end, confidence, spoken=spoken)]
        if rest:
            sounds = self._sounds(rest) if rest.isalpha() else ()
            found.append(Heard(rest, sounds, end, end, confidence, spoken=(rest,)))
        return found

    def _spoken(self, digits: str) -> Sequence[str]:
        """A number in words, as the language model is asked about it."""
        chance = random.Random(0)
        if len(digits.partition(".")[0]) > 6:
            return self._numbers.digits([int(d) for d in digits if d.isdigit()], chance)
        return self._numbers.decimal(digits, chance)


def _joined(utterances: Iterable[Utterance]) -> list[_Raw]:
    """The words with numbers that were torn apart ("2" ",100", "1" ".85") in one."""
    out: list[_Raw] = []
    stop = True
    for utterance in utterances:
        for word in utterance.words:
            if word.start is None or word.end is None:
                continue
            confidence = 1.0 if word.confidence is None else word.confidence
            last = out[-1] if out else None
            if last and TORN.match(word.text) and last.text[-1:].isdigit():
                last.text += word.text.lstrip(",")
                last.end, last.confidence = word.end, min(last.confidence, confidence)
            else:
                out.append(_Raw(word.text.replace(",", "") if word.text[:1].isdigit() else word.text,
                                word.start, word.end, confidence, stop))
            stop = word.text[-1:] in ".?!"
    return out


def _whole_numbers(words: list[Heard]) -> list[Heard]:
    """"1900 and 40" was one number: hundreds and what is below."""
    out: list[Heard] = []
    for word in words:
        if (
            len(out) >= 2 and out[-1].word == "and" and _hundreds(out[-2].word)
            and word.word.isdigit() and 0 < int(word.word) < 100
        ):
            joint, head = out.pop(), out[-1]
            head.word = str(int(head.word) + int(word.word))
            head.spoken += (joint.word, *word.spoken)
            head.sounds += joint.sounds + word.sounds
            head.end, head.confidence = word.end, min(head.confidence, word.confidence)
        else:
            out.append(word)
    return out


def _hundreds(word: str) -> bool:
    return word.isdigit() and len(word) <= 6 and int(word) > 0 and int(word) % 100 == 0
