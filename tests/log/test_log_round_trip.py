"""What goes in comes out: any draft the model can hold, and every export of it."""

from __future__ import annotations

import csv
import io
import json
from datetime import date
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dictate.log import FlockLog
from dictate.model import (
    Action,
    Bird,
    Cue,
    Draft,
    Exam,
    Finding,
    HeardWord,
    LeftOut,
    Measurement,
    Observation,
    Penalty,
    Question,
    Span,
    Utterance,
    Word,
    exam_record,
)
from dictate.record import Source

# Any text that a file can hold: no lone surrogates, which no encoding carries.
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
NAME = TEXT.filter(str.strip)
NUMBER = st.floats(allow_nan=False, allow_infinity=False, width=64)
SECONDS = st.none() | st.floats(0, 1e5)
SPANS = st.tuples(st.integers(0, 300), st.integers(0, 300)).map(lambda p: Span(min(p), max(p)))
PENALTIES = st.lists(st.builds(Penalty, TEXT, NUMBER), max_size=2).map(tuple)
VERDICTS = st.sampled_from(["sure", "check", "ask"])
PROOF: dict[str, Any] = {
    "span": SPANS, "quote": TEXT, "rule": TEXT, "penalties": PENALTIES, "verdict": VERDICTS,
    "start": SECONDS, "end": SECONDS, "confidence": st.none() | st.floats(0, 1),
    "listeners": st.lists(TEXT, max_size=2).map(tuple),
}
FINDINGS = st.builds(
    Finding, region=TEXT, sign=TEXT, side=st.sampled_from([None, "left", "right", "both"]),
    presence=st.sampled_from(["present", "absent"]), grade=st.sampled_from([None, 1, 2, 3]),
    certainty=st.sampled_from(["sure", "possible"]), when=st.sampled_from(["now", "past"]),
    detail=st.none() | TEXT, cues=st.lists(st.builds(Cue, TEXT, TEXT, SPANS), max_size=2).map(tuple), **PROOF,
)
MEASUREMENTS = st.builds(
    Measurement, kind=TEXT, value=NUMBER, unit=TEXT, of=st.none() | TEXT, low=st.none() | NUMBER,
    high=st.none() | NUMBER, approximate=st.booleans(), former=st.booleans(), scheme=st.none() | TEXT,
    **PROOF,
)
ACTIONS = st.builds(
    Action, kind=TEXT, in_days=st.none() | st.integers(0, 9999), detail=st.none() | TEXT, **PROOF
)
BIRDS = st.builds(
    Bird, band=st.none() | NAME, name=st.none() | NAME, sex=st.none() | TEXT, breed=st.none() | NAME,
    pen=st.none() | NAME, span=st.none() | SPANS, penalties=PENALTIES, verdict=VERDICTS,
)
CHOICES = st.lists(TEXT, max_size=2).map(tuple)
EXAMS = st.builds(
    Exam, bird=BIRDS, findings=st.lists(FINDINGS, max_size=3).map(tuple),
    measurements=st.lists(MEASUREMENTS, max_size=2).map(tuple),
    actions=st.lists(ACTIONS, max_size=2).map(tuple), rest_normal=st.booleans(),
    questions=st.lists(
        st.builds(Question, TEXT, TEXT, TEXT, st.none(), CHOICES, st.none() | SPANS), max_size=2
    ).map(tuple),
    span=SPANS,
)
WORDS = st.builds(Word, TEXT, SECONDS, SECONDS, st.none() | st.floats(0, 1))
UTTERANCES = st.lists(
    st.builds(Utterance, st.lists(WORDS, max_size=3).map(tuple), TEXT, SECONDS, SECONDS), max_size=3
).map(tuple)
DRAFTS = st.builds(
    Draft, text=TEXT, exams=st.lists(EXAMS, max_size=2).map(tuple),
    observations=st.lists(
        st.builds(
            Observation, TEXT, st.none() | NAME.map(lambda n: " ".join(n.split())), st.none() | NUMBER,
            st.none() | TEXT, st.none() | TEXT, SPANS, TEXT,
        ),
        max_size=2, unique_by=lambda o: (o.pen or "").casefold(),
    ).map(tuple),
    words=st.lists(st.builds(HeardWord, SPANS, WORDS, TEXT), max_size=3).map(tuple),
    left_out=st.lists(st.builds(LeftOut, SPANS, TEXT, TEXT, TEXT), max_size=2).map(tuple),
    utterances=UTTERANCES,
)
MANY = settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])


def fresh(folder: Any) -> FlockLog:
    return FlockLog.open(Path(folder.mktemp("log")) / "flock.db")


@MANY
@given(draft=DRAFTS)
def test_a_draft_comes_out_as_it_went_in(tmp_path_factory: Any, draft: Draft) -> None:
    with fresh(tmp_path_factory) as log:
        recording = log.add_recording("round.wav")
        exams = log.save_draft(draft, Source(recording=recording), on=date(2031, 5, 1))
        assert [log.exam(exam).exam for exam in exams] == list(draft.exams)
        if exams:
            assert log.draft(log.exam(exams[0]).draft_id) == draft
        assert log.recording(recording).utterances == draft.utterances
        assert log.check() == []


@MANY
@given(exam=EXAMS, day=st.none() | st.dates())
def test_a_confirmed_exam_goes_out_by_the_contract(
    tmp_path_factory: Any, exam: Exam, day: date | None
) -> None:
    with fresh(tmp_path_factory) as log:
        (exam_id,) = log.save_draft(Draft("said", (exam,)), Source("notes.txt", 7), on=day)
        log.confirm_exam(exam_id)
        (line,) = log.export_exams()
        rows = list(csv.DictReader(io.StringIO("".join(log.export_exams("csv")), newline="")))
    row = json.loads(line)
    assert row["date"] == (day.isoformat() if day else None)
    assert row["source"] == {"file": "notes.txt", "line": 7}
    assert (row["status"], row["rest_normal"]) == ("confirmed", exam.rest_normal)
    expected = json.loads(json.dumps(exam_record(exam)))
    for key in ("findings", "measurements", "actions"):
        assert [{k: v for k, v in item.items() if k != "status"} for item in row[key]] == expected[key]
    assert row["bird"] == expected["bird"]
    assert len(rows) == max(1, len(exam.findings) + len(exam.measurements) + len(exam.actions))
    for cell in (value for one in rows for value in one.values()):
        assert cell[:1] not in ("=", "+", "@", "\t", "\r", "\n")
        assert not cell.startswith("-") or float(cell) <= 0, "a minus only before a number"
