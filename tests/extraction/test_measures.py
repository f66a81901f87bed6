"""Measurements: kinds, units and conversions.

Factors by UCUM and NIST SP 811 (exact by definition): 1 lb = 453.59237 g, 1 oz = 28.349523125 g, 1 in = 25.4 mm,
t/°C = (t/°F - 32)/1.8. Sentences by common practice.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.extraction.assemble import Extractor
from dictate.vocabulary import Vocabulary, load_vocabulary

LB, OZ, INCH = 453.59237, 28.349523125, 25.4
EXTRACTOR = Extractor(load_vocabulary())


def measured(text: str, *, former: bool = False) -> list[tuple[str, float, str]]:
    return [
        (m.kind, m.value, m.unit) for exam in EXTRACTOR.text(text).exams for m in exam.measurements if former
        or not m.former
    ]


def test_factors_are_those_of_the_standards(vocabulary: Vocabulary) -> None:
    units = vocabulary.units
    assert units["pound"].factor == LB
    assert units["ounce"].factor == OZ == LB / 16
    assert units["inch"].factor == INCH
    assert units["kilogram"].factor == 1000
    assert 212 * units["fahrenheit"].factor + units["fahrenheit"].offset == pytest.approx(100)
    assert 32 * units["fahrenheit"].factor + units["fahrenheit"].offset == pytest.approx(0, abs=1e-9)


@given(st.integers(1, 15), st.integers(0, 15))
@settings(max_examples=60, deadline=None)
def test_pounds_and_ounces(pounds: int, ounces: int) -> None:
    (found,) = measured(f"weight {pounds} lb {ounces} oz")
    assert found == ("weight", pytest.approx(pounds * LB + ounces * OZ, abs=0.01), "g")


@given(st.decimals("0.5", "6", places=2))
@settings(max_examples=60, deadline=None)
def test_kilograms(kilos) -> None:  # type: ignore[no-untyped-def]
    assert measured(f"she weighs {kilos} kg") == [("weight", pytest.approx(float(kilos) * 1000), "g")]


CASES = [
    ("four pound eight on the scales", "weight", 4.5 * LB), ("5 1/2 lb", "weight", 5.5 * LB),
    ("two kilo one fifty", "weight", 2150), ("she's a kilo and a half", "weight", 1500),
    ("half a kilo", "weight", 500), ("the scale reads nineteen forty", "weight", 1940),
    ("eighteen sixty on the scales", "weight", 1860), ("weight twenty one hundred", "weight", 2100),
    ("weight one point eight five", "weight", 1850), ("weight two kilos no sorry two point two", "weight", 2200),
    ("weight 2.3 kg, down from 2.5", "weight", 2300), ("Wt 2.4 → 2.2kg", "weight", 2200),
    ("temperature one oh seven point four", "temperature", (107.4 - 32) / 1.8), ("T 41.3", "temperature", 41.3),
    ("temp 106.5 F", "temperature", (106.5 - 32) / 1.8), ("forty one and a half degrees", "temperature", 41.5),
    ("breathing thirty to the minute", "breathing rate", 30), ("HR 280", "heart rate", 280),
    ("pubic bones two fingers apart", "pubic spread", 2), ("abdomen depth four fingers", "abdomen depth", 4),
    ("scab 6 mm", "lesion size", 6), ("scab half an inch long", "lesion size", INCH / 2),
    ("a cut two centimetres long", "lesion size", 20),
    ("scab was nine millimetres and it's four now", "lesion size", 4),
    ("five or six lice", "count", 5.5), ("lice x 3", "count", 3), ("one two three ticks on the neck", "count", 3),
    ("comb has six points", "count", 6), ("BCS 3/5", "body condition score", 3),
    ("i'd score her a three for condition", "body condition score", 3), ("mite score of three", "mite score", 3),
    ("hen two years old", "age", 104), ("20wk pullet", "age", 20), ("she's eighteen months old", "age", 78),
    ("she's a hen and she's three", "age", 156), ("age thirty no thirty six weeks", "age", 36),
]


@pytest.mark.parametrize(("text", "kind", "value"), CASES, ids=[c[0] for c in CASES])
def test_one_measurement(text: str, kind: str, value: float) -> None:
    assert [(k, pytest.approx(v, rel=0.0005)) for k, v, _ in measured(text)] == [(kind, value)]


@pytest.mark.parametrize("text", [
    "ten mil ring", "i trimmed five mil off the beak", "she's lost two hundred grams since march",
    "recheck in two weeks", "give her two drops", "at 6pm", "on 1 June", "100 g less than before",
    "a foot pad score of two is bad", "pen four", "the flock's gone through four kilos of feed",
])
def test_numbers_that_measure_nothing_of_a_bird(text: str) -> None:
    assert measured(text) == []


def test_a_range_gives_its_middle_and_its_ends() -> None:
    (exam,) = EXTRACTOR.text("about two to three kilos").exams
    (found,) = exam.measurements
    assert (found.value, found.low, found.high, found.approximate) == (2500, 2000, 3000, True)


def test_a_former_value_is_kept_apart() -> None:
    assert measured("weight 1.9 kg (was 2.1)") == [("weight", 1900, "g")]
    assert measured("weight 1.9 kg (was 2.1 kg)", former=True) == [("weight", 1900, "g"), ("weight", 2100, "g")]


def test_scores_of_both_sides() -> None:
    assert [v for _, v, _ in measured("foot pad score one on the left two on the right")] == [1, 2]


def test_a_value_outside_what_a_bird_can_have_is_asked_for() -> None:
    (exam,) = EXTRACTOR.text("temperature thirty two degrees").exams
    (found,) = exam.measurements
    assert found.verdict != "sure"
    assert "out of the usual range" in {p.name for p in found.penalties}


def test_weights_by_turn_on_a_weighing_day() -> None:
    exams = EXTRACTOR.text("weigh day yellow one nineteen hundred yellow two eighteen hundred and fifty").exams
    assert [(e.bird.band, [m.value for m in e.measurements]) for e in exams] == [
        ("yellow 1", [1900]), ("yellow 2", [1850])]
