"""What happens in a session, as data: for the screen, and as JSON lines for other programs.

Each line is {"event", "audio_seconds", "wall_seconds", …}: seconds of sound taken in, and
seconds by the clock, since the session began.

    started        {"recording", "listener"}
    heard          {"text", "start", "end", "listener"}       words between two pauses
    bird           {"bird"}                                   who it is, as far as said
    finding        {"finding", "phrase_end"}                  likewise measurement, action
    revised        {"kind", "record", "phrase_end"}           known before, now more or less sure
    withdrawn      {"kind", "record", "why"}                  no longer understood so, or taken back
    rest-normal    {}                                         everything else was called normal
    command        {"command", "text"}                        likewise nothing-to-take-back
    read-back      {"exam"}                                   asked for: what is known of this bird
    left           {"regions"}                                asked for: not looked at yet
    question       {"kind", "text", "choices"}                asked of the keeper
    answer         {"kind", "question", "text"}               and answered; or closed by what was said
    put-off        {"kind", "text", "why"}                    or kept for the review
    examiner       {"examiner", "changed"}                    asked for or changed
    too-long       {"minutes"}                                this bird has been in hand
    bird-closed    {"bird", "findings", "not_looked_at" …}    her exam is complete
    reopened       {"bird"}                                   put down too early: in hand again
    flock-closed   {}                                         nothing of a bird, but of pen or flock
    draft          {"exams"}                                  and kept in the log under these ids
    kept           {"confirmed", "left"}                      asked for: what is sure was confirmed
    said           {"how", "text", "start", "end"}            what the program answered
    own-voice      {"text"}                                   heard while it spoke, so not taken
    answering      {"level"}                                  silent, tones or speech from now on
    offered        {"bird"}                                   in hand when a round was cut off
    paused, resumed, warning {"text"}, ended {"birds"}

Those of finding to withdrawn with "early": true came before the phrase had ended; the `heard` that follows keeps
them, or they are withdrawn. `phrase_end` is the second at which the words of the thing itself ended.

Within the program only: tick {"partial"}, about once a second of sound.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TextIO

from dictate.model import (
    Action,
    Draft,
    Finding,
    Measurement,
    Utterance,
    action_record,
    finding_record,
    measurement_record,
)

__all__ = ["Event", "EventWriter", "Said", "kind_of", "record_of"]

Said = Finding | Measurement | Action


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened. `data` is what a JSON line carries; `said` the finding, measurement or
    action itself; `draft` with `utterances` and `examiner` what is to be kept when a bird is closed, and
    with `keep` confirmed where it is sure. `closing` numbers that, so that it can be taken back."""

    name: str
    data: Mapping[str, Any] = field(default_factory=dict)
    said: Said | None = None
    draft: Draft | None = None
    utterances: tuple[Utterance, ...] = ()
    examiner: str | None = None
    closing: int = 0
    keep: bool = False


def kind_of(said: Said) -> str:
    """finding, measurement or action."""
    return type(said).__name__.lower()


def record_of(said: Said) -> dict[str, Any]:
    """A finding, measurement or action as a JSON object."""
    if isinstance(said, Finding):
        return finding_record(said)
    return measurement_record(said) if isinstance(said, Measurement) else action_record(said)


class EventWriter:
    """Writes events as JSON lines, each at once. `clock` gives seconds since the session began."""

    def __init__(self, stream: TextIO, clock: Callable[[], float]) -> None:
        self._stream, self._clock = stream, clock

    def write(self, event: Event, audio_seconds: float) -> None:
        """Write one line; ticks of the clock are not worth one."""
        if event.name == "tick":
            return
        row = {
            "event": event.name, "audio_seconds": round(audio_seconds, 3),
            "wall_seconds": round(self._clock(), 3), **event.data,
        }
        self._stream.write(json.dumps(row, default=str) + "\n")
        self._stream.flush()
