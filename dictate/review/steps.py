"""What review asks and what a person may reply, as plain data between the policy and a front end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, Protocol

from dictate.model import Question
from dictate.record import Item, StoredExam, StoredObservation

__all__ = ["Act", "Front", "Reply", "Step", "StepKind"]

StepKind = Literal["bird", "date", "item", "question", "exam", "observation"]
Act = Literal[
    "keep", "change", "drop", "later", "answer", "add", "confirm", "confirm-sure", "withdraw", "undo", "stop"
]


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to be asked.

    bird: which bird it is; date: which day it was; item: one doubtful finding, measurement or
    action, with the `question` that is open on it, if any; question: one about the exam itself;
    exam: everything of this bird is decided, may it be confirmed; observation: something said
    of a pen or the flock.
    `choices` are the usual answers to the question; `acts` what may be replied. `left` counts
    the doubtful things of the whole session that are still to be asked, this one included.
    """

    kind: StepKind
    acts: tuple[Act, ...]
    exam: StoredExam | None = None
    item: Item | None = None
    question: Question | None = None
    question_id: str | None = None
    observation: StoredObservation | None = None
    choices: tuple[str, ...] = ()
    left: int = 0


@dataclass(frozen=True, slots=True)
class Reply:
    """What the person decided.

    `changes` go with "change" (attribute → new value as typed), `text` with "answer" (the
    answer), "add" (what is to be added, as it would be said) and "withdraw" (why). `item` names
    another item of the exam than the one that was asked.
    """

    act: Act
    changes: Mapping[str, Any] = field(default_factory=dict)
    text: str = ""
    item: str | None = None


class Front(Protocol):
    """Whatever shows a step to a person and brings back a reply."""

    def ask(self, step: Step) -> Reply:
        """Show one step and wait for the reply."""
        ...

    def tell(self, sentence: str) -> None:
        """Show a sentence that needs no reply."""
        ...
