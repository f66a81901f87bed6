"""The session as a state machine: words in, events out. No sound, no screen, no disk, no clock.

The words of the bird in hand are understood anew with each utterance, and what differs from before
is told: so a correction, or a word that changes the meaning of an earlier one, comes out right.
When the bird is put down her words leave, so memory does not grow with the length of the day.
Every step can be taken back (`past.py`); questions are in `asking.py`.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from typing import Any

from dictate.live.asking import Ask, Asker, with_questions
from dictate.live.commands import Commands
from dictate.live.coverage import not_looked_at
from dictate.live.differences import differences, facts, told_as_early
from dictate.live.events import Event
from dictate.live.hand import Edit, Hand, current, edited, known_bird, says
from dictate.live.past import Past, Step
from dictate.live.view import Patience, State, View
from dictate.model import Bird, Draft, Exam, Utterance, exam_record

__all__ = ["Patience", "Session", "State", "View"]

Understand = Callable[[Sequence[Utterance]], Draft]

SETTLED = 3
"""Utterances into a new bird before the one before her is closed without a command: until then a
mark that was misheard, or named in two breaths, may still turn out to be the same bird."""
SHOWN = 4
"""How many of the last utterances a screen is given."""


class Session:
    """One round. Feed it utterances in the order they were heard; `understand` is the parser, `order` the
    way over the bird, `examiners` those who take turns."""

    def __init__(
        self, understand: Understand, commands: Commands, order: Sequence[str], paired: Collection[str], *,
        asker: Asker | None = None, patience: Patience | None = None, examiner: str | None = None,
        examiners: Sequence[str] = (),
    ) -> None:
        self._understand, self._commands = understand, commands
        self._order, self._paired = tuple(order), frozenset(paired)
        self._asker, self._patience = asker, patience or Patience()
        self.examiner, self._examiners = examiner, tuple(examiners)
        self._hand = Hand(examiner=examiner)
        self._draft = self._shown = Draft("")
        self._past = Past()
        self._heard: deque[str] = deque(maxlen=SHOWN)
        self._hearing = ""
        self._birds = self._closings = 0
        self._paused = self._ended = False
        self._last_word = 0.0
        self._since: float | None = None
        self._told_long = 0
        self._ask: tuple[Ask, float] | None = None
        self._asked: set[Any] = set()
        self._offered: Bird | None = None
        self._does: dict[str, Callable[[Utterance], list[Event]]] = {
            "next-bird": lambda said: self._close(),
            "keep": lambda said: self._close(keep=True),
            "take-back": lambda said: self._take_back(),
            "read-back": lambda said: [Event("read-back", {"exam": exam_record(current(self._draft))})],
            "what-is-left": lambda said: [Event("left", {"regions": list(self.view.left)})],
            "pause": lambda said: self._pause(),
            "go-on": lambda said: self._go_on(),
            "who-am-i": lambda said: [Event("examiner", {"examiner": self.examiner, "changed": False})],
            "examiner": self._examine,
            "same-bird": lambda said: self._same_bird(),
            "speak-up": lambda said: [Event("answering", {"level": "speech"})],
            "tones-only": lambda said: [Event("answering", {"level": "tones"})],
            "be-silent": lambda said: [Event("answering", {"level": "silent"})],
            "say-again": lambda said: [Event("say-again")],
            "finish": lambda said: self.finish(),
        }

    @property
    def state(self) -> State:
        if self._ended:
            return "ended"
        if self._paused:
            return "paused"
        if self._ask:
            return "question-open"
        if any(map(says, self._shown.exams)):
            return "exam-open"
        return "listening" if self._hand.window or self._hearing else "idle"

    @property
    def view(self) -> View:
        exam = current(self._shown)
        return View(
            self.state, self._birds, exam, tuple(self._heard), not_looked_at(exam, self._order, self._paired),
            self._hearing, self._ask[0].text if self._ask else "", self.examiner, self._since,
        )

    # Words

    def hear(self, utterance: Utterance) -> list[Event]:
        """Take the words between two pauses; what follows from them."""
        self._heard.append(utterance.text)
        self._hearing = ""
        self._last_word = utterance.end if utterance.end is not None else self._last_word
        events = [Event("heard", {
            "text": utterance.text, "start": utterance.start, "end": utterance.end,
            "listener": utterance.listener,
        })]
        if self._ended:
            return events
        command = self._commands.match(utterance.text)
        if command in self._does and (not self._paused or command in ("go-on", "finish")):
            events.append(Event("command", {"command": command, "text": utterance.text}))
            return [*events, *self._forget_early(), *self._does[command](utterance)]
        if self._paused:
            return events
        if self._ask and (settled := self._answered(self._ask[0], utterance, command)) is not None:
            return [*events, *self._forget_early(), *settled]
        try:
            events += self._add(utterance)
        except Exception as fault:  # whatever is wrong with these words, the round goes on without them
            why = f"could not be understood ({type(fault).__name__}: {fault}). The words are kept."
            return [*events, Event("warning", {"text": f'"{utterance.text}" {why}'})]
        if (start := self._settled()) is not None:
            events += self._split(start)
        return events

    def overhear(self, utterance: Utterance) -> list[Event]:
        """Words of a phrase that has not ended: shown as far as understood, and kept only if `hear` says
        so. What may yet become a command or an answer is not understood early."""
        self._hearing = utterance.text
        if self._ended or self._paused or self._ask or self._commands.may_become(utterance.text):
            return []
        try:
            draft = self._read(self._hand.with_words(utterance))
        except Exception:  # then `hear` will tell
            return []
        before, self._shown = self._shown, draft
        return told_as_early(differences(before, draft, utterance.end, "heard otherwise"))

    def overheard(self) -> list[Event]:
        """The phrase that was overheard is over. Where nothing was heard of it in the end, nothing was said."""
        self._hearing = ""
        return self._forget_early()

    def pass_by(self, utterance: Utterance) -> None:
        """Words whose birds are closed already: only who examines and what was paused still matters."""
        command = self._commands.match(utterance.text)
        if command in ("examiner", "pause", "go-on"):
            self._does[command](utterance)

    def finish(self) -> list[Event]:
        """The round is over: close the bird in hand."""
        if self._ended:
            return []
        events = [*self._forget_early(), *self._close()]
        self._ended = True
        return [*events, Event("ended", {"birds": self._birds})]

    # Time

    def pass_time(self, seconds: float, *, speaking: bool = False) -> list[Event]:
        """It is `seconds` since the sound began; `speaking`: somebody is. Asks, puts off, says how long."""
        if speaking or self._hearing:
            self._last_word = seconds
        if self._ended or self._paused:
            return []
        events: list[Event] = []
        limit = self._patience.in_hand
        if limit and self._since is not None and seconds - self._since >= limit * (self._told_long + 1):
            self._told_long = int((seconds - self._since) // limit)
            events.append(Event("too-long", {"minutes": round((seconds - self._since) / 60, 1)}))
        if self._ask:
            if max(self._ask[1], self._last_word) + self._patience.answer_within <= seconds:
                events += self._put_off("no answer")
        elif seconds - self._last_word >= self._patience.ask_after:
            events += self._open_question(seconds)
        return events

    def answer_from(self, seconds: float) -> None:
        """The question was spoken to its end at this second: only now the time for an answer begins."""
        if self._ask:
            self._ask = (self._ask[0], seconds)

    def offer(self, bird: Bird) -> Event:
        """A round that was cut off had this bird in hand: "go on with her" takes her up again."""
        self._offered = bird
        return Event("offered", {"bird": exam_record(Exam(bird))["bird"]})

    # Understanding

    def _read(self, hand: Hand) -> Draft:
        draft = self._understand(hand.window) if hand.window else Draft("")
        return edited(draft, hand.edits)

    def _put(self, hand: Hand, phrase_end: float | None, why: str = "understood otherwise") -> list[Event]:
        """Another state of the bird in hand; what differs from what was shown."""
        draft = self._read(hand)
        before, self._shown = self._shown, draft
        self._hand, self._draft = hand, draft
        if not any(map(says, draft.exams)):
            self._since, self._told_long = None, 0
        elif self._since is None:
            self._since = next((u.start for u in hand.window if u.start is not None), self._last_word)
        return [*differences(before, draft, phrase_end, why), *self._check_question()]

    def _add(self, utterance: Utterance) -> list[Event]:
        hand = self._hand
        if not any(map(says, self._draft.exams)):
            hand = replace(hand, examiner=self.examiner)
        step = Step(self._hand, self.examiner)
        events = self._put(hand.with_words(utterance), utterance.end)
        self._past.add(step)
        return events

    def _forget_early(self) -> list[Event]:
        """What was shown of a phrase that turned out to be no dictation is not so."""
        before, self._shown = self._shown, self._draft
        return differences(before, self._draft, None, "heard otherwise") if before is not self._draft else []

    def _settled(self) -> int | None:
        """Where in the window the newest bird begins, once it is plain that she is another one."""
        if len(self._draft.exams) < 2:
            return None
        window = self._hand.window
        start = _first_utterance(self._draft, self._draft.exams[-1], window)
        return start if start and len(window) - start >= SETTLED else None

    def _split(self, start: int) -> list[Event]:
        """Close the birds before utterance `start` and go on with the rest."""
        hand = self._hand
        self._hand = replace(hand, window=hand.window[:start])
        self._draft = self._shown = self._read(self._hand)
        events = self._close()
        for n in range(start, len(hand.window)):
            self._past.add(Step(Hand(hand.window[start:n], (), self.examiner), self.examiner))
        self._hand = Hand(hand.window[start:], hand.edits, self.examiner)
        self._draft = self._shown = self._read(self._hand)
        self._since = hand.window[start].start
        return events

    # Questions

    def _open_question(self, seconds: float) -> list[Event]:
        """The first question that matters and was not asked yet."""
        if self._asker is None or not self._hand.window:
            return []
        for ask in self._asker.questions(current(self._draft)):
            if ask.key not in self._asked:
                self._asked.add(ask.key)
                self._ask = (ask, seconds)
                data = {"kind": ask.kind, "text": ask.text, "choices": list(ask.choices)}
                return [Event("question", data)]
        return []

    def _answered(self, ask: Ask, utterance: Utterance, command: str | None) -> list[Event] | None:
        """What an utterance does as an answer; None where it is dictation."""
        if command == "later":
            return self._put_off("left for the review")
        assert self._asker is not None
        edits = self._asker.answer(ask, utterance, current(self._draft))
        if edits is None:
            return None
        return self._settle(ask, edits, utterance)

    def _settle(self, ask: Ask, edits: list[Edit], utterance: Utterance) -> list[Event]:
        self._ask = None
        self._past.add(Step(self._hand, self.examiner))
        events = [Event("answer", {"kind": ask.kind, "question": ask.text, "text": utterance.text})]
        return [*events, *self._put(self._hand.with_edits(edits), utterance.end, "answered")]

    def _check_question(self) -> list[Event]:
        """A question that has been answered in passing is closed."""
        if self._ask is None or self._asker is None:
            return []
        ask = self._ask[0]
        if any(open_.key == ask.key for open_ in self._asker.questions(current(self._draft))):
            return []
        self._ask = None
        return [Event("question-closed", {"text": ask.text, "why": "it has been said"})]

    def _put_off(self, why: str) -> list[Event]:
        if self._ask is None:
            return []
        ask, self._ask = self._ask[0], None
        return [Event("put-off", {"kind": ask.kind, "text": ask.text, "why": why})]

    # Commands

    def _close(self, *, keep: bool = False) -> list[Event]:
        """The bird is put down: what was understood is to be kept. Nothing said, nothing closed."""
        events = self._put_off("the bird was put down")
        exams = tuple(with_questions(exam) for exam in self._draft.exams if says(exam))
        if exams or self._draft.observations:
            self._birds += len(exams)
            self._closings += 1
            closed = [Event("bird-closed", self._closing(exam)) for exam in exams] or [Event("flock-closed")]
            draft = replace(self._draft, exams=exams)
            closed[-1] = replace(
                closed[-1], draft=draft, utterances=self._hand.window, examiner=self._hand.examiner,
                closing=self._closings, keep=keep,
            )
            events += closed
            self._past.add(Step(self._hand, self.examiner, self._closings, len(exams)))
        self._clear()
        return events

    def _clear(self) -> None:
        self._hand = Hand(examiner=self.examiner)
        self._draft = self._shown = Draft("")
        self._asked.clear()
        self._since, self._told_long = None, 0

    def _closing(self, exam: Exam) -> dict[str, Any]:
        row = exam_record(exam)
        row["not_looked_at"] = list(not_looked_at(exam, self._order, self._paired))
        row["examiner"] = self._hand.examiner
        return row

    def _take_back(self) -> list[Event]:
        """Go back step by step until something that counted is gone: also a bird put down, a name."""
        before = facts(self._draft), self.examiner
        while (step := self._past.pop()) is not None:
            self._ask = None
            if step.closing:
                self._clear()
                self._birds -= step.birds
                bird = exam_record(current(self._read(step.hand)))["bird"]
                opened = Event("reopened", {"bird": bird, "birds": step.birds}, closing=step.closing)
                return [opened, *self._put(step.hand, None)]
            hand, examiner = step.hand, step.examiner
            if (facts(self._read(hand)), examiner) == before:
                continue
            events = [] if examiner == self.examiner else [_examiner_event(examiner)]
            self.examiner = examiner
            return [*events, *self._put(hand, None, "taken back")]
        return [Event("nothing-to-take-back")]

    def _pause(self) -> list[Event]:
        self._paused = True
        return [*self._put_off("paused"), Event("paused")]

    def _go_on(self) -> list[Event]:
        if not self._paused:
            return []
        self._paused = False
        return [Event("resumed")]

    def _examine(self, utterance: Utterance) -> list[Event]:
        """Another examiner, from the next bird on, or for this one where nothing was said of her yet."""
        name = self._commands.name(utterance.text) or self._next_examiner()
        if not name:
            return [Event("warning", {"text": "No other examiner is known. See [[examiner]] in your own words."})]
        if name == self.examiner:
            return [Event("examiner", {"examiner": self.examiner, "changed": False})]
        self._past.add(Step(self._hand, self.examiner))
        self.examiner = name
        return [_examiner_event(name)]

    def _next_examiner(self) -> str | None:
        if self.examiner not in self._examiners:
            return self._examiners[0] if self._examiners else None
        return self._examiners[(self._examiners.index(self.examiner) + 1) % len(self._examiners)]

    def _same_bird(self) -> list[Event]:
        if self._offered is None or current(self._draft).bird.known:
            return [Event("warning", {"text": "There is no other bird to go on with."})]
        self._past.add(Step(self._hand, self.examiner))
        return self._put(self._hand.with_edits([known_bird(self._offered)]), None)


def _examiner_event(name: str | None) -> Event:
    return Event("examiner", {"examiner": name, "changed": True})


def _first_utterance(draft: Draft, exam: Exam, window: Sequence[Utterance]) -> int | None:
    """Which utterance of the window the exam's first word belongs to."""
    word = next((heard.word for heard in draft.words if heard.span.start >= exam.span.start), None)
    if word is None:
        return None
    return next((n for n, utterance in enumerate(window) if word in utterance.words), None)
