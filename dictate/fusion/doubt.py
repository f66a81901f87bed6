"""One listener alone: what it was not sure of is looked over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

from dictate.extraction.scoring import verdict_of
from dictate.model import Action, Draft, Finding, Measurement, Penalty

__all__ = ["doubted"]

Said = TypeVar("Said", Finding, Measurement, Action)
AROUND = 10  # words each way
WORD, TALK = "a word not well heard", "talk not well heard"


def doubted(draft: Draft, limits: Mapping[str, float]) -> Draft:
    """The draft with penalties for words, and for talk around them, of which the listener was less sure than
    `limits` ("word", "around") ask; each costs limits["amount"]."""
    sure = [1.0 if word.word.confidence is None else word.word.confidence for word in draft.words]

    def doubt(item: Said) -> Said:
        under = [n for n, word in enumerate(draft.words) if word.span.overlaps(item.span)]
        if not under:
            return item
        around = sure[max(0, under[0] - AROUND) : under[-1] + AROUND + 1]
        named: list[Penalty] = []
        if min(sure[n] for n in under) < limits["word"]:
            named.append(Penalty(WORD, limits["amount"]))
        if sum(around) / len(around) < limits["around"]:
            named.append(Penalty(TALK, limits["amount"]))
        if not named:
            return item
        penalties = (*item.penalties, *named)
        judged: Said = replace(item, penalties=penalties, verdict=verdict_of(penalties))
        return judged

    return replace(draft, exams=tuple(
        replace(
            exam, findings=tuple(map(doubt, exam.findings)), measurements=tuple(map(doubt, exam.measurements)),
            actions=tuple(map(doubt, exam.actions)),
        )
        for exam in draft.exams
    ))
