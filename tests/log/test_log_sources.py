"""Words are kept before they are understood; notes once; imports are taken back whole."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest

from dictate.errors import NotFoundError
from dictate.log import FlockLog
from dictate.model import Bird, Draft, Exam, Observation, Span, Utterance, Word
from dictate.record import Source

Build = Callable[..., Draft]
DAY = date(2031, 5, 1)


def heard(*words: str, start: float = 0.0) -> Utterance:
    said = tuple(Word(w, start + n, start + n + 0.5, 0.9) for n, w in enumerate(words))
    return Utterance(said, "pocketsphinx", start, start + len(words))


def test_words_come_in_as_the_session_goes_on(log: FlockLog, build: Build) -> None:
    recording = log.add_recording(
        "round.wav", started=datetime(2031, 5, 1, 7, tzinfo=UTC), sample_rate=16000, examiner="Ada",
        device="yard",
    )
    parts = [[heard("blue", "forty", "two")], [], [heard("comb", start=4), heard("pale", start=9)]]
    for part in parts:
        log.add_utterances(recording, part)
    stored = log.recording(recording)
    assert stored.utterances == tuple(u for part in parts for u in part)
    assert (stored.examiner, stored.device, stored.sample_rate) == ("Ada", "yard", 16000)
    assert stored.started == datetime(2031, 5, 1, 7, tzinfo=UTC)
    assert [r.id for r in log.recordings(without_draft=True)] == [recording]
    assert not stored.finished
    log.save_draft(build(), Source(recording=recording), on=DAY)
    log.finish_recording(recording, seconds=12.5, sha256="ab")
    stored = log.recording(recording)
    assert (stored.finished, stored.has_draft, stored.seconds, stored.sha256) == (True, True, 12.5, "ab")
    assert log.recordings(without_draft=True) == []


def test_words_already_kept_are_not_kept_twice(log: FlockLog, build: Build) -> None:
    recording = log.add_recording("round.wav")
    log.add_utterances(recording, [heard("comb")])
    draft = build()
    log.save_draft(Draft(draft.text, draft.exams, utterances=(heard("comb"),)), Source(recording=recording))
    assert len(log.recording(recording).utterances) == 1


def test_a_draft_from_nowhere_leaves_nothing_behind(log: FlockLog, build: Build) -> None:
    with pytest.raises(NotFoundError, match="recording"):
        log.save_draft(build(), Source(recording="gone"))
    assert log.drafts() == []
    with pytest.raises(NotFoundError, match="batch"):
        log.add_note("words", batch="gone")


@pytest.mark.parametrize(
    ("first", "second", "same"),
    [
        ({"on": DAY}, {"on": DAY}, True),
        ({"on": DAY, "file": "a.txt", "line": 1}, {"on": DAY, "file": "b.txt", "line": 9}, True),
        ({"on": DAY}, {"on": DAY, "text": "Comb  PALE\n"}, True),
        ({"on": DAY, "bird": "blue 42"}, {"on": DAY, "bird": "Blue  42"}, True),
        ({"on": DAY, "bird": "blue 42"}, {"on": DAY, "bird": "red 9"}, False),
        ({"on": DAY}, {"on": date(2031, 5, 2)}, False),
        ({"on": DAY}, {"on": DAY, "text": "comb red"}, False),
        ({"file": "a.txt", "line": 1}, {"file": "a.txt", "line": 1}, True),  # the same file once more
        ({"file": "a.txt", "line": 1}, {"file": "a.txt", "line": 9}, False),  # undated ones stay two
        ({"file": "a.txt", "line": 1}, {"file": "b.txt", "line": 1}, False),
        ({}, {}, False),
        ({"key": "x"}, {"key": "x", "text": "other"}, True),
    ],
)
def test_each_note_once(log: FlockLog, first: dict[str, Any], second: dict[str, Any], same: bool) -> None:
    one = log.add_note(**{"text": "comb pale"} | first)
    two = log.add_note(**{"text": "comb pale"} | second)
    assert one.new
    assert two.new is not same
    assert (two.id == one.id) is same


def test_a_batch_is_taken_back_whole_and_may_come_in_again(log: FlockLog, build: Build) -> None:
    def bring_in() -> tuple[str, str]:
        batch = log.start_batch("import", "old.txt")
        note = log.add_note("comb pale", on=DAY, batch=batch)
        assert note.new
        draft = Draft("comb pale", build("red 9").exams, (Observation("eggs", value=7),))
        (exam,) = log.save_draft(draft, Source(note=note.id), on=DAY, batch=batch)
        log.confirm_exam(exam)
        return batch, exam

    kept = log.save_draft(build(), on=DAY)
    batch, exam = bring_in()
    assert [e.id for e in log.drafts(batch=batch)] == []
    assert [e.id for e in log.exams(batch=batch)] == [exam]
    assert log.undo_batch(batch, "wrong file") == 1
    assert log.exam(exam).status == "withdrawn"
    assert log.exam(exam).withdrawn_why == "wrong file"
    assert list(log.exams(batch=batch)) == []
    assert log.observations(statuses=("draft", "confirmed")) == []
    assert log.undo_batch(batch, "again") == 0
    assert [e.id for e in log.drafts()] == kept
    assert [b.band for b in log.birds()] == [], "the bird that only this file spoke of"
    _, second = bring_in()
    assert log.exam(second).status == "confirmed"
    assert log.check() == []


def test_a_bird_of_others_too_outlives_the_batch(log: FlockLog, build: Build) -> None:
    batch = log.start_batch("import")
    first, second = log.save_draft(build(), on=DAY, batch=batch) + log.save_draft(build(), on=DAY)
    log.confirm_exam(first)
    log.confirm_exam(second)
    log.undo_batch(batch, "wrong file")
    assert [b.band for b in log.birds()] == ["blue 42"]
    assert log.exam(second).bird_id == log.birds()[0].id


def test_flock_observations(log: FlockLog) -> None:
    first = log.add_observation(Observation("deaths", pen="Orchard", value=2, unit="1"), on=DAY)
    log.add_observation(Observation("eggs", pen="Yard", value=11), on=date(2031, 5, 3))
    assert [(o.kind, o.pen, o.value) for o in log.observations()] == [
        ("deaths", "Orchard", 2), ("eggs", "Yard", 11),
    ]
    assert [o.kind for o in log.observations(pen="orchard")] == ["deaths"]
    assert [o.kind for o in log.observations(since=date(2031, 5, 2))] == ["eggs"]
    assert [o.kind for o in log.observations(until=DAY)] == ["deaths"]
    log.settle_observation(first, "withdrawn", reason="counted twice")
    assert [o.kind for o in log.observations()] == ["eggs"]
    assert [o.id for o in log.observations(statuses=("withdrawn",))] == [first]


@pytest.mark.parametrize(
    ("words", "hits"),
    [
        ("pale", 1), ("PALE comb", 1), ("combs", 1), ("pale shank", 0), ("", 0), ('"', 0),
        ("pale OR shank", 0),
        ("comb*", 1), ("text:pale", 0), ("pale) --", 1), ("crème", 1), ("creme", 1),
    ],
)
def test_search_takes_words_as_words(log: FlockLog, words: str, hits: int) -> None:
    log.save_draft(Draft("comb pale as crème", (Exam(Bird(name="Maud")),)), on=DAY)
    found = log.search(words)
    assert len(found) == hits
    assert all(hit.bird == "Maud" and "[" in hit.snippet for hit in found)


def test_each_exam_is_found_by_its_own_words(log: FlockLog) -> None:
    text = "blue 42 comb pale. red 9 vent mucky"
    exams = (Exam(Bird(band="blue 42"), span=Span(0, 18)), Exam(Bird(band="red 9"), span=Span(19, 35)))
    first, second = log.save_draft(Draft(text, exams), on=DAY)
    assert [hit.exam_id for hit in log.search("pale")] == [first]
    assert [hit.exam_id for hit in log.search("mucky")] == [second]
    assert log.exam(second).said == "red 9 vent mucky"


def test_what_a_bird_was_last_looked_at_for(log: FlockLog, build: Build) -> None:
    for day in (date(2031, 6, 1), DAY):
        log.confirm_exam(*log.save_draft(build(), on=day))
    log.confirm_exam(*log.save_draft(build(), on=None))
    (bird,) = log.birds()
    assert log.examined_regions(bird.id) == dict.fromkeys(("foot pad", "eye"), date(2031, 6, 1))
    assert [e.on for e in log.exams(since=date(2031, 5, 2))] == [date(2031, 6, 1)]
    assert [e.on for e in log.exams(bird=bird.id)] == [date(2031, 6, 1), DAY, None]
