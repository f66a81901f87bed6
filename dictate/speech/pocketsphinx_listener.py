"""The listener that is always there: pocketsphinx with a language model made from the lexicon."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import platformdirs

from dictate.errors import ListenerError
from dictate.model import Utterance, Word
from dictate.speech.early import EarlyWords, at_once
from dictate.speech.endpoint import Endpointing, EndpointSettings, Phrase
from dictate.speech.listener import Hearing, Listener, ListenerOptions, hear_blocks
from dictate.speech.pocketsphinx_model import ModelFiles, model_files
from dictate.speech.quieten import quietened
from dictate.speech.sound import RATE

if TYPE_CHECKING:
    from dictate.speech.listener import Block, Samples
    from dictate.vocabulary import Vocabulary

__all__ = ["DecoderSettings", "PocketsphinxListener", "load_decoder", "open_listener"]

NAME = "pocketsphinx"

# In 16-bit sample units.
PEAK = 16000.0
MOST_GAIN = 30.0
HISS = 25.0  # pink: its power falls by 3 dB an octave, as a room's does


class PocketsphinxListener:
    """Cuts sound at pauses and decodes each phrase whole.

    `quick` opens a second decoder of one pass, for the words of a phrase while it is spoken; without it
    there are none.
    """

    name = NAME
    beside = True
    """Whether a live hearing decodes whole phrases in a thread of its own."""

    def __init__(
        self, decoder: Any, endpoint: EndpointSettings | None = None, quick: Callable[[], Any] | None = None
    ) -> None:
        self._decoder = decoder
        self._endpoint = endpoint or EndpointSettings()
        self._first_mean = decoder.get_cmn(False)
        self._open_quick, self._quick = quick, None

    def begin(self) -> Hearing:
        return self._begin()

    def begin_live(self) -> Hearing:
        """As `begin`, for somebody who waits for an answer: see `early_words`."""
        if self._quick is None and self._open_quick is not None:
            self._quick = self._open_quick()
        return self._begin(self._quick)

    def _begin(self, quick: Any = None) -> Hearing:
        # What the decoder has learned of one recording's sound is not carried into the next.
        for decoder in (self._decoder, quick):
            if decoder is not None:
                decoder.set_cmn(self._first_mean)
        if quick is None:
            return _Hearing(self._decoder, Endpointing(self._endpoint))
        return _LiveHearing(self._decoder, Endpointing(self._endpoint), quick, beside=self.beside)

    def hear(self, blocks: Iterable[Block]) -> Iterator[Utterance]:
        return hear_blocks(self.begin(), blocks)

    def close(self) -> None:
        self._decoder = self._quick = None


class _Hearing:
    """Decodes each phrase when it has ended."""

    partial = ""

    def __init__(self, decoder: Any, endpointing: Endpointing) -> None:
        self._decoder = decoder
        self._endpointing = endpointing

    @property
    def in_speech(self) -> bool:
        return self._endpointing.in_speech

    def feed(self, block: Block) -> list[Utterance]:
        return self._decode(self._endpointing.feed(block))

    def finish(self) -> list[Utterance]:
        return self._decode(self._endpointing.finish())

    def _decode(self, phrases: list[Phrase]) -> list[Utterance]:
        return [heard for phrase in phrases if (heard := self._whole(phrase)) is not None]

    def _whole(self, phrase: Phrase) -> Utterance | None:
        return _decode(self._decoder, phrase)


class _LiveHearing(_Hearing):
    """The same for somebody who waits: words of a phrase before it has ended, whole phrases decoded beside."""

    hurry = False
    """Set where sound is waiting: then there are no early words, and each phrase is waited for."""

    def __init__(self, decoder: Any, endpointing: Endpointing, quick: Any, *, beside: bool = True) -> None:
        super().__init__(decoder, endpointing)
        self._thread = ThreadPoolExecutor(1, "dictate decoder") if beside else None
        run = self._thread.submit if self._thread else at_once
        self._words = EarlyWords(quick, _words, self._whole, run)
        self._due: deque[Future[Utterance | None]] = deque()
        self._early: Utterance | None = None

    @property
    def early(self) -> Utterance | None:
        """Words of the phrase that has not ended yet, as far as they were understood at its last hush; they
        stay until the whole phrase has been decoded."""
        if not self._due:
            self._early = self._words.words
        return self._early

    @property
    def in_speech(self) -> bool:
        return self._endpointing.in_speech or bool(self._due)

    def feed(self, block: Block) -> list[Utterance]:
        self._words.feed(block)
        self._due.extend(map(self._words.ended, self._endpointing.feed(block)))
        self._words.follow(self._endpointing.since, self._endpointing.in_speech and not self.hurry)
        return self._taken(wait=self.hurry)

    def finish(self) -> list[Utterance]:
        self._due.extend(map(self._words.ended, self._endpointing.finish()))
        heard = self._taken(wait=True)
        if self._thread:
            self._thread.shutdown()
        return heard

    def _taken(self, *, wait: bool) -> list[Utterance]:
        """What has been decoded, in the order of speech."""
        heard = []
        while self._due and (wait or self._due[0].done()):
            if (utterance := self._due.popleft().result()) is not None:
                heard.append(utterance)
        return heard


def _decode(decoder: Any, phrase: Phrase) -> Utterance | None:
    """The words of one phrase, or None when there are none."""
    decoder.start_utt()
    decoder.process_raw(levelled(phrase.samples).tobytes(), full_utt=True)
    decoder.end_utt()
    return _words(decoder, phrase.start)


def _words(decoder: Any, start: float) -> Utterance | None:
    """What a decoder makes of the sound it was given, which began at second `start`."""
    if decoder.hyp() is None:
        return None
    frame = 1.0 / decoder.config["frate"]
    words = []
    for segment in decoder.seg():
        word = segment.word.partition("(")[0]
        if not word or word[0] in "<[":
            continue
        confidence = min(1.0, float(segment.prob))  # the posterior of the word in the lattice
        words.append(Word(
            word,
            round(start + segment.start_frame * frame, 3),
            round(start + (segment.end_frame + 1) * frame, 3),
            round(confidence, 4),
        ))
    if not words:
        return None
    return Utterance(tuple(words), NAME, words[0].start, words[-1].end)


def levelled(samples: Samples) -> Samples:
    """A phrase with steady noise taken down, brought to one loudness, over a faint hiss.

    The acoustic model was trained on microphones, which always hiss: sound without any (a noise gate,
    a synthetic voice, silence of all zeros) is far from all it knows.
    """
    import numpy as np

    if len(samples) < 2:
        return samples
    samples = quietened(samples)
    gain = min(MOST_GAIN, PEAK / max(float(np.abs(samples.astype(np.float32)).max()), 1.0))
    white = np.fft.rfft(np.random.default_rng(len(samples)).standard_normal(len(samples)))
    hertz = np.maximum(np.fft.rfftfreq(len(samples), 1 / RATE), 60.0)
    pink = np.fft.irfft(white / np.sqrt(hertz), len(samples))
    loud = samples * gain + pink * (HISS / max(float(pink.std()), 1e-9))
    return np.clip(loud, -32768, 32767).astype(np.int16)


@dataclass(frozen=True, slots=True)
class DecoderSettings:
    """pocketsphinx's search settings (its names in brackets); see DEVELOPERS.md for how they were chosen.

    `language_weight` (lw), `word_penalty` (wip), beams as powers of ten (beam, wbeam, pbeam).
    """

    language_weight: float = 6.5
    word_penalty: float = 0.3
    beam: float = -48
    word_beam: float = -29
    phone_beam: float = -48


def open_listener(vocabulary: Vocabulary, options: ListenerOptions) -> Listener:
    """pocketsphinx with the model made from the vocabulary. Raises ListenerError when it is not
    installed or its English model is damaged."""
    files = model_files(vocabulary, options.cache or platformdirs.user_cache_path("dictate"))
    settings = DecoderSettings()
    return PocketsphinxListener(
        load_decoder(files, settings), quick=lambda: load_decoder(files, settings, quick=True)
    )


def load_decoder(files: ModelFiles, settings: DecoderSettings, *, quick: bool = False) -> Any:
    """A pocketsphinx Decoder on these files; `quick`: with its first pass only, which goes along with the
    sound. Raises ListenerError when it refuses them."""
    import pocketsphinx

    try:
        return pocketsphinx.Decoder(
            hmm=str(files.acoustic), lm=str(files.language), dict=str(files.dictionary), loglevel="FATAL",
            lw=settings.language_weight, wip=settings.word_penalty, beam=10**settings.beam,
            wbeam=10**settings.word_beam, pbeam=10**settings.phone_beam,
            fwdflat=not quick, bestpath=not quick,
        )
    except (RuntimeError, ValueError) as error:
        raise ListenerError(
            "opening the listener", NAME, f"it refuses its model in {files.language.parent} ({error})",
            "Remove that folder and start again.",
        ) from error
