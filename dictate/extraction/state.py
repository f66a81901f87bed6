"""What the reader remembers while it goes through one exam."""

from __future__ import annotations

from dataclasses import dataclass, field

from dictate.extraction.hits import Hit, Ref
from dictate.extraction.units import Unit
from dictate.model import Cue

__all__ = ["Open", "State"]


@dataclass(slots=True)
class Open:
    """An open cue: where it began, how many signs it has governed, where the last of them stands."""

    cue: Cue
    at: int
    signs: int = 0
    last: int = 0


@dataclass(slots=True)
class State:
    """What the reader remembers while it goes through one exam."""

    units: list[Unit]
    hits: list[Hit] = field(default_factory=list)
    topic: list[Ref] = field(default_factory=list)
    topic_end: int = 0
    fresh: bool = False
    said: int = 0
    group: int = 0
    paired: Ref | None = None
    taught: list[Ref] = field(default_factory=list)
    absent: Open | None = None
    doubt: Open | None = None
    past: Open | None = None
    grade: tuple[int, int] = (0, -9)  # step, unit
    exception: bool = False
    doubled: int = -99
    clause: int = 0
    rest_normal: bool = False
    context: str = ""
    fronted: bool = False
    determined: bool = False
    pending: int = -1  # a sign that found no region yet
    placed_end: int = 0
    muted_sign: tuple[Unit, int] | None = None
    fix: tuple[int, str] | None = None

    def set_topic(self, refs: list[Ref], end: int, fresh: bool = True) -> None:
        self.topic, self.topic_end, self.fresh = refs, end, fresh
        if fresh:
            self.said = 0
            self.group += 1
        for ref in refs:
            if ref.side:
                self.paired = ref

    def close(self) -> None:
        """The end of what open cues govern."""
        self.absent = self.doubt = self.past = None
