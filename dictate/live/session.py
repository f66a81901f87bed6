"""The session as a state machine: words in, events out. No sound, no screen, no disk, no clock.

The words of the bird in hand are understood anew with each utterance, and what differs from before
is told: so a correction, or a word that changes the meaning of an earlier one, comes out right.
When the bird is put down her words leave, so memory does not grow with the length of the day.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from dictate.live.commands import Commands
from dictate.live.coverage import not_looked_at
from dictate.live.events import Event, Said, kind_of, record_of
from dictate.model import Bird, Draft, Exam, Utterance, exam_record

__all__ = ["Session", "State", "View"]

State = Literal["listening", "exam-open", "paused", "ended"]
Understand = Callable[[Sequence[Utterance]], Draft]

SETTLED = 3
"""Utterances into a new bird before the one before her is closed without a command: until then a
mark that was misheard, or named in two breaths, may still turn out to be the same bird."""
SHOWN = 4
"""How many of the last utterances a screen is given."""


@dataclass(frozen=True, slots=True)
class View:
    """What a screen shows: the bird in hand, what was found, what was not looked at yet.

    `birds` counts those that were closed; `heard` are the last texts, the newest at the end.
    """

    state: State
    birds: int
    exam: Exam
    heard: tuple[str, ...]
    left: tuple[str, ...]

    @property
    def items(self) -> tuple[Said, ...]:
        """Findings, measurements and actions in the order they were said."""
        said: list[Said] = [*self.exam.findings, *self.exam.measurements, *self.exam.actions]
        return tuple(sorted(said, key=lambda item: item.span))


class Session:
    """One round. Feed it utterances in the order they were heard; `understand` is the parser."""

    def __init__(
        self, understand: Understand, commands: Commands, order: Sequence[str], paired: Collection[str]
    ) -> None:
        self._understand = understand
        self._commands = commands
        self._order, self._paired = tuple(order), frozenset(paired)
        self._window: list[Utterance] = []
        self._draft = Draft("")
        self._heard: deque[str] = deque(maxlen=SHOWN)
        self._birds = 0
        self._paused = self._ended = False
        self._does: dict[str, Callable[[], list[Event]]] = {
            "next-bird": self._close,
            "take-back": self._take_back,
            "what-is-left": lambda: [Event("left", {"regions": list(self.view.left)})],
            "pause": self._pause,
            "go-on": self._go_on,
            "finish": self.finish,
        }

    @property
    def state(self) -> State:
        if self._ended:
            return "ended"
        if self._paused:
            return "paused"
        return "exam-open" if any(map(_says, self._draft.exams)) else "listening"

    @property
    def view(self) -> View:
        exam = _current(self._draft)
        return View(
            self.state, self._birds, exam, tuple(self._heard),
            not_looked_at(exam, self._order, self._paired),
        )

    def hear(self, utterance: Utterance) -> list[Event]:
        """Take the words between two pauses; what follows from them."""
        self._heard.append(utterance.text)
        events = [Event("heard", {
            "text": utterance.text, "start": utterance.start, "end": utterance.end,
            "listener": utterance.listener,
        })]
        if self._ended:
            return events
        command = self._commands.match(utterance.text)
        if command in self._does and (not self._paused or command in ("go-on", "finish")):
            events.append(Event("command", {"command": command, "text": utterance.text}))
            return [*events, *self._does[command]()]
        if self._paused:
            return events
        self._window.append(utterance)
        try:
            events += self._renew(utterance.end)
        except Exception as fault:  # whatever is wrong with these words, the round goes on without them
            self._window.pop()
            why = f"could not be understood ({type(fault).__name__}: {fault}). The words are kept."
            return [*events, Event("warning", {"text": f'"{utterance.text}" {why}'})]
        if (start := self._settled()) is not None:
            events += self._split(start)
        return events

    def finish(self) -> list[Event]:
        """The round is over: close the bird in hand."""
        if self._ended:
            return []
        events = self._close()
        self._ended = True
        return [*events, Event("ended", {"birds": self._birds})]

    # Understanding

    def _renew(self, phrase_end: float | None, why: str = "understood otherwise") -> list[Event]:
        """Understand the window anew and tell what differs."""
        before = self._draft
        self._draft = self._understand(tuple(self._window))
        return _differences(before, self._draft, phrase_end, why)

    def _settled(self) -> int | None:
        """Where in the window the newest bird begins, once it is plain that she is another one."""
        if len(self._draft.exams) < 2:
            return None
        start = _first_utterance(self._draft, self._draft.exams[-1], self._window)
        return start if start and len(self._window) - start >= SETTLED else None

    def _split(self, start: int) -> list[Event]:
        """Close the birds before utterance `start` and go on with the rest."""
        rest = self._window[start:]
        self._window = self._window[:start]
        self._draft = self._understand(tuple(self._window))
        events = self._close()
        self._window = rest
        self._draft = self._understand(tuple(rest))
        return events

    # Commands

    def _close(self) -> list[Event]:
        """The bird is put down: what was understood is to be kept. Nothing said, nothing closed."""
        events: list[Event] = []
        exams = tuple(exam for exam in self._draft.exams if _says(exam))
        if exams or self._draft.observations:
            self._birds += len(exams)
            events = [Event("bird-closed", self._closing(exam)) for exam in exams] or [Event("flock-closed")]
            draft = replace(self._draft, exams=exams)
            events[-1] = replace(events[-1], draft=draft, utterances=tuple(self._window))
        self._window.clear()
        self._draft = Draft("")
        return events

    def _closing(self, exam: Exam) -> dict[str, Any]:
        row = exam_record(exam)
        row["not_looked_at"] = list(not_looked_at(exam, self._order, self._paired))
        return row

    def _take_back(self) -> list[Event]:
        """Take utterances back until something that was understood is gone."""
        before = _facts(self._draft)
        window = list(self._window)
        while window:
            window.pop()
            draft = self._understand(tuple(window)) if window else Draft("")
            if _facts(draft) != before:
                old, self._window, self._draft = self._draft, window, draft
                return _differences(old, draft, None, "taken back")
        return [Event("nothing-to-take-back")]

    def _pause(self) -> list[Event]:
        self._paused = True
        return [Event("paused")]

    def _go_on(self) -> list[Event]:
        if not self._paused:
            return []
        self._paused = False
        return [Event("resumed")]


def _says(exam: Exam) -> bool:
    """Whether anything at all is known of a bird."""
    return bool(
        exam.bird.known or exam.findings or exam.measurements or exam.actions or exam.rest_normal
    )


def _current(draft: Draft) -> Exam:
    """The bird spoken of last."""
    return max(draft.exams, key=lambda exam: exam.span.end, default=Exam())


def _first_utterance(draft: Draft, exam: Exam, window: Sequence[Utterance]) -> int | None:
    """Which utterance of the window the exam's first word belongs to."""
    word = next((heard.word for heard in draft.words if heard.span.start >= exam.span.start), None)
    if word is None:
        return None
    return next((n for n, utterance in enumerate(window) if word in utterance.words), None)


