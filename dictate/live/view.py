"""How a session stands, for whoever shows it; and how patient it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from dictate.live.events import Said
from dictate.model import Exam

__all__ = ["Patience", "State", "View"]

State = Literal["idle", "listening", "exam-open", "question-open", "paused", "ended"]


@dataclass(frozen=True, slots=True)
class Patience:
    """Seconds: of silence before a question is asked, until it is put off; and that a bird may be in
    hand before it is said (0: never)."""

    ask_after: float = 1.5
    answer_within: float = 12.0
    in_hand: float = 0.0


@dataclass(frozen=True, slots=True)
class View:
    """What a screen shows: the bird in hand, what was found, what was not looked at yet.

    `birds` counts those that were closed; `heard` are the last texts, the newest at the end;
    `hearing` is what is being said, as far as understood; `question` the one that is open.
    """

    state: State
    birds: int
    exam: Exam
    heard: tuple[str, ...]
    left: tuple[str, ...]
    hearing: str = ""
    question: str = ""
    examiner: str | None = None
    since: float | None = None

    @property
    def items(self) -> tuple[Said, ...]:
        """Findings, measurements and actions in the order they were said."""
        said: list[Said] = [*self.exam.findings, *self.exam.measurements, *self.exam.actions]
        return tuple(sorted(said, key=lambda item: item.span))
