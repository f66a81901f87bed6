"""From a session into the flock log: words before they are understood, drafts as birds are put down.

Where the log cannot be written for a while, what is to be kept waits here and is tried again with
whatever comes next; nothing is given up silently.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from dictate.errors import LogError
from dictate.live.events import Event
from dictate.model import Utterance
from dictate.record import Source

if TYPE_CHECKING:
    from dictate.log import FlockLog

__all__ = ["TAKEN_BACK", "Keeper"]

TAKEN_BACK = "put down too early, taken back by voice"
"""Why an exam was withdrawn whose bird is in hand again."""
REMEMBERED = 8
"""Closings whose exams can be taken back."""


class Keeper:
    """Keeps one session. `started` is the clock when its sound began; exams get its day, and the time
    of their first word. `parser` tells which program and lexicon understood them."""

    def __init__(
        self, log: FlockLog, recording: str, started: datetime, *, examiner: str | None = None,
        parser: str = "",
    ) -> None:
        self._log, self.recording, self.started = log, recording, started
        self._examiner, self._parser = examiner, parser
        self._waiting: deque[Callable[[], Event | None]] = deque()
        self._told = ""
        self._shifts: list[tuple[float, timedelta]] = []
        self._closings: dict[int, list[str]] = {}
        self.exams: list[str] = []

    def shift(self, seconds: float, by: timedelta) -> None:
        """From this second of sound on the clock is `by` ahead of what the sound alone would tell: the
        machine slept, or its clock was put right."""
        self._shifts.append((seconds, by))

    def clock_at(self, seconds: float) -> datetime:
        """The time of day at a second of sound."""
        ahead = next((by for since, by in reversed(self._shifts) if since <= seconds), timedelta())
        return self.started + timedelta(seconds=seconds) + ahead

    def words(self, utterance: Utterance) -> list[Event]:
        """Keep words as they were heard."""
        return self._put(lambda: self._log.add_utterances(self.recording, [utterance]))

    def take(self, event: Event) -> list[Event]:
        """Keep what an event says is to be kept, or take it back."""
        if event.draft is not None:
            events = self._put(lambda: self._save(event))
            return events + (self._put(lambda: self._confirm(event)) if event.keep else [])
        if event.name == "reopened":
            return self._put(lambda: self._withdraw(event))
        return []

    def _save(self, event: Event) -> Event:
        """What was understood of a bird that was put down."""
        start = next((u.start for u in event.utterances if u.start is not None), 0.0)
        at = self.clock_at(start)
        assert event.draft is not None
        ids = self._log.save_draft(
            event.draft, Source(recording=self.recording), on=at.date(), at=at.time().replace(microsecond=0),
            examiner=event.examiner or self._examiner, parser=self._parser,
        )
        self.exams += ids
        self._closings[event.closing] = ids
        for old in list(self._closings)[:-REMEMBERED]:
            del self._closings[old]
        return Event("draft", {"exams": ids})

    def _confirm(self, event: Event) -> Event:
        done = [
            self._log.confirm_sure(exam, reason="by voice", by=event.examiner or self._examiner)
            for exam in self._closings.get(event.closing, ())
        ]
        return Event("kept", {
            "confirmed": sum(one.confirmed for one in done), "left": sum(one.left for one in done),
        })

    def _withdraw(self, event: Event) -> None:
        for exam in self._closings.pop(event.closing, ()):
            self._log.withdraw(exam, TAKEN_BACK, by=event.examiner or self._examiner)
            self.exams.remove(exam)

    def finish(self, seconds: float) -> list[Event]:
        """The sound has ended in good order. Raises LogError where anything could not be kept."""
        events = self._put(lambda: self._log.finish_recording(self.recording, seconds=seconds))
        return events + self.settle()

    def settle(self) -> list[Event]:
        """Try what waits once more. Raises LogError where anything could not be kept."""
        events = self._put(lambda: None)
        if self._waiting:
            raise LogError(
                "keeping the round in", str(self._log.path), self._told or "it cannot be written",
                "The sound is kept. Start dictate listen again to bring the rest in.",
            )
        return events

    def _put(self, work: Callable[[], Event | None]) -> list[Event]:
        """Do what waits, in order, this last."""
        self._waiting.append(work)
        events: list[Event] = []
        while self._waiting:
            try:
                event = self._waiting[0]()
            except LogError as error:
                if str(error) != self._told:
                    self._told = str(error)
                    text = f"{error} What was said waits and is tried again."
                    events.append(Event("warning", {"text": text}))
                return events
            self._waiting.popleft()
            events += [event] if event else []
        self._told = ""
        return events
