"""Logs with hand-made drafts, and one way to drive every front end with the same replies."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from dictate.log import FlockLog
from dictate.model import Bird, Draft, Exam, Finding, Measurement, Penalty, Question, Span
from dictate.review.policy import ReviewSession, review
from dictate.review.scripted import ScriptedFront
from dictate.review.steps import Reply, Step
from dictate.review.terminal import KEYS, TerminalFront
from dictate.vocabulary import Vocabulary, load_vocabulary

TEXT = "blue 42 comb pale foot pad hardened weight 2100 left eye maybe closed"


@pytest.fixture(scope="session")
def words() -> Vocabulary:
    return load_vocabulary()


@pytest.fixture
def log(tmp_path: Path) -> Iterator[FlockLog]:
    with FlockLog.open(tmp_path / "flock.db") as opened:
        yield opened


def span(words: str) -> Span:
    start = TEXT.index(words)
    return Span(start, start + len(words))


def blue_42() -> Exam:
    """One sure finding, one whose side is not known, a sure weight, one doubtful finding."""
    return Exam(
        bird=Bird(band="blue 42", span=span("blue 42"), verdict="sure"),
        findings=(
            Finding("comb", "pallor", span=span("comb pale"), quote="comb pale", verdict="sure"),
            Finding(
                "foot pad", "hardened", span=span("foot pad hardened"), quote="foot pad hardened",
                penalties=(Penalty("side-missing", 0.3),), verdict="ask",
            ),
            Finding(
                "eye", "closed", side="left", certainty="possible", span=span("left eye maybe closed"),
                quote="left eye maybe closed", penalties=(Penalty("repair", 0.2),), verdict="check",
            ),
        ),
        measurements=(
            Measurement("weight", 2100, "g", span=span("weight 2100"), quote="weight 2100", verdict="sure"),
        ),
        questions=(
            Question(
                "side", "Which foot pad?", "side", 1, ("left", "right", "both"), span("foot pad hardened")
            ),
        ),
        span=Span(0, len(TEXT)),
    )


@pytest.fixture
def exam() -> Exam:
    return blue_42()


@pytest.fixture
def put(log: FlockLog) -> Callable[..., str]:
    """Store one exam as a draft; its id."""

    def store(exam: Exam | None = None, *, on: date | None = date(2026, 3, 12), **more: Any) -> str:
        return log.save_draft(Draft(TEXT, (exam or blue_42(),)), on=on, **more)[0]

    return store


@dataclass
class Talk:
    """What a front end was asked and told, whichever it was."""

    finished: bool
    steps: list[Step]
    told: list[str]
    screen: str = ""


@dataclass
class _Typed(TerminalFront):
    """The terminal front end with somebody who types the replies."""

    replies: list[Reply]
    words: Vocabulary
    steps: list[Step] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    typed: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.screen = io.StringIO()
        console = Console(file=self.screen, width=200)
        super().__init__(console, self._next, lambda question: self._next(), self.words)

    def _next(self) -> str:
        if not self.typed:
            raise EOFError
        return self.typed.pop(0)

    def ask(self, step: Step) -> Reply:
        self.steps.append(step)
        if self.replies:
            self.typed += self._keys(step, self.replies.pop(0))
        return super().ask(step)

    def tell(self, sentence: str) -> None:
        self.told.append(sentence)
        super().tell(sentence)

    def _keys(self, step: Step, reply: Reply) -> list[str]:
        key = KEYS[reply.act][0]
        if reply.act == "answer" and reply.text in step.choices:
            return [str(step.choices.index(reply.text) + 1)]
        if reply.act in ("answer", "add", "withdraw"):
            return [key, reply.text]
        if reply.act in ("change", "drop"):
            number = []
            if reply.item and step.exam:
                standing = [item.id for item in step.exam.items if item.stands]
                number = [str(standing.index(reply.item) + 1)]
            return [key, *number, *(part for change in reply.changes.items() for part in map(str, change))]
        return [key]


Drive = Callable[..., Talk]


@pytest.fixture(params=["scripted", "terminal"])
def drive(request: pytest.FixtureRequest, log: FlockLog, words: Vocabulary) -> Drive:
    """Run a review of the log with the given replies through one of the front ends."""

    def run(*replies: Reply, session: ReviewSession | None = None, **more: Any) -> Talk:
        session = session or ReviewSession(log, words, **more)
        if request.param == "scripted":
            front = ScriptedFront(replies)
            return Talk(review(session, front), front.steps, front.told)
        typed = _Typed(list(replies), words)
        finished = review(session, typed)
        return Talk(finished, typed.steps, typed.told, typed.screen.getvalue())

    return run
