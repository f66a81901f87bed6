"""What is said of a pen or the flock is an observation and touches no bird (cases/short/flock.toml)."""

from __future__ import annotations

from typing import Any

import pytest
from labelled import cases

from dictate.extraction.assemble import Extractor

FLOCK = [case for case in cases("short") if case["about"] == "flock"]
HELD_FLOOR = 0.8  # of the cases not looked at while rules were made


def seen(extractor: Extractor, text: str) -> list[str]:
    """Observations in the notation of the cases: KIND VALUE [unit]."""
    return sorted(
        f"{o.kind} {o.value:g}" + (f" {(o.unit or '').lower()}" if o.unit not in (None, "1") else "")
        for o in extractor.text(text).observations
    )


@pytest.mark.parametrize("case", [c for c in FLOCK if c["split"] == "tune"], ids=lambda c: c["id"])
def test_labelled_observations(extractor: Extractor, case: dict[str, Any]) -> None:
    assert seen(extractor, case["text"]) == sorted(case["observations"])


def test_held_observations(extractor: Extractor) -> None:
    held = [c for c in FLOCK if c["split"] == "held"]
    right = sum(seen(extractor, c["text"]) == sorted(c["observations"]) for c in held)
    assert right >= HELD_FLOOR * len(held)


@pytest.mark.parametrize(("text", "pen"), [
    ("two dead in pen three this morning", "pen 3"), ("Pen 2: 0 deaths", "pen 2"),
    ("12 eggs from the barn pen", "barn pen"),
    ("four deaths since monday", None),
])
def test_the_pen_of_an_observation(extractor: Extractor, text: str, pen: str | None) -> None:
    (found,) = extractor.text(text).observations
    assert found.pen == pen


@pytest.mark.parametrize(("text", "value", "detail"), [
    ("eggs down from twenty to eleven", 11, "was 20"), ("only nine eggs today, usually twenty", 9, "was 20"),
    ("water down to six litres from ten", 6, "was 10"), ("eggs are down by half in pen two", None, "down 50 %"),
    ("eggs down by twenty percent", None, "down 20 %"), ("they're hardly drinking", None, "down"),
    ("the flock has gone off lay", None, "down"), ("fourteen eggs from pen three", 14, None),
    ("several birds sneezing in the barn pen", None, None), ("two of the pullets are limping", 2, "lameness"),
])
def test_what_it_was_before_is_kept_beside_it(
    extractor: Extractor, text: str, value: float | None, detail: str | None
) -> None:
    (found,) = extractor.text(text).observations
    assert (found.value, found.detail) == (value, detail)


@pytest.mark.parametrize("text", [
    "she's lost two claws", "she's gone off lay", "two dead in the pen last spring", "red 5 has two swollen toes", "she's lost two hundred grams", "two dead mites on the vent",
    "keep the eggs back for ten days",
    "crop empty no eggs today",
])
def test_what_is_said_of_a_bird_is_no_observation(extractor: Extractor, text: str) -> None:
    assert extractor.text(text).observations == ()


def test_an_observation_gives_no_measurement_and_no_action(extractor: Extractor) -> None:
    draft = extractor.text("red four comb pale. the flock's gone through four kilos of feed")
    (exam,) = draft.exams
    assert (exam.measurements, exam.actions) == ((), ())
    assert [(o.kind, o.value, o.unit) for o in draft.observations] == [("feed", 4, "kg")]
