"""Exams as the log hands them out, made by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from itertools import count
from typing import Any

from dictate.model import Action, Bird, Finding, Measurement, Span
from dictate.record import Item, Source, StoredExam

NUMBERS = count()


def exam(on: date | None, *values: Any, bird: str | None = "p", at: time | None = None, **more: Any) -> StoredExam:
    """A confirmed exam of a bird with these findings, measurements and actions."""
    number = next(NUMBERS)
    kinds = {Finding: "finding", Measurement: "measurement", Action: "action"}
    items = tuple(
        Item(f"{number}-{place}", kinds[type(value)], "confirmed", value, value)  # type: ignore[arg-type]
        for place, value in enumerate(values)
    )
    stored = StoredExam(
        id=f"exam {number}", draft_id="d", kind="live", status="confirmed", bird=Bird(name="Pepper"),
        bird_status="confirmed", items=items, rest_normal=False, text="", span=Span(0, 0), source=Source(),
        on=on, at=at, bird_id=bird,
    )
    return replace(stored, **more)
