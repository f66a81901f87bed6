"""What was before: each step of a session, so that it can be taken back."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from dictate.live.hand import Hand

__all__ = ["Past", "Step"]

KEPT = 60
"""Steps that can be taken back: some birds' worth, so that memory stays as it is all day."""


@dataclass(frozen=True, slots=True)
class Step:
    """How things stood before a step. `closing` is the number of the closing where the step was that
    birds were put down, `birds` how many."""

    hand: Hand
    examiner: str | None
    closing: int = 0
    birds: int = 0


class Past:
    """The last steps, newest at the end."""

    def __init__(self) -> None:
        self._steps: deque[Step] = deque(maxlen=KEPT)

    def add(self, step: Step) -> None:
        self._steps.append(step)

    def pop(self) -> Step | None:
        """The last step, which is forgotten; None where nothing is known any more."""
        return self._steps.pop() if self._steps else None
