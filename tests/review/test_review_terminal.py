"""The terminal front end: what is on the screen, and what keys do."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rich.console import Console

from dictate.log import FlockLog
from dictate.model import Bird, Draft, Exam, Finding, Span
from dictate.record import Item
from dictate.review.policy import ReviewSession, review
from dictate.review.scripted import ScriptedFront
from dictate.review.steps import Reply
from dictate.review.terminal import KEYS, TerminalFront
from dictate.review.wording import finding_words, in_sentence, printable


def screen_of(log: FlockLog, words: Any, *typed: str) -> str:
    """The screen after typing keys and lines; the input ends after the last."""
    waiting, screen = list(typed), io.StringIO()

    def read(question: str = "") -> str:
        if not waiting:
            raise EOFError
        return waiting.pop(0)

    review(ReviewSession(log, words), TerminalFront(Console(file=screen, width=150), read, read, words))
    return screen.getvalue()


def test_a_doubtful_finding_stands_in_its_sentence(log: FlockLog, put: Any, words: Any) -> None:
    put()
    screen = screen_of(log, words)
    assert "comb pale [foot pad hardened] weight 2100" in screen
    assert "foot pad: hardened" in screen
    assert "ask, score 0.70: side missing -0.30" in screen
    assert "1 left   2 right   3 both" in screen
    assert "blue 42 · 2026-03-12 · 2 to check" in screen
    assert "\x1b" not in screen


def test_a_key_that_means_nothing_names_the_keys(log: FlockLog, put: Any, words: Any) -> None:
    exam_id = put()
    assert "The keys are:\n  k keep   c change" in screen_of(log, words, "z", "", "9")
    assert not log.decisions(exam_id)


def test_no_two_decisions_share_a_key() -> None:
    keys = [key for key, _ in KEYS.values()]
    assert len(set(keys)) == len(keys)
    assert not any(key.isdigit() for key in keys)


def test_a_value_is_picked_by_number_or_by_its_beginning(log: FlockLog, put: Any, words: Any) -> None:
    exam_id = put()
    screen_of(log, words, "c", "sign", "ulc")
    screen_of(log, words, "c", "2", "right")
    changed = [item.value for item in log.exam(exam_id).items if item.choice == "change"]
    found = [(value.sign, value.side) for value in changed if isinstance(value, Finding)]
    assert found == [("ulcer", None), ("closed", "right")]


def test_a_beginning_that_fits_several_changes_nothing(log: FlockLog, put: Any, words: Any) -> None:
    exam_id = put()
    screen = screen_of(log, words, "c", "sign", "s")
    assert "swelling" in screen
    assert "Nothing was changed" in screen
    assert not log.decisions(exam_id)


def test_words_of_a_note_cannot_steer_the_terminal(log: FlockLog, words: Any) -> None:
    text = "\x1b[2Jvent \x07soiled [bold]x[/bold]"
    found = Finding("vent", "soiling", span=Span(4, len(text)), quote=text)
    log.save_draft(Draft(text, (Exam(Bird(name="\x1b]0;x\x07", verdict="sure"), (found,)),)))
    screen = screen_of(log, words)
    assert "\x1b" not in screen
    assert "\x07" not in screen
    assert "[bold]" in screen


@given(
    st.text("abc \n\t", max_size=300), st.integers(0, 310), st.integers(0, 310), st.integers(0, 80)
)
def test_the_marked_words_are_those_of_the_span(text: str, start: int, end: int, around: int) -> None:
    start, end = sorted((start, end))
    line = in_sentence(text, start, end, around)
    assert line[line.index("[") + 1 : line.index("]")].split() == text[start:end].split()
    assert "\n" not in line


@given(st.text())
def test_printable_text_is_printable_and_as_long(text: str) -> None:
    assert printable(text).isprintable()
    assert len(printable(text)) == len(text)


def test_wording() -> None:
    found = Finding("foot pad", "hardened", side="right", grade=2, certainty="possible", when="past")
    assert finding_words(found) == "right foot pad: hardened, grade 2, perhaps, in the past"
    absent = Finding("eye", "discharge", side="both", presence="absent")
    assert finding_words(absent) == "eye, both sides: no discharge"


REPLIES = st.sampled_from([
    Reply("keep"), Reply("drop"), Reply("later"), Reply("confirm"), Reply("confirm-sure"),
    Reply("change", {"sign": "ulcer"}), Reply("change", {"grade": "3"}), Reply("change", {"band": "red 9"}),
    Reply("answer", text="left"), Reply("answer", text="2026-03-01"), Reply("withdraw", text="noise"),
])


def state(log: FlockLog, ids: list[str]) -> list[Any]:
    def bare(item: Item) -> Any:
        return item.status, item.choice, item.value

    exams = [log.exam(exam_id) for exam_id in ids]
    return [(e.status, e.bird, e.bird_id, e.on, e.open_questions, [bare(i) for i in e.items]) for e in exams]


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(replies=st.lists(REPLIES, max_size=12))
def test_whatever_was_replied_can_be_taken_back(
    tmp_path_factory: Any, exam: Exam, words: Any, replies: list[Reply]
) -> None:
    draft = Draft(" " * exam.span.end, (exam, replace(exam, bird=Bird())))
    with FlockLog.open(tmp_path_factory.mktemp("undo") / "flock.db") as log:
        ids = log.save_draft(draft, date_problem="no day")
        before = state(log, ids)
        session = ReviewSession(log, words)
        review(session, ScriptedFront(replies))
        for _ in replies:
            session.undo()
        assert state(log, ids) == before
