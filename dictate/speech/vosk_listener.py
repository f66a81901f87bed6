"""Vosk as a listener, where the user has put a model on disk.

The library downloads a model by itself when it is asked for one by language or name, and ends the
whole program when it finds none; so it is only ever given a folder that has been looked into first.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dictate.errors import ListenerError
from dictate.model import Utterance, Word
from dictate.speech.listener import Hearing, Listener, ListenerOptions, hear_blocks
from dictate.speech.sound import RATE, as_samples

if TYPE_CHECKING:
    from dictate.speech.listener import Block
    from dictate.vocabulary import Vocabulary

__all__ = ["VoskListener", "find_model", "open_listener"]

NAME = "vosk"
_DOING = "opening the listener"

# Models come in two layouts: with the folders am, conf and graph, or with all files in one folder.
LAYOUTS = (("am/final.mdl", "conf/mfcc.conf"), ("final.mdl", "mfcc.conf"))


class VoskListener:
    """Hears speech as it comes; pauses part the utterances."""

    name = NAME

    def __init__(self, model: Any) -> None:
        self._model = model

    def begin(self) -> Hearing:
        return _Hearing(self._model)

    def hear(self, blocks: Iterable[Block]) -> Iterator[Utterance]:
        return hear_blocks(self.begin(), blocks)

    def close(self) -> None:
        self._model = None


class _Hearing:
    def __init__(self, model: Any) -> None:
        import vosk

        self._recogniser = vosk.KaldiRecognizer(model, RATE)
        self._recogniser.SetWords(True)
        self._rest = b""

    @property
    def partial(self) -> str:
        return str(json.loads(self._recogniser.PartialResult()).get("partial", ""))

    def feed(self, block: Block) -> list[Utterance]:
        """Results come each time a pause closes one; small blocks keep two from falling together."""
        data = as_samples(block).astype("<i2").tobytes()
        out = []
        for at in range(0, len(data), RATE // 2):
            if self._recogniser.AcceptWaveform(data[at : at + RATE // 2]):
                out += _utterance(self._recogniser.Result())
        return out

    def finish(self) -> list[Utterance]:
        return _utterance(self._recogniser.FinalResult())


def _utterance(result: str) -> list[Utterance]:
    """The words of one result, if there are any."""
    words = tuple(
        Word(item["word"], round(item["start"], 3), round(item["end"], 3), round(item["conf"], 4))
        for item in json.loads(result).get("result", ())
    )
    return [Utterance(words, NAME, words[0].start, words[-1].end)] if words else []


def find_model(folder: Path | None) -> Path:
    """The absolute folder of a Vosk model that has the files it needs.

    Raises ListenerError when none is given, or it is not a folder, or files are missing.
    """
    if folder is None:
        raise ListenerError(
            _DOING, NAME, "no model is given",
            "Put a Vosk model for English on disk and name its folder in the settings.",
        )
    folder = folder.expanduser().resolve()
    if not folder.is_dir():
        raise ListenerError(_DOING, NAME, f"there is no folder {folder}", "Check the name of the model's folder.")
    missing = [[name for name in layout if not (folder / name).is_file()] for layout in LAYOUTS]
    if all(missing):
        inside = [path.name for path in sorted(folder.iterdir()) if path.is_dir()]
        hint = f" It has the folders {', '.join(inside)}: perhaps one of them is it." if inside else ""
        raise ListenerError(
            _DOING, NAME, f"{folder} is not a Vosk model: it lacks {' and '.join(missing[0])}",
            f"Name the folder that holds am, conf and graph.{hint}",
        )
    return folder


def open_listener(vocabulary: Vocabulary, options: ListenerOptions) -> Listener:
    """Vosk on `options.vosk_model`. Raises ListenerError when it or its model is missing or faulty."""
    folder = find_model(options.vosk_model)
    try:
        import vosk
    except ImportError as error:
        raise ListenerError(
            _DOING, NAME, "the package vosk is not installed", "Install it with: pip install vosk"
        ) from error
    vosk.SetLogLevel(-1)
    try:
        model = vosk.Model(model_path=str(folder))
    except Exception as error:  # the library raises nothing narrower
        raise ListenerError(
            _DOING, NAME, f"the model in {folder} cannot be loaded", "It may be damaged: unpack it again."
        ) from error
    return VoskListener(model)
