"""Which bird is meant: one that fits, a new one, or a question; never a guess."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from dictate.errors import UsageError
from dictate.log import FlockLog
from dictate.model import Draft
from dictate.record import BirdMatch

Build = Callable[..., Draft]
DAY = date(2031, 5, 1)
EARLIER, LATER = date(2031, 4, 1), date(2031, 6, 1)


def labels(match: BirdMatch) -> tuple[list[str], list[str]]:
    return [b.label for b in match.fits], [b.label for b in match.near]


@pytest.fixture(name="flock")
def _flock(log: FlockLog) -> FlockLog:
    log.register_bird(band="Blue 42", name="Pepper")
    log.register_bird(band="red 42")
    log.register_bird(band="b 17")
    log.register_bird(name="Maud")
    log.register_bird(name="Twin", band="green 1")
    log.register_bird(name="Twin", band="green 2")
    return log


@pytest.mark.parametrize(
    ("band", "name", "fits", "near"),
    [
        ("blue 42", None, ["Pepper (Blue 42)"], []),
        ("BLUE  42", "pepper", ["Pepper (Blue 42)"], []),
        (None, "PEPPER", ["Pepper (Blue 42)"], []),
        ("green 42", None, [], []),  # nobody's: another colour is another band
        ("42", None, [], ["Pepper (Blue 42)", "red 42"]),  # only a part of the mark
        ("17", None, [], ["b 17"]),
        ("left b 17", None, [], ["b 17"]),
        (None, "Twin", ["Twin (green 1)", "Twin (green 2)"], []),
        ("green 2", "Twin", ["Twin (green 2)"], []),
        ("blue 42", "Maud", [], ["Pepper (Blue 42)", "Maud"]),  # name of one, band of another
        ("blue 42", "Dot", [], ["Pepper (Blue 42)"]),  # she has another name
        ("red 42", "Dot", ["red 42"], []),  # she has no name yet
        ("white 5", "Maud", ["Maud"], []),  # she has no band yet
        ("white 5", "Pepper", [], ["Pepper (Blue 42)"]),  # she wears another band
        ("white 5", "Dot", [], []),
    ],
)
def test_which_birds_fit(
    flock: FlockLog, band: str | None, name: str | None, fits: list[str], near: list[str]
) -> None:
    assert labels(flock.find_birds(band=band, name=name, on=DAY)) == (fits, near)


def test_a_band_is_used_again(log: FlockLog) -> None:
    first = log.register_bird(band="blue 42", name="Old")
    (band,) = log.bird(first).bands
    log.unband_bird(band.id, until=DAY)
    second = log.register_bird(band="blue 42", name="New", banded_on=LATER)
    assert [b.id for b in log.find_birds(band="blue 42", on=EARLIER).fits] == [first]
    assert [b.id for b in log.find_birds(band="blue 42", on=LATER).fits] == [second]
    assert labels(log.find_birds(band="blue 42", on=date(2031, 5, 15))) == (
        [], ["Old (blue 42)", "New (blue 42)"],
    )
    assert [b.id for b in log.find_birds(band="blue 42").fits] == [second], "no day: who wears it still"


def test_a_bird_that_has_left_is_asked_about(log: FlockLog) -> None:
    bird = log.register_bird(band="blue 42")
    log.end_bird(bird, "sold", DAY)
    assert log.find_birds(band="blue 42", on=DAY).only is not None
    assert labels(log.find_birds(band="blue 42", on=LATER)) == ([], ["blue 42"])
    assert not log.bird(bird).here_on(DAY)
    assert log.birds(on=EARLIER)
    assert log.birds(on=DAY) == []
    assert [b.left_how for b in log.birds()] == ["sold"]


def test_a_post_mortem_is_of_the_bird_that_died(log: FlockLog, build: Build) -> None:
    bird = log.register_bird(band="blue 42")
    log.end_bird(bird, "died", DAY)
    (exam,) = log.save_draft(build(), on=LATER, kind="post-mortem")
    assert log.confirm_exam(exam).exam.bird_id == bird
    assert log.examined_regions(bird) == {}


def test_two_that_fit_are_a_question_and_the_facts_are_kept(flock: FlockLog, build: Build) -> None:
    (exam_id,) = flock.save_draft(build(None, name="Twin"), on=DAY)
    done = flock.confirm_exam(exam_id)
    assert done.question is not None
    assert done.question.choices == ("Twin (green 1)", "Twin (green 2)", "a new bird")
    assert (done.exam.status, done.exam.bird_id, done.new_bird) == ("confirmed", None, False)
    assert len(done.exam.confirmed.findings) == 2
    assert [q.kind for _, q in done.exam.open_questions] == ["side", "bird"]
    twin = flock.find_birds(band="green 2").fits[0]
    stored = flock.amend_exam(exam_id, {"bird_id": twin.id})
    assert stored.bird_id == twin.id
    assert [q.kind for _, q in stored.open_questions] == ["side"]
    assert [e.id for e in flock.history(twin.id)] == [exam_id]


def test_what_was_said_fills_what_the_register_lacks(log: FlockLog, build: Build) -> None:
    bird = log.register_bird(name="Maud")
    (exam_id,) = log.save_draft(build("white 5", name="Maud"), on=DAY)
    assert log.confirm_exam(exam_id).exam.bird_id == bird
    assert (log.bird(bird).band, log.bird(bird).sex) == ("white 5", "hen")
    log.undo_last(exam_id)
    assert (log.bird(bird).band, log.bird(bird).sex) == (None, None)


def test_an_older_exam_that_comes_in_late_finds_the_bird(log: FlockLog, build: Build) -> None:
    for day in (LATER, EARLIER, None):
        (exam_id,) = log.save_draft(build(), on=day)
        log.confirm_exam(exam_id)
    (bird,) = log.birds()
    assert [e.on for e in log.history(bird.id)] == [EARLIER, LATER, None]


def test_the_register(log: FlockLog) -> None:
    bird = log.register_bird(
        name="Pepper", band="blue 42", colour="blue", leg="left", breed="Sussex", sex="hen",
        hatched=EARLIER, pen="Orchard", source="own hatch",
    )
    log.change_bird(bird, {"name": "Salt", "pen": "Yard", "hatched": None}, reason="misread")
    log.band_bird(bird, "red 3", leg="right", since=DAY)
    log.add_event(bird, "vaccinated", EARLIER, detail="as the vet said")
    log.end_bird(bird, "died", LATER, detail="found in the morning")
    record = log.bird(bird)
    assert (record.name, record.breed, record.pen, record.hatched, record.source) == (
        "Salt", "Sussex", "Yard", None, "own hatch",
    )
    assert [(b.mark, b.leg, b.since, b.until) for b in record.bands] == [
        ("blue 42", "left", None, LATER), ("red 3", "right", DAY, LATER),
    ]
    assert [(e.kind, e.leaves) for e in log.events(bird)] == [("vaccinated", False), ("died", True)]
    assert log.find_birds(name="pepper").unknown
    assert [d.what for d in log.decisions()] == ["bird changed", "vaccinated", "died"]


def test_a_bird_needs_something_to_be_called_by(log: FlockLog) -> None:
    with pytest.raises(UsageError, match="neither a name nor a band"):
        log.register_bird(band="  ")
    assert log.birds() == []
