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
from dictate.model import Draft, Utterance
from dictate.record import Source

if TYPE_CHECKING:
    from dictate.log import FlockLog

__all__ = ["Keeper"]


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
        self.exams: list[str] = []

    def words(self, utterance: Utterance) -> list[Event]:
        """Keep words as they were heard."""
        return self._put(lambda: self._log.add_utterances(self.recording, [utterance]))

    def draft(self, draft: Draft, utterances: tuple[Utterance, ...]) -> list[Event]:
        """Keep what was understood of a bird that was put down."""
        start = next((u.start for u in utterances if u.start is not None), 0.0)
        at = self.started + timedelta(seconds=start)

        def save() -> Event:
            ids = self._log.save_draft(
                draft, Source(recording=self.recording), on=at.date(), at=at.time().replace(microsecond=0),
                examiner=self._examiner, parser=self._parser,
            )
            self.exams += ids
            return Event("draft", {"exams": ids})

        return self._put(save)

    def finish(self, seconds: float) -> list[Event]:
        """The sound has ended in good order. Raises LogError where anything could not be kept."""
        events = self._put(lambda: self._log.finish_recording(self.recording, seconds=seconds))
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
