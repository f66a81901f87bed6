"""Facts about a whole text that single rules need: is it punctuated, is it told in the past tense."""

from __future__ import annotations

from dictate.extraction.units import Unit

__all__ = ["is_past_tense", "is_punctuated"]

TENSE = {"was": "past", "were": "past", "is": "present", "are": "present", "'s": "present", "'re": "present"}


def is_punctuated(text: str) -> bool:
    """True where sentence marks or capitals let clause ends be trusted."""
    marks = sum(text.count(mark) for mark in ".;!?\n")
    words = max(1, text.count(" ") + 1)
    return (marks >= 2 and words / (marks + 1) < 30) or (marks >= 1 and words < 30)


def is_past_tense(units: list[Unit]) -> bool:
    """True for an exam told afterwards ("her eyes were clear and the crop was full"): was is no past then."""
    past = present = 0
    for unit in units:
        tense = TENSE.get(unit.low)
        if tense and not unit.muted:
            past, present = past + (tense == "past"), present + (tense == "present")
    return (past >= 3 and past > 2 * present) or (past >= 2 and not present)