Key = tuple[Any, ...]


def _meaning(said: Said) -> Key:
    """What a thing says, apart from its proof: equal for the same thing understood twice."""
    bare = replace(
        said, span=type(said.span)(0, 0), quote="", rule="", penalties=(), verdict="check",
        start=None, end=None, confidence=None, listeners=(),
    )
    row = record_of(bare)
    row.pop("cues", None)
    return (kind_of(said), *((key, str(value)) for key, value in sorted(row.items())))


def _said(draft: Draft) -> dict[Key, Said]:
    """Everything understood, by bird and meaning; a thing said twice of one bird stands once."""
    said: dict[Key, Said] = {}
    for number, exam in enumerate(draft.exams):
        for items in (exam.findings, exam.measurements, exam.actions):
            said.update({(number, *_meaning(item)): item for item in items})
    return said


def _who(bird: Bird) -> Key:
    return (bird.band, bird.name, bird.sex, bird.breed, bird.pen)


def _facts(draft: Draft) -> Key:
    """All that a draft says, for comparing two of them."""
    birds = tuple((_who(exam.bird), exam.rest_normal) for exam in draft.exams)
    return (birds, frozenset(_said(draft)), draft.observations)


def _differences(before: Draft, after: Draft, phrase_end: float | None, why: str) -> list[Event]:
    """What `after` says that `before` did not, and the other way round."""
    old, new = _said(before), _said(after)
    events = [
        Event("withdrawn", {"kind": kind_of(item), "record": record_of(item), "why": why}, said=item)
        for key, item in old.items() if key not in new
    ]
    bird = _current(after).bird
    if _who(bird) != _who(_current(before).bird) and bird.known:
        events.append(Event("bird", {"bird": exam_record(Exam(bird))["bird"]}))
    for key, item in new.items():
        end = item.end if item.end is not None else phrase_end
        if key not in old:
            events.append(
                Event(kind_of(item), {kind_of(item): record_of(item), "phrase_end": end}, said=item)
            )
        elif item.verdict != old[key].verdict:
            row = {"kind": kind_of(item), "record": record_of(item), "phrase_end": end}
            events.append(Event("revised", row, said=item))
    if _current(after).rest_normal and not _current(before).rest_normal:
        events.append(Event("rest-normal"))
    return events
