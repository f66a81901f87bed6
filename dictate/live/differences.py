"""What a session has to tell: how one understanding of the words differs from the one before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from dictate.live.events import Event, Said, kind_of, record_of
from dictate.live.hand import current, says
from dictate.model import Bird, Draft, Exam, exam_record

__all__ = ["differences", "facts", "told_as_early"]

Key = tuple[Any, ...]


def _meaning(said: Said) -> Key:
    """What a thing says, apart from its proof: equal for the same thing understood twice."""
    bare = replace(
        said, span=type(said.span)(0, 0), quote="", rule="", penalties=(), verdict="check",
        start=None, end=None, confidence=None, listeners=(),
    )
    row = record_of(bare)
    row.pop("cues", None)
    return (kind_of(said), *((key, str(value)) for key, value in sorted(row.items())))


def _said(draft: Draft) -> dict[Key, Said]:
    """Everything understood, by bird and meaning; a thing said twice of one bird stands once."""
    said: dict[Key, Said] = {}
    for number, exam in enumerate(draft.exams):
        for items in (exam.findings, exam.measurements, exam.actions):
            said.update({(number, *_meaning(item)): item for item in items})
    return said


def _who(bird: Bird) -> Key:
    return (bird.band, bird.name, bird.sex, bird.breed, bird.pen)


def facts(draft: Draft) -> Key:
    """All that a draft says, for comparing two of them."""
    birds = tuple((_who(exam.bird), exam.rest_normal) for exam in draft.exams if says(exam))
    return (birds, frozenset(_said(draft)), draft.observations)


def differences(before: Draft, after: Draft, phrase_end: float | None, why: str) -> list[Event]:
    """What `after` says that `before` did not, and the other way round."""
    old, new = _said(before), _said(after)
    events = [
        Event("withdrawn", {"kind": kind_of(item), "record": record_of(item), "why": why}, said=item)
        for key, item in old.items() if key not in new
    ]
    bird = current(after).bird
    was = current(before).bird
    if _who(bird) != _who(was) and (bird.known or was.known):
        events.append(Event("bird", {"bird": exam_record(Exam(bird))["bird"]}))
    for key, item in new.items():
        end = item.end if item.end is not None else phrase_end
        if key not in old:
            events.append(
                Event(kind_of(item), {kind_of(item): record_of(item), "phrase_end": end}, said=item)
            )
        elif item.verdict != old[key].verdict:
            row = {"kind": kind_of(item), "record": record_of(item), "phrase_end": end}
            events.append(Event("revised", row, said=item))
    if current(after).rest_normal and not current(before).rest_normal:
        events.append(Event("rest-normal"))
    return events


def told_as_early(events: Sequence[Event]) -> list[Event]:
    """The same, marked as understood before the phrase had ended."""
    return [replace(event, data={**event.data, "early": True}) for event in events]
