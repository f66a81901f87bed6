"""Review by replies that were made beforehand: for tests, and for programs that decide."""

from __future__ import annotations

from collections.abc import Iterable

from dictate.review.steps import Reply, Step

__all__ = ["ScriptedFront"]


class ScriptedFront:
    """Gives the next of its replies to each step; stops where they end. Keeps what it was shown."""

    def __init__(self, replies: Iterable[Reply]) -> None:
        self._replies = iter(replies)
        self.steps: list[Step] = []
        self.told: list[str] = []

    def ask(self, step: Step) -> Reply:
        self.steps.append(step)
        return next(self._replies, Reply("stop"))

    def tell(self, sentence: str) -> None:
        self.told.append(sentence)
