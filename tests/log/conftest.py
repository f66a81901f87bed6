"""An open log in a folder of its own, and drafts built by hand from short sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from dictate.log import FlockLog
from dictate.model import Action, Bird, Draft, Exam, Finding, Measurement, Question, Span

Build = Callable[..., Draft]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "flock.db"


@pytest.fixture
def log(path: Path) -> Iterator[FlockLog]:
    with FlockLog.open(path) as opened:
        yield opened


def said(text: str, quote: str) -> dict[str, object]:
    start = text.index(quote)
    return {"span": Span(start, start + len(quote)), "quote": quote}


def build(bird: str | None = "blue 42", *, verdict: str = "sure", name: str | None = None) -> Draft:
    """One exam: a sure finding, a doubtful one whose side is asked for, a weight and a recheck."""
    who = bird or name or "this one"
    text = f"{who} right foot pad hardened, eye has discharge, 2100 g, recheck in ten days"
    exam = Exam(
        bird=Bird(band=bird, name=name, sex="hen", verdict=verdict),  # type: ignore[arg-type]
        findings=(
            Finding("foot pad", "hardened", "right", verdict="sure", **said(text, "right foot pad hardened")),
            Finding("eye", "discharge", verdict="ask", **said(text, "eye has discharge")),
        ),
        measurements=(Measurement("weight", 2100, "g", verdict="sure", **said(text, "2100 g")),),
        actions=(Action("recheck", 10, verdict="check", **said(text, "recheck in ten days")),),
        questions=(Question("side", "Which eye?", "side", 1, ("left", "right", "both")),),
        span=Span(0, len(text)),
    )
    return Draft(text, (exam,))


@pytest.fixture(name="build")
def _build() -> Build:
    return build
