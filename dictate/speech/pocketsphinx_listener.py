"""The listener that is always there: pocketsphinx with a language model made from the lexicon."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from dictate.errors import ListenerError
from dictate.model import Utterance, Word
from dictate.speech.endpoint import Endpointing, EndpointSettings, Phrase
from dictate.speech.listener import Hearing, Listener, ListenerOptions, hear_blocks

if TYPE_CHECKING:
    from dictate.speech.listener import Block
    from dictate.vocabulary import Vocabulary

__all__ = ["PocketsphinxListener", "open_listener"]

NAME = "pocketsphinx"


class PocketsphinxListener:
    """Cuts sound at pauses and decodes each phrase whole."""

    name = NAME

    def __init__(self, decoder: Any, endpoint: EndpointSettings | None = None) -> None:
        self._decoder = decoder
        self._endpoint = endpoint or EndpointSettings()

    def begin(self) -> Hearing:
        return _Hearing(self._decoder, Endpointing(self._endpoint))

    def hear(self, blocks: Iterable[Block]) -> Iterator[Utterance]:
        return hear_blocks(self.begin(), blocks)

    def close(self) -> None:
        self._decoder = None


class _Hearing:
    partial = ""

    def __init__(self, decoder: Any, endpointing: Endpointing) -> None:
        self._decoder = decoder
        self._endpointing = endpointing

    def feed(self, block: Block) -> list[Utterance]:
        return self._decode(self._endpointing.feed(block))

    def finish(self) -> list[Utterance]:
        return self._decode(self._endpointing.finish())

    def _decode(self, phrases: list[Phrase]) -> list[Utterance]:
        return [heard for phrase in phrases if (heard := _decode(self._decoder, phrase)) is not None]


def _decode(decoder: Any, phrase: Phrase) -> Utterance | None:
    """The words of one phrase, or None when there are none."""
    decoder.start_utt()
    decoder.process_raw(phrase.samples.tobytes(), full_utt=True)
    decoder.end_utt()
    if decoder.hyp() is None:
        return None
    frame = 1.0 / decoder.config["frate"]
    words = []
    for segment in decoder.seg():
        word = segment.word.partition("(")[0]
        if not word or word[0] in "<[":
            continue
        confidence = min(1.0, math.exp(decoder.logmath.log(segment.prob)))
        words.append(Word(
            word,
            round(phrase.start + segment.start_frame * frame, 3),
            round(phrase.start + (segment.end_frame + 1) * frame, 3),
            round(confidence, 4),
        ))
    if not words:
        return None
    return Utterance(tuple(words), NAME, words[0].start, words[-1].end)


def open_listener(vocabulary: Vocabulary, options: ListenerOptions) -> Listener:
    """Load pocketsphinx. Raises ListenerError when it is not installed or its model is damaged."""
    try:
        import pocketsphinx
    except ImportError as error:
        raise ListenerError(
            "opening the listener", NAME, "the package is not installed",
            "Install dictate again with its dependencies.",
        ) from error
    decoder = pocketsphinx.Decoder(loglevel="FATAL")
    return PocketsphinxListener(decoder)
