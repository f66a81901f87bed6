"""What the program says back, and when: at pauses only, one short thing at a time, at the level asked for.

`Answerer` is told of every event and of every moment. It picks words and a tone, waits for a pause, and
keeps what it said as text. A finding is answered once its phrase has ended; of several things that wait
only what still matters is said.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

from dictate.live.events import Event
from dictate.live.mouth import Mouth
from dictate.live.own_voice import OwnVoice, transcript_path
from dictate.live.screen import Wording, closed_words, listed
from dictate.live.session import Session
from dictate.model import Bird

__all__ = ["LEVELS", "Answer", "Answerer", "Transcript"]

Level = Literal["silent", "tones", "speech"]
LEVELS: tuple[Level, ...] = ("silent", "tones", "speech")

PAUSE_SECONDS, LONGER_SECONDS = 0.7, 1.4
"""Nobody has spoken for so long before anything is said; the longer one before a voice says what nobody asked
for, since people draw breath between two sentences."""
ASKED_FOR = frozenset({"read-back", "left", "examiner", "again", "nothing"})
FIRST = frozenset({"closed", "reopened"})
UP_TO_DATE = 0.5
"""The recogniser may be so many seconds behind: else somebody may be speaking whom it has not reached."""
MOST_PARTS = 6
"""Parts of the body named in one breath; of more only the number is said."""
LONGEST_FINDINGS = 3
"""Findings read back in one breath; of more only the number is said."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing to say: as words, and as the tone that stands for them."""

    kind: str
    text: str
    tone: str


class Transcript:
    """What the program answered, kept as text beside the sound: a JSON line each, at once on disk."""

    def __init__(self, sound: Path) -> None:
        self.path = transcript_path(sound)

    def write(self, row: dict[str, Any]) -> None:
        """Raises OSError where it cannot be written."""
        new = not self.path.exists()
        with self.path.open("a", encoding="utf-8") as file:
            if new:
                self.path.chmod(0o600)
            file.write(json.dumps(row) + "\n")


