"""Entries into the log: each once, confirmed by policy, every line accounted for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from dictate.intake.bring_in import Confirm, Report, bring_in
from dictate.intake.plain_text import entries
from dictate.log import FlockLog
from dictate.model import Bird, Draft, Exam, Finding, Observation, Span

TODAY = date(2026, 11, 25)
NOTES = """\
2026-03-12
blue 42 sure doubtful

and doubtful again
red 7 sure

the weather was fine
31/2/2026
green 3 sure

2026-03-13
two dead
"""


def understand(text: str) -> Draft:
    """A stand-in for the parser: a colour and a number begin a bird; sure and doubtful are findings."""
    starts = sorted({0, *(mark.start() for mark in re.finditer(r"(blue|red|green) \d+", text))})
    exams = []
    for start, end in zip(starts, [*starts[1:], len(text)], strict=True):
        findings = tuple(
            Finding("comb", "pallor", span=Span(start + m.start(), start + m.end()), quote=m[0],
                    verdict="sure" if m[0] == "sure" else "ask")
            for m in re.finditer("sure|doubtful", text[start:end])
        )
        named = re.match(r"(blue|red|green) \d+", text[start:end])
        if findings:
            bird = Bird(named[0] if named else None, verdict="sure")
            exams.append(Exam(bird, findings, span=Span(start, end)))
    dead = (Observation("deaths", value=2, quote="two dead"),) if "dead" in text else ()
    return Draft(text, tuple(exams), dead)


@pytest.fixture
def log(tmp_path: Path) -> Iterator[FlockLog]:
    with FlockLog.open(tmp_path / "flock.db") as opened:
        yield opened


def bring(log: FlockLog, text: str = NOTES, confirm: Confirm = "none", name: str = "notes.txt") -> Report:
    read = entries(Path(name), text.split("\n"), "day-month-year", TODAY)
    return bring_in(read, log, understand, confirm=confirm, batch=log.start_batch("import"))


def test_what_comes_in(log: FlockLog) -> None:
    report = bring(log)
    exams = {exam.bird.band: exam for exam in log.drafts()}
    assert set(exams) == {"blue 42", "red 7", "green 3"}
    assert exams["blue 42"].on == date(2026, 3, 12)
    assert exams["green 3"].on is None
    assert "31/2/2026" in (exams["green 3"].date_problem or "")
    assert (exams["green 3"].source.file, exams["green 3"].source.line) == ("notes.txt", 9)
    assert (report.exams, report.observations, report.nothing_understood) == (3, 1, 1)
    assert [line for line, _ in report.problems] == [9]


def test_a_paragraph_without_a_bird_goes_on_with_the_one_before(log: FlockLog) -> None:
    bring(log)
    blue = next(exam for exam in log.drafts() if exam.bird.band == "blue 42")
    assert len(blue.items) == 2 or "and doubtful again" in blue.text


def test_every_line_is_accounted_for_once(log: FlockLog) -> None:
    report = bring(log)
    assert [fate.line for fate in report.fates] == list(range(1, report.lines + 1))
    by_line = {fate.line: fate.what for fate in report.fates}
    assert by_line[1] == "date"
    assert by_line[2] == by_line[5] == "exam"
    assert by_line[7] == "nothing understood"
    assert by_line[12] == "observation"


@pytest.mark.parametrize("confirm", ["all", "sure", "none"])
def test_the_same_file_twice_adds_nothing(log: FlockLog, confirm: Confirm) -> None:
    bring(log, confirm=confirm)
    before = [(exam.id, exam.items) for exam in log.exams(statuses=("draft", "confirmed"))]
    report = bring(log, confirm=confirm)
    assert [(exam.id, exam.items) for exam in log.exams(statuses=("draft", "confirmed"))] == before
    assert (report.exams, report.observations, report.confirmed) == (0, 0, 0)
    assert report.known_already == report.entries
    assert len(log.observations(statuses=("draft", "confirmed"))) == 1


def test_the_same_day_and_words_from_another_file_are_the_same(log: FlockLog) -> None:
    bring(log, "2026-03-12\nred 7 sure\n")
    report = bring(log, "12 March 2026\n\n  Red 7   sure\n", name="copy.txt")
    assert (report.exams, report.known_already) == (0, 1)
    assert len(log.drafts()) == 1


def test_two_notes_without_a_day_are_never_taken_for_the_same(log: FlockLog) -> None:
    bring(log, "red 7 sure\n", name="one.txt")
    bring(log, "red 7 sure\n", name="two.txt")
    assert len(log.drafts()) == 2
    bring(log, "red 7 sure\n", name="two.txt")
    assert len(log.drafts()) == 2


def test_two_different_exams_of_a_bird_on_one_day_stay_two(log: FlockLog) -> None:
    bring(log, "2026-03-12\nred 7 sure\n\nred 7 sure doubtful\n")
    assert len(log.drafts()) == 2


@pytest.mark.parametrize(
    ("confirm", "confirmed", "left"), [("all", 5, 0), ("sure", 3, 1), ("none", 0, 4)]
)
def test_what_is_confirmed(log: FlockLog, confirm: Confirm, confirmed: int, left: int) -> None:
    text = "2026-03-12\nblue 42 sure doubtful\n\nred 7 sure\n\ngreen 3 sure\n\ntwo dead\n"
    report = bring(log, text, confirm)
    facts = [f for exam in log.exams() for f in exam.confirmed.findings]
    dead = log.observations()
    assert len(facts) + len(dead) == report.confirmed == confirmed
    assert report.left_to_check == left


def test_what_fails_half_way_leaves_whole_entries_only(
    log: FlockLog, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = "2026-03-12\n" + "\n\n".join(f"red {number} sure" for number in range(120))
    saved = log.save_draft
    calls = iter(range(1000))

    def fail(*given: object, **more: object) -> list[str]:
        if next(calls) == 70:
            raise KeyboardInterrupt
        return saved(*given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(log, "save_draft", fail)
    with pytest.raises(KeyboardInterrupt):
        bring(log, text)
    assert len(log.drafts()) == 50
    monkeypatch.undo()
    report = bring(log, text)
    assert (report.known_already, report.exams) == (50, 70)
    assert len(log.drafts()) == 120
