"""Findings while they are being understood: they may still be changed, moved or taken back."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from dictate.model import Cue

__all__ = ["BREATHING", "GENERAL", "NORMAL", "PLUMAGE", "SKIN", "Hit", "Ref"]

# Ids that the rules of the record name: the sign of a good word, and the regions of what is said of none.
NORMAL = "normal"
GENERAL = "general"
BREATHING = "breathing"
SKIN = "skin"
PLUMAGE = "plumage"


@dataclass(frozen=True, slots=True)
class Ref:
    """A region with its side, as named at unit `at`. `weak`: skin or feathers, which give way."""

    region: str
    side: str = ""
    at: int = 0
    weak: bool = False
    plural: bool = False


@dataclass(slots=True, eq=False)
class Hit:
    """A finding in the making. `at` is the unit of its sign, `group` the topic it was said under."""

    ref: Ref
    sign: str
    at: int
    end: int
    presence: str = "present"
    grade: int = 0
    certainty: str = "sure"
    when: str = "now"
    group: int = 0
    rule: str = ""
    cues: list[Cue] = field(default_factory=list)

    @property
    def core(self) -> tuple[str, str, str, str]:
        """What makes two hits one: region, side, sign, now or past."""
        return (self.ref.region, self.ref.side, self.sign, self.when)

    def moved(self, **changes: str) -> None:
        """Another region or side for this hit."""
        self.ref = replace(self.ref, **changes)  # type: ignore[arg-type]

    def copy(self, ref: Ref, **changes: Any) -> Hit:
        """The same finding of another region, with fields changed as told."""
        cues = list(changes.pop("cues", self.cues))
        return replace(self, ref=ref, cues=cues, **changes)