class Answerer:
    """Answers one session. `mouth` None: nothing can be heard, answers are on the screen alone.
    `note` is called with a row of the transcript for each answer."""

    def __init__(
        self, session: Session, wording: Wording, level: Level = "silent", mouth: Mouth | None = None,
        note: Callable[[dict[str, Any]], None] = lambda row: None,
    ) -> None:
        self._session, self._wording, self._mouth, self._note = session, wording, mouth, note
        self.level: Level = level
        self.own = OwnVoice()
        self._waiting: list[Answer] = []
        self._fresh: dict[str, str] = {}  # findings since the last answer, by their words
        self._last: Answer | None = None
        self._saying: tuple[Answer, str, float] | None = None
        self._heard_end = 0.0

    @property
    def how(self) -> str:
        """How an answer comes now: "shown", "tone" or "speech"."""
        if self._mouth is None or self.level == "silent":
            return "shown"
        return "speech" if self.level == "speech" and self._mouth.can_speak else "tone"

    def take(self, event: Event) -> None:
        """Something happened: think of an answer."""
        data: Any = event.data
        if event.name == "heard":
            self._heard_end = data["end"] or self._heard_end
        if event.said is not None and not data.get("early"):
            words = self._wording.said(event.said)
            if event.name == "withdrawn":
                self._fresh.pop(words, None)
                if data["why"] == "taken back":
                    self._wait(Answer("taken-back", f"taken back: {words}", "done"))
            else:
                self._fresh[words] = words
        elif event.said is not None:  # early: said only once its phrase has ended and it stands
            words = self._wording.said(event.said)
            if event.name == "withdrawn":
                self._fresh.pop(words, None)
            else:
                self._fresh[words] = words
        elif event.name == "answering":
            self.level = data["level"]
            self._wait(Answer("level", f"answers: {self.level}", "understood"))
        elif event.name == "say-again":
            if self._last is not None:
                self._wait(replace(self._last, kind="again"))
        elif (answer := self._answer(event)) is not None:
            self._wait(answer)

    def pass_time(self, seconds: float, *, speaking: bool, behind: float) -> list[Event]:
        """It is `seconds` since the sound began; says what waits if this is a pause. Returns what was said."""
        if self._saying is not None:
            return self._go_on_saying(seconds)
        if speaking or behind > UP_TO_DATE or seconds - self._heard_end < PAUSE_SECONDS:
            return []
        answer = self._next(seconds - self._heard_end)
        if answer is None:
            return []
        self._last, how = answer, self.how
        if how == "shown" or self._mouth is None:
            return [self._said(answer, "shown", seconds, seconds)]
        if how == "speech":
            self.own.begins(answer.text, seconds)
            self._mouth.speak(answer.text)
        else:
            self._mouth.tone(answer.tone)
        self._saying = (answer, how, seconds)
        return []

    def hush(self) -> None:
        """The round is over."""
        if self._mouth is not None:
            self._mouth.hush()

    def _go_on_saying(self, seconds: float) -> list[Event]:
        assert self._saying is not None
        if self._mouth is not None and self._mouth.busy:
            return []
        answer, how, since = self._saying
        self._saying = None
        if how == "speech":
            self.own.ends(seconds)
        if answer.kind == "question":
            self._session.answer_from(seconds)
        self._heard_end = max(self._heard_end, seconds - PAUSE_SECONDS / 2)
        return [self._said(answer, how, since, seconds)]

    def _said(self, answer: Answer, how: str, start: float, end: float) -> Event:
        row = {
            "how": how, "text": answer.text, "start": round(start, 2), "end": round(end, 2),
            **({"tone": answer.tone} if how == "tone" else {}),
        }
        self._note(row)
        return Event("said", row)

    def _wait(self, answer: Answer) -> None:
        """Of each kind only the latest waits."""
        self._waiting = [one for one in self._waiting if one.kind != answer.kind]
        self._waiting.append(answer)
        if answer.kind in FIRST:
            self._fresh.clear()
            self._waiting = [one for one in self._waiting if one.kind not in ("question", "findings")]
            self._waiting.sort(key=lambda one: one.kind != answer.kind)

    def _next(self, quiet: float) -> Answer | None:
        """What is said after so many seconds of quiet: what was asked for; then birds put down, what was
        understood of the last phrases (as one answer), and the rest."""
        asked = next((one for one in self._waiting if one.kind in ASKED_FOR), None)
        if asked is not None:
            self._waiting.remove(asked)
            return asked
        if self.how == "speech" and quiet < LONGER_SECONDS:
            return None
        if self._fresh and not (self._waiting and self._waiting[0].kind in FIRST):
            found, self._fresh = list(self._fresh), {}
            text = ". ".join(found) if len(found) <= LONGEST_FINDINGS else f"{len(found)} things"
            return Answer("findings", text, "understood")
        return self._waiting.pop(0) if self._waiting else None

    def _answer(self, event: Event) -> Answer | None:
        data: Any = event.data
        match event.name:
            case "question":
                return Answer("question", data["text"], "question")
            case "put-off":
                self._waiting = [one for one in self._waiting if one.kind != "question"]
                return Answer("put-off", "Left for the review.", "cannot")
            case "left":
                return Answer("left", f"Not looked at: {_short(data['regions'])}", "understood")
            case "read-back":
                self._fresh.clear()
                return Answer("read-back", self._all_of(), "understood")
            case "bird-closed":
                return Answer("closed", f"Put down: {closed_words(data)}", "done")
            case "reopened":
                row = {key: value for key, value in data["bird"].items() if key != "verdict"}
                return Answer("reopened", f"In hand again: {self._wording.bird(Bird(**row))}", "done")
            case "kept":
                return Answer("kept", f"Kept: {data['confirmed']} confirmed, {data['left']} to review.", "done")
            case "examiner":
                who = data["examiner"] or "nobody by name"
                return Answer("examiner", f"Examiner: {who}", "understood")
            case "nothing-to-take-back":
                return Answer("nothing", "There is nothing to take back.", "cannot")
            case "too-long":
                return Answer("too-long", f"This bird has been in hand for {data['minutes']:g} minutes.", "too-long")
            case "paused":
                return Answer("paused", "Paused. Say: go on.", "done")
            case "resumed":
                return Answer("resumed", "Going on.", "understood")
            case "warning":
                return Answer("warning", data["text"].partition(". ")[0], "cannot")
        return None

    def _all_of(self) -> str:
        """Everything known of the bird in hand."""
        view = self._session.view
        who = self._wording.bird(view.exam.bird) if view.exam.bird.known else "a bird without a mark"
        things = [self._wording.said(item) for item in view.items]
        rest = ["everything else normal"] if view.exam.rest_normal else []
        return ". ".join([who, *(things or ["nothing found yet"]), *rest])


def _short(regions: list[str]) -> str:
    if len(regions) <= MOST_PARTS:
        return listed(regions).replace(" · ", ", ")
    return f"{', '.join(regions[:MOST_PARTS])}, and {len(regions) - MOST_PARTS} more"
