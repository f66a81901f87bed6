"""An action that was found, with its place in the text and the birds it is done to."""

from __future__ import annotations

from dataclasses import dataclass, field

from dictate.model import Action

__all__ = ["FoundAction"]


@dataclass(slots=True)
class FoundAction:
    """An action, the units it takes, and the places of the birds named as its object ("dust Clover")."""

    at: int
    end: int
    action: Action
    birds: list[int] = field(default_factory=list)
    joint: int = 0  # of how many birds it is said together ("both soaked")
