"""Whether the time of day goes along with the sound: it does not while the machine sleeps."""

from __future__ import annotations

import time
from collections.abc import Callable

__all__ = ["Clocks"]

LEAST = 2.0
"""Seconds that count as a jump; less is the clock being kept right."""


class Clocks:
    """Compares the time of day with a clock that only runs while the machine does, as sound does."""

    def __init__(
        self, wall: Callable[[], float] = time.time, steady: Callable[[], float] = time.monotonic
    ) -> None:
        self._wall, self._steady = wall, steady
        self._first = wall() - steady()
        self._ahead = 0.0
        self.sentence = ""
        """What the last jump was, for a person."""

    def jumped(self) -> float | None:
        """Seconds by which the time of day is ahead of the sound since the start, where that has just
        changed; else None."""
        ahead = self._wall() - self._steady() - self._first
        by = ahead - self._ahead
        if abs(by) < LEAST:
            return None
        self._ahead = ahead
        if by > 0:
            self.sentence = (
                f"The clock went on by {_length(by)} without sound: the machine slept, or its clock was put "
                "right. What was said in that time was not heard."
            )
        else:
            self.sentence = f"The clock was put back by {_length(-by)}. Exams from here on have the new time."
        return ahead


def _length(seconds: float) -> str:
    return f"{seconds / 60:.0f} minutes" if seconds >= 120 else f"{seconds:.0f} seconds"
