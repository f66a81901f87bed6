"""The way from sound to log, one utterance at a time: heard, kept, understood, told, answered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import timedelta
from typing import TYPE_CHECKING

from dictate.errors import SoundError
from dictate.live.answering import Answerer
from dictate.live.asking import Asker
from dictate.live.capture import Capture
from dictate.live.clocks import Clocks
from dictate.live.commands import Commands
from dictate.live.events import Event
from dictate.live.keep import Keeper
from dictate.live.session import Session
from dictate.live.view import Patience
from dictate.model import Draft, Utterance, Word

if TYPE_CHECKING:
    from dictate.speech.listener import Listener
    from dictate.vocabulary import Vocabulary

__all__ = ["Tell", "listen", "new_session", "take"]

Tell = Callable[[Event, float], None]
"""Told of each event, with the seconds of sound taken in so far."""
HURRY = 2.5
"""Seconds of sound that wait, above which words are no longer looked for before a phrase has ended. A phrase in
noise takes a second or two to decode: that alone is no reason."""
TICK = 1.0
"""Seconds of sound between two `tick` events, by which a screen moves its clock."""


def new_session(
    vocabulary: Vocabulary, order: Sequence[str] = (), *, patience: Patience | None = None,
    examiner: str | None = None,
) -> Session:
    """A session with the words of a lexicon; `order` is the keeper's own way over the bird.

    The parser is made ready here, so that the first words are understood as quickly as the rest.
    """
    from dictate.extraction import extract

    def understand(utterances: Sequence[Utterance]) -> Draft:
        return extract(utterances, vocabulary)

    understand((Utterance((Word("um"),), "typed"),))
    commands = Commands.of(vocabulary)
    return Session(
        understand, commands, order or vocabulary.head_to_tail,
        {r.id for r in vocabulary.regions.values() if r.paired},
        asker=Asker.of(vocabulary, understand, commands), patience=patience, examiner=examiner,
        examiners=tuple(vocabulary.entries("examiner")),
    )


def listen(
    capture: Capture, listener: Listener, session: Session, keeper: Keeper, tell: Tell,
    answerer: Answerer | None = None, clocks: Clocks | None = None,
) -> None:
    """Hear a capture to its end and keep what is said; ends at the command for it too.

    Where sound or recogniser fail half way (unplugged, disk full, a fault), all that was said until
    then is understood and kept first, then the error is raised; the recording stays unfinished in the
    log, so that the next start says so.
    """
    from dictate.speech.listener import begin_live, early_words

    def tell_now(event: Event) -> None:
        tell(event, capture.seconds)
        if answerer is not None:
            answerer.take(event)

    def take_now(utterances: Iterable[Utterance]) -> None:
        take(utterances, session, keeper, tell_now, answerer)

    fault, ticked = None, 0.0
    early: Utterance | None = None
    tell_now(Event("started", {"recording": str(capture.path), "listener": listener.name}))
    hearing = begin_live(listener)
    try:
        for block in capture.follow():
            take_now(hearing.feed(block))
            if (words := early_words(hearing)) is not early:
                early = words
                _overhear(words, session, tell_now, answerer)
            if session.state == "ended":
                capture.stop()
                continue
            speaking, behind = bool(getattr(hearing, "in_speech", False)), capture.behind
            if hasattr(hearing, "hurry"):
                hearing.hurry = behind > HURRY
            for event in session.pass_time(capture.seconds, speaking=speaking or behind > 1.0):
                tell_now(event)
            if answerer is not None:
                for event in answerer.pass_time(capture.seconds, speaking=speaking, behind=behind):
                    tell_now(event)
            if capture.seconds - ticked >= TICK:
                ticked = capture.seconds
                tell_now(Event("tick", {"partial": session.view.hearing}))
                if clocks is not None and (ahead := clocks.jumped()) is not None:
                    keeper.shift(capture.seconds, timedelta(seconds=ahead))
                    tell_now(Event("warning", {"text": clocks.sentence}))
    except Exception as error:
        fault = error
        tell_now(Event("warning", {"text": str(error)}))
    try:
        take_now(hearing.finish())
    except Exception as error:  # the words of the last phrase; its sound is kept
        fault = fault or error
        tell_now(Event("warning", {"text": str(error)}))
    _tell_all(session.finish(), keeper, tell_now)
    if answerer is not None:
        answerer.hush()
    if fault:
        # The recording stays unfinished in the log: the next start hears the rest of it, and says so.
        if isinstance(fault, SoundError):
            for event in keeper.settle():
                tell_now(event)
        raise fault
    for event in keeper.finish(capture.seconds):
        tell_now(event)


def _overhear(
    words: Utterance | None, session: Session, tell: Callable[[Event], None], answerer: Answerer | None
) -> None:
    """Words of a phrase that has not ended, into the session alone; None: it has, and was heard or was none."""
    if words is not None and answerer is not None:
        words = answerer.own.without(words)[0]
    for event in session.overhear(words) if words is not None else session.overheard():
        tell(event)


def take(
    utterances: Iterable[Utterance], session: Session, keeper: Keeper, tell: Callable[[Event], None],
    answerer: Answerer | None = None,
) -> None:
    """Words into the log, then into the session, then what follows from them to whoever is told."""
    for utterance in utterances:
        mine: Utterance | None = utterance
        if answerer is not None:
            mine, taken = answerer.own.without(utterance)
            if taken:
                tell(Event("own-voice", {"text": taken}))
        if mine is None:
            continue
        for event in keeper.words(mine):
            tell(event)
        _tell_all(session.hear(mine), keeper, tell)


def _tell_all(events: Iterable[Event], keeper: Keeper, tell: Callable[[Event], None]) -> None:
    for event in events:
        tell(event)
        for kept in keeper.take(event):
            tell(kept)
