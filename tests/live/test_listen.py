"""From a capture to the log: words kept before they are understood, drafts as birds are put down."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from dictate.errors import LogError, SoundError
from dictate.live.events import Event
from dictate.live.keep import Keeper
from dictate.live.listen import listen
from dictate.live.session import Session
from dictate.model import Draft, Utterance
from dictate.record import Source
from dictate.speech.replay import ReplayListener

STARTED = datetime(2026, 3, 7, 9, 30)


class PlayedSound:
    """Stands for a Capture: so many seconds of silence, and then perhaps a fault."""

    path = Path("a.wav")
    behind = 0.0

    def __init__(self, seconds: float, fault: SoundError | None = None) -> None:
        self._length, self._fault = seconds, fault
        self.seconds, self.stopped = 0.0, False

    def follow(self) -> Iterator[bytes]:
        while self.seconds < self._length and not self.stopped:
            self.seconds += 0.5
            yield bytes(16_000)
        if self._fault:
            raise self._fault

    def stop(self) -> None:
        self.stopped = True


class NotedLog:
    """Stands for a FlockLog: notes what is kept, in order; `refuses` makes that many calls fail."""

    path = Path("flock.db")

    def __init__(self) -> None:
        self.kept: list[tuple[Any, ...]] = []
        self.refuses = 0

    def _note(self, *row: Any) -> None:
        if self.refuses:
            self.refuses -= 1
            raise LogError("writing", "flock.db", "it is locked")
        self.kept.append(row)

    def add_utterances(self, recording: str, utterances: Iterable[Utterance]) -> None:
        self._note("words", *(u.text for u in utterances))

    def save_draft(self, draft: Draft, source: Source, **about: Any) -> list[str]:
        self._note("draft", draft.exams[0].bird.name, source.recording, about["on"], about["at"])
        return [f"exam-{len(self.kept)}"]

    def finish_recording(self, recording: str, *, seconds: float) -> None:
        self._note("finished", seconds)


@pytest.fixture
def log() -> NotedLog:
    return NotedLog()


@pytest.fixture
def run(
    session: Session, log: NotedLog, spoken: Callable[..., list[Utterance]]
) -> Callable[..., list[tuple[Event, float]]]:
    def run_it(*texts: str, fault: SoundError | None = None) -> list[tuple[Event, float]]:
        words = spoken(*texts)
        sound: Any = PlayedSound((words[-1].end or 0) + 1.0, fault)
        told: list[tuple[Event, float]] = []
        keeper = Keeper(log, "rec-1", STARTED)  # type: ignore[arg-type]
        try:
            listen(sound, ReplayListener(words), session, keeper, lambda e, s: told.append((e, s)))
        finally:
            log.told = told  # type: ignore[attr-defined]
        return told

    return run_it


def names(told: list[tuple[Event, float]]) -> list[str]:
    return [event.name for event, _ in told if event.name != "tick"]


def test_words_are_kept_before_they_are_understood_and_drafts_as_birds_are_put_down(
    run: Callable[..., Any], log: NotedLog
) -> None:
    told = run("bird ada comb red", "next bird", "bird bea crop good")
    day = STARTED.date()
    assert log.kept == [
        ("words", "bird ada comb red"),
        ("words", "next bird"),
        ("draft", "ada", "rec-1", day, STARTED.time()),
        ("words", "bird bea crop good"),
        ("draft", "bea", "rec-1", day, STARTED.replace(second=5).time()),
        ("finished", 8.0),
    ]
    assert names(told) == [
        "started", "heard", "bird", "finding", "heard", "command", "bird-closed", "draft",
        "heard", "bird", "finding", "bird-closed", "draft", "ended",
    ]


def test_a_finding_is_told_when_its_phrase_ends_and_not_at_the_end(run: Callable[..., Any]) -> None:
    told = run("bird ada comb red", "um", "um", "um", "um")
    (seconds,) = [seconds for event, seconds in told if event.name == "finding"]
    assert seconds == 2.0


def test_the_command_to_finish_stops_the_sound(run: Callable[..., Any], log: NotedLog) -> None:
    run("bird ada comb red", "all done for today", "um", "um", "um")
    assert log.kept[-1] == ("finished", 5.0)


def test_a_failing_microphone_loses_nothing_that_was_said(run: Callable[..., Any], log: NotedLog) -> None:
    with pytest.raises(SoundError, match="it stopped"):
        run("bird ada comb red", fault=SoundError("listening to the microphone", "", "it stopped"))
    assert [row[0] for row in log.kept] == ["words", "draft"], "not finished: the next start says so"
    assert "warning" in names(log.told)  # type: ignore[attr-defined]


class FailingListener(ReplayListener):
    """Hears, and fails when the sound has ended."""

    def begin(self) -> Any:
        hearing = super().begin()
        hearing.finish = lambda: [][0]  # type: ignore[method-assign]
        return hearing


def test_a_recogniser_that_fails_loses_nothing_that_was_understood(
    session: Session, log: NotedLog, spoken: Callable[..., list[Utterance]]
) -> None:
    sound: Any = PlayedSound(5.0)
    keeper = Keeper(log, "rec-1", STARTED)  # type: ignore[arg-type]
    with pytest.raises(IndexError):
        listen(sound, FailingListener(spoken("bird ada comb red")), session, keeper, lambda e, s: None)
    assert [row[0] for row in log.kept] == ["words", "draft"], "not finished: the rest is heard next time"


def test_a_log_that_is_busy_for_a_while_gets_everything_in_order(
    run: Callable[..., Any], log: NotedLog
) -> None:
    log.refuses = 3
    told = run("bird ada comb red", "next bird", "bird bea crop good")
    assert [row[0] for row in log.kept] == ["words", "words", "draft", "words", "draft", "finished"]
    assert names(told).count("warning") == 1, "told once, not at each try"


def test_a_log_that_stays_shut_is_told_at_the_end(run: Callable[..., Any], log: NotedLog) -> None:
    log.refuses = 1000
    with pytest.raises(LogError, match="The sound is kept"):
        run("bird ada comb red")


class SleptOnce:
    """Stands for Clocks: the machine slept for an hour, noticed at the second tick."""

    sentence = "The clock went on."

    def __init__(self) -> None:
        self._calls = 0

    def jumped(self) -> float | None:
        self._calls += 1
        return 3600.0 if self._calls == 2 else None


def test_exams_after_a_sleep_have_the_time_of_day(
    session: Session, log: NotedLog, spoken: Callable[..., list[Utterance]]
) -> None:
    words = spoken("bird ada comb red", "next bird", "um", "um", "bird bea crop good")
    sound: Any = PlayedSound((words[-1].end or 0) + 1.0)
    told: list[str] = []
    listen(
        sound, ReplayListener(words), session, Keeper(log, "rec-1", STARTED),  # type: ignore[arg-type]
        lambda event, seconds: told.append(event.name), clocks=SleptOnce(),  # type: ignore[arg-type]
    )
    times = [row[4] for row in log.kept if row[0] == "draft"]
    assert [(at.hour, at.minute) for at in times] == [(9, 30), (10, 30)]
    assert "warning" in told


def test_words_heard_while_the_program_spoke_reach_neither_log_nor_record(
    session: Session, log: NotedLog, spoken: Callable[..., list[Utterance]]
) -> None:
    from dictate.cli.listen import _wording
    from dictate.live.answering import Answerer

    words = spoken("bird ada comb red", "comb good", "crop good")
    sound: Any = PlayedSound((words[-1].end or 0) + 1.0)
    answerer = Answerer(session, _wording())
    answerer.own.begins("comb: good", (words[1].start or 0.0) - 0.1)
    answerer.own.ends(words[1].end or 0.0)
    told: list[Event] = []
    listen(
        sound, ReplayListener(words), session, Keeper(log, "rec-1", STARTED),  # type: ignore[arg-type]
        lambda event, seconds: told.append(event), answerer,
    )
    assert [row[1] for row in log.kept if row[0] == "words"] == ["bird ada comb red", "crop good"]
    assert [event.data["text"] for event in told if event.name == "own-voice"] == ["comb good"]
