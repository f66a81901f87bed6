"""What the reader remembers while it goes through one exam."""

from __future__ import annotations

from dataclasses import dataclass, field

from dictate.extraction.hits import Hit, Ref
from dictate.extraction.units import Unit
from dictate.model import Cue

__all__ = ["Open", "State"]

LOOK_BACK = 200  # hits that corrections, ditto and the like may reach


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
    settled: list[Hit] = field(default_factory=list)  # so far back that nothing said now can change them
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
    waiting: list[int] = field(default_factory=list)  # it and those before it
    placed_end: int = 0
    muted_sign: tuple[Unit, int] | None = None
    fix: tuple[int, str] | None = None

    def set_topic(self, refs: list[Ref], end: int, fresh: bool = True) -> None:
        """Take up the regions `refs`, whose words end at `end`; `fresh`: nothing was said of them yet."""
        self.topic, self.topic_end, self.fresh = refs, end, fresh
        if fresh:
            self.said = 0
            self.group += 1
        for ref in refs:
            if ref.side:
                self.paired = ref

    @property
    def last_group(self) -> list[Hit]:
        """The hits of the statement made last."""
        if not self.hits:
            return []
        at = self.hits[-1].at
        return [hit for hit in self.hits if hit.at == at]

    def settle(self, refs: list[Ref], end: int) -> None:
        """Take up a topic of which something was said already."""
        self.set_topic(refs, end)
        self.fresh, self.said = False, 1

    @property
    def topic_open(self) -> bool:
        """True while a topic is named and nothing was said of it yet."""
        return bool(self.topic) and self.fresh and self.said == 0

    def end_absence(self) -> None:
        """An absence that has governed a sign ends."""
        if self.absent is not None and self.absent.signs:
            self.absent = None

    def end_doubt(self) -> None:
        """A doubt that has governed a sign ends."""
        if self.doubt is not None and self.doubt.signs:
            self.doubt = None

    def end_past(self) -> None:
        """A past that has governed a sign ends."""
        if self.past is not None and self.past.signs:
            self.past = None

    def lay_aside(self) -> None:
        """Lay old hits aside, so that looking back takes no longer in a long exam."""
        if len(self.hits) > LOOK_BACK:
            self.settled += self.hits[: -LOOK_BACK // 2]
            del self.hits[: -LOOK_BACK // 2]

    @property
    def all_hits(self) -> list[Hit]:
        """All hits of the exam, those laid aside first."""
        return self.settled + self.hits

    def take_back(self, hit: Hit, why: str) -> None:
        """Take a hit out again, and say so."""
        self.hits.remove(hit)
        if why not in self.units[hit.at].notes:
            self.units[hit.at].notes.append(why)

    def close(self) -> None:
        """The end of what open cues govern."""
        self.absent = self.doubt = self.past = None
