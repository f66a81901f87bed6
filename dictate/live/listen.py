"""The way from sound to log, one utterance at a time: heard, kept, understood, told."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from dictate.errors import SoundError
from dictate.live.capture import Capture
from dictate.live.commands import Commands
from dictate.live.events import Event
from dictate.live.keep import Keeper
from dictate.live.session import Session
from dictate.model import Utterance, Word

if TYPE_CHECKING:
    from dictate.speech.listener import Listener
    from dictate.vocabulary import Vocabulary

__all__ = ["Tell", "listen", "new_session", "take"]

Tell = Callable[[Event, float], None]
"""Told of each event, with the seconds of sound taken in so far."""
TICK = 1.0
"""Seconds of sound between two `tick` events, by which a screen moves its clock."""


def new_session(vocabulary: Vocabulary, order: Sequence[str] = ()) -> Session:
    """A session with the words of a lexicon; `order` is the keeper's own way over the bird.

    The parser is made ready here, so that the first words are understood as quickly as the rest.
    """
    from dictate.extraction import extract

    extract((Utterance((Word("um"),), "typed"),), vocabulary)
    return Session(
        lambda utterances: extract(utterances, vocabulary), Commands.of(vocabulary),
        order or vocabulary.head_to_tail, {r.id for r in vocabulary.regions.values() if r.paired},
    )


def listen(capture: Capture, listener: Listener, session: Session, keeper: Keeper, tell: Tell) -> None:
    """Hear a capture to its end and keep what is said; ends at the command for it too.

    Where sound or recogniser fail half way (unplugged, disk full, a fault), all that was said until
    then is understood and kept first, then the error is raised.
    """

    def tell_now(event: Event) -> None:
        tell(event, capture.seconds)

    fault, ticked = None, 0.0
    tell_now(Event("started", {"recording": str(capture.path), "listener": listener.name}))
    hearing = listener.begin()
    try:
        for block in capture.follow():
            take(hearing.feed(block), session, keeper, tell_now)
            if session.state == "ended":
                capture.stop()
            if capture.seconds - ticked >= TICK:
                ticked = capture.seconds
                tell_now(Event("tick", {"partial": hearing.partial}))
    except Exception as error:
        fault = error
        tell_now(Event("warning", {"text": str(error)}))
    try:
        take(hearing.finish(), session, keeper, tell_now)
    except Exception as error:  # the words of the last phrase; its sound is kept
        fault = fault or error
        tell_now(Event("warning", {"text": str(error)}))
    _tell_all(session.finish(), keeper, tell_now)
    if fault and not isinstance(fault, SoundError):
        raise fault  # the recording stays unfinished in the log: the next start hears the rest of it
    for event in keeper.finish(capture.seconds):
        tell_now(event)
    if fault:
        raise fault


def take(
    utterances: Iterable[Utterance], session: Session, keeper: Keeper, tell: Callable[[Event], None]
) -> None:
    """Words into the log, then into the session, then what follows from them to whoever is told."""
    for utterance in utterances:
        for event in keeper.words(utterance):
            tell(event)
        _tell_all(session.hear(utterance), keeper, tell)


def _tell_all(events: Iterable[Event], keeper: Keeper, tell: Callable[[Event], None]) -> None:
    for event in events:
        tell(event)
        if event.draft is not None:
            for kept in keeper.draft(event.draft, event.utterances):
                tell(kept)
