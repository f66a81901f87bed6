"""The screen keeps its sense at every size: what matters is on it, and nothing runs over the edge."""

from __future__ import annotations

import pytest
from rich.console import Console

from dictate.cli.listen import _wording
from dictate.live.screen import draw
from dictate.live.view import View
from dictate.model import Bird, Exam, Finding, Measurement, Span

REGIONS = ("general", "face", "nare", "beak", "mouth", "ear", "comb", "wattle", "neck", "crop", "breast", "keel",
           "back", "wing", "preen gland", "tail", "abdomen", "pubic bones", "hock", "shank", "toe", "claw", "spur")


def view(findings: int = 3, question: str = "") -> View:
    found = tuple(
        Finding("foot pad", "hardened", side="left", grade=2, span=Span(n, n + 1), verdict="check")
        for n in range(findings)
    )
    weight = Measurement("weight", 2100, "g", span=Span(999, 1000), verdict="sure")
    exam = Exam(Bird("blue 14", "juniper", "hen"), found, (weight,), rest_normal=True)
    return View(
        "question-open" if question else "exam-open", 2, exam,
        ("this is juniper", "a sentence that goes on and on " * 6, "left foot pad is hardened"), REGIONS,
        "weight two point", question, "Robin", 12.0,
    )


def rows(shown: View, width: int, height: int) -> list[str]:
    console = Console(width=width, height=height, force_terminal=False, color_system=None)
    with console.capture() as capture:
        console.print(draw(shown, 75.0, _wording(), "put down: red 7: 4 findings", (width, height)))
    return capture.get().splitlines()


@pytest.mark.parametrize(("width", "height"), [(40, 12), (60, 16), (80, 24), (120, 40), (200, 60)])
@pytest.mark.parametrize("findings", [0, 3, 40])
def test_everything_that_matters_is_on_it(width: int, height: int, findings: int) -> None:
    lines = rows(view(findings, "Which foot pad?"), width, height)
    assert len(lines) <= height
    assert all(len(line) <= width for line in lines)
    text = "\n".join(lines)
    for needed in ("QUESTION", "JUNIPER (BLUE 14)", "Which foot pad?", "weight: 2100 g", "NOT LOOKED AT YET",
                   "1:03 in hand", "weight two point"):
        assert needed in text, needed
    if findings > height:
        assert "more above" in text


def test_states_are_words_and_not_colours_alone() -> None:
    from typing import get_args

    from dictate.live.screen import STATES
    from dictate.live.view import State

    assert set(STATES) == set(get_args(State))
    assert all(words.strip() for words, _ in STATES.values())
    assert len({words for words, _ in STATES.values()}) == len(STATES)
