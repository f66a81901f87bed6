"""Events, moves between pens, treatment courses and photos in the log, and a log of the first form."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from dictate.errors import LogError, NotFoundError, UsageError
from dictate.keeping import Course
from dictate.log import FlockLog
from dictate.log.database import open_database, shipped_migrations
from dictate.model import Draft

Build = Callable[..., Draft]
FIRST, SECOND, THIRD, FOURTH = (date(2031, month, 1) for month in (1, 3, 5, 7))


@pytest.fixture
def bird(log: FlockLog) -> str:
    return log.register_bird(name="Pepper", band="blue 42", pen="Orchard")


# Moves


def pens(log: FlockLog, bird: str) -> list[str | None]:
    record = log.bird(bird)
    return [record.pen_on(day) for day in (FIRST, SECOND, THIRD, FOURTH)] + [record.pen]


def test_who_never_moved_lives_where_the_register_says(log: FlockLog, bird: str) -> None:
    assert pens(log, bird) == ["Orchard"] * 5


def test_pens_over_time(log: FlockLog, bird: str) -> None:
    log.add_event(bird, "moved", SECOND, pen="Yard")
    log.add_event(bird, "moved", FOURTH, pen="orchard")  # the same pen, however it is written
    assert pens(log, bird) == ["Orchard", "Yard", "Yard", "Orchard", "Orchard"]


def test_a_move_told_late_changes_no_later_one(log: FlockLog, bird: str) -> None:
    log.add_event(bird, "moved", FOURTH, pen="Shed")
    log.add_event(bird, "moved", SECOND, pen="Yard")
    assert pens(log, bird) == ["Orchard", "Yard", "Yard", "Shed", "Shed"]


@pytest.mark.parametrize(("taken", "left"), [(0, ["Orchard", "Orchard", "Orchard", "Shed", "Shed"]),
                                             (1, ["Orchard", "Yard", "Yard", "Yard", "Yard"])])
def test_a_move_taken_back(log: FlockLog, bird: str, taken: int, left: list[str]) -> None:
    moves = [log.add_event(bird, "moved", SECOND, pen="Yard"), log.add_event(bird, "moved", FOURTH, pen="Shed")]
    log.withdraw_event(moves[taken], reason="misread")
    assert pens(log, bird) == left
    log.withdraw_event(moves[taken])
    assert pens(log, bird) == left, "taking it back twice changes nothing"


def test_an_exam_has_the_pen_of_its_day(log: FlockLog, bird: str, build: Build) -> None:
    exams = [log.save_draft(build(), on=day)[0] for day in (FIRST, THIRD)]
    for exam in exams:
        log.confirm_exam(exam)
    assert [log.exam(exam).pen for exam in exams] == ["Orchard", "Orchard"]
    log.add_event(bird, "moved", SECOND, pen="Yard")
    assert [log.exam(exam).pen for exam in exams] == ["Orchard", "Yard"]


# Other events


def test_who_left_by_mistake_is_here_again_with_her_band(log: FlockLog, bird: str) -> None:
    off = log.band_bird(bird, "red 3", since=FIRST)
    log.unband_bird(off, until=SECOND)
    gone = log.end_bird(bird, "lost", THIRD)
    assert [b.label for b in log.birds(on=THIRD)] == []
    assert log.find_birds(band="blue 42").near
    with pytest.raises(UsageError, match="left already"):
        log.end_bird(bird, "died", FOURTH)
    log.withdraw_event(gone, reason="found in the hedge")
    assert log.bird(bird).left is False
    assert {b.mark: b.until for b in log.bird(bird).bands} == {"blue 42": None, "red 3": SECOND}
    log.end_bird(bird, "died", FOURTH)


def test_an_event_does_not_end_before_it_begins(log: FlockLog, bird: str) -> None:
    with pytest.raises(UsageError, match="before it begins"):
        log.add_event(bird, "quarantine", SECOND, until=FIRST)
    assert log.events(bird) == []


def test_events_of_all_birds(log: FlockLog, bird: str) -> None:
    other = log.register_bird(name="Maud")
    log.add_event(other, "quarantine", FIRST, until=SECOND, detail="bought in")
    log.add_event(bird, "vaccinated", THIRD)
    found = log.all_events()
    assert {b: [(e.kind, e.on, e.until) for e in events] for b, events in found.items()} == {
        other: [("quarantine", FIRST, SECOND)], bird: [("vaccinated", THIRD, None)],
    }


# Treatment courses


def course(bird: str, **more: Any) -> Course:
    facts: dict[str, Any] = {
        "id": "", "product": "the blue bottle", "bird_id": bird, "first_on": FIRST, "last_on": SECOND,
        "label_days": (("eggs", 7), ("meat", 28)), "vet_days": (("eggs", 9),), "use": "off-label",
        "regime": "great-britain", "product_batch": "12 B", "prescriber": "Dr Fenn", "reason": "mites",
        "quote": "gave her the blue bottle",
    }
    return Course(**(facts | more))


def test_a_course_comes_back_as_it_was_kept(log: FlockLog, bird: str) -> None:
    kept = log.add_course(course(bird))
    zero = log.add_course(course(bird, label_days=(("eggs", 0),), vet_days=(), first_on=SECOND, last_on=None))
    whole, going_on = log.courses()
    assert whole == course(bird, id=kept)
    assert going_on == course(
        bird, id=zero, label_days=(("eggs", 0),), vet_days=(), first_on=SECOND, last_on=None
    )
    assert [one.id for one in log.courses(until=FIRST)] == [kept]


def test_a_course_is_changed_and_taken_back_with_a_trail(log: FlockLog, bird: str) -> None:
    kept = log.add_course(course(bird, last_on=None))
    assert log.change_course(kept, {"last_on": THIRD}).last_on == THIRD
    assert log.courses()[0].last_on == THIRD
    log.withdraw_course(kept, reason="of another bird")
    assert log.courses() == []
    with pytest.raises(UsageError, match="taken back"):
        log.change_course(kept, {"last_on": FOURTH})
    assert [d.what for d in log.decisions() if "course" in d.what] == [
        "treatment course", "treatment course changed", "treatment course withdrawn",
    ]


@pytest.mark.parametrize(
    "more",
    [
        {"product": "  "}, {"bird_id": None}, {"pen": "Yard"}, {"first_on": THIRD, "last_on": SECOND},
        {"label_days": (("eggs", -1),)}, {"vet_days": (("meat", 5000),)}, {"use": "as I like"},
    ],
)
def test_a_course_that_makes_no_sense_is_refused(log: FlockLog, bird: str, more: dict[str, Any]) -> None:
    with pytest.raises(UsageError):
        log.add_course(course(bird, **more))
    assert log.courses() == []


def test_a_batch_takes_its_courses_back(log: FlockLog, bird: str) -> None:
    batch = log.start_batch("test")
    log.add_course(course(bird), batch=batch)
    log.add_event(bird, "shown", FIRST, batch=batch)
    log.undo_batch(batch, "wrong file")
    assert (log.courses(), log.events(bird)) == ([], [])


# Photos


def picture(folder: Path, name: str = "eye.JPG", data: bytes = b"not really a picture") -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def test_a_photo_is_copied_and_shown_with_its_exam(log: FlockLog, build: Build, tmp_path: Path) -> None:
    (exam,) = log.save_draft(build(), on=FIRST)
    finding = log.exam(exam).items[0].id
    source = picture(tmp_path)
    taken = datetime(2031, 1, 1, 10, 30, tzinfo=UTC)
    photo, new = log.keep_photo(source, exam, finding, taken=taken)
    source.unlink()
    assert new
    copy = Path(photo.path)
    assert copy.read_bytes() == b"not really a picture"
    assert copy.parent == log.path.parent / "photos"
    assert copy.stat().st_mode & 0o077 == 0
    assert log.exam(exam).photos == (photo,)
    assert (photo.finding_id, photo.taken, photo.name) == (finding, taken, "eye.JPG")
    assert [e.photos for e in log.exams(statuses=("draft",))] == [(photo,)]
    log.withdraw_photo(photo.id)
    assert log.exam(exam).photos == ()
    assert copy.exists()


def test_the_same_photo_is_kept_once_for_a_finding(log: FlockLog, build: Build, tmp_path: Path) -> None:
    (exam,) = log.save_draft(build(), on=FIRST)
    source = picture(tmp_path)
    first, _ = log.keep_photo(source, exam)
    second, new = log.keep_photo(picture(tmp_path, "copy of eye.jpg"), exam)
    assert (second.id, new) == (first.id, False)
    _, new = log.keep_photo(source, exam, log.exam(exam).items[0].id)
    assert new
    assert len(list((log.path.parent / "photos").iterdir())) == 1


def test_two_photos_with_one_short_name(
    log: FlockLog, build: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("dictate.log.photos.SHORT", 0)
    (exam,) = log.save_draft(build(), on=FIRST)
    kept = [log.keep_photo(picture(tmp_path, f"{n}.jpg", bytes([n])), exam)[0] for n in (1, 2)]
    assert [Path(photo.path).read_bytes() for photo in kept] == [b"\1", b"\2"]
    assert log.check_photos() == (2, [])


def test_a_photo_that_was_changed_or_lost_is_named(log: FlockLog, build: Build, tmp_path: Path) -> None:
    (exam,) = log.save_draft(build(), on=FIRST)
    one, _ = log.keep_photo(picture(tmp_path, "one.jpg", b"one"), exam)
    two, _ = log.keep_photo(picture(tmp_path, "two.jpg", b"two"), exam)
    assert log.check_photos() == (2, [])
    Path(one.path).write_bytes(b"once")
    Path(two.path).unlink()
    count, faults = log.check_photos()
    assert count == 2
    assert "one.jpg is not as it was" in faults[0]
    assert "two.jpg is missing" in faults[1]


def test_a_photo_that_cannot_be_read_or_goes_nowhere(log: FlockLog, build: Build, tmp_path: Path) -> None:
    (exam,) = log.save_draft(build(), on=FIRST)
    (other,) = log.save_draft(build("red 7"), on=FIRST)
    with pytest.raises(LogError, match="reading the photo"):
        log.keep_photo(tmp_path / "none.jpg", exam)
    with pytest.raises(NotFoundError):
        log.keep_photo(picture(tmp_path), "nobody")
    with pytest.raises(UsageError, match="another exam"):
        log.keep_photo(picture(tmp_path), exam, log.exam(other).items[0].id)
    assert log.exam(exam).photos == ()


def test_a_copy_that_differs_is_not_kept(
    log: FlockLog, build: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (exam,) = log.save_draft(build(), on=FIRST)

    def half(source: Path, target: Path) -> None:
        Path(target).write_bytes(Path(source).read_bytes()[:3])

    monkeypatch.setattr("dictate.log.photos.shutil.copyfile", half)
    with pytest.raises(LogError, match="not the same"):
        log.keep_photo(picture(tmp_path), exam)
    assert log.exam(exam).photos == ()
    assert list((log.path.parent / "photos").iterdir()) == []


# The form of the log


def test_a_log_of_the_first_form_is_brought_up_to_date(path: Path) -> None:
    first = {"m001_first": shipped_migrations()["m001_first"]}
    open_database(path, migrations=first).close()
    connection = sqlite3.connect(path)
    with connection:
        connection.execute("INSERT INTO bird (id, uid, name, made_at) VALUES (1, 'p', 'Pepper', '2031-01-01')")
        connection.execute("INSERT INTO bird_event (uid, bird_id, kind, on_day, made_at)"
                           " VALUES ('e', 1, 'vaccinated', '2031-01-01', '2031-01-01')")
        connection.execute("INSERT INTO treatment_course (uid, status, bird_id, product, egg_days, made_at)"
                           " VALUES ('c', 'confirmed', 1, 'powder', 7, '2031-01-01')")
    connection.close()
    with FlockLog.open(path) as log:
        assert [(e.id, e.kind, e.pen) for e in log.events("p")] == [("e", "vaccinated", None)]
        assert [(c.id, c.use, c.label("eggs"), c.vet_days) for c in log.courses()] == [("c", "not said", 7, ())]
        assert log.check() == []
    assert list(path.parent.glob("*before-m002*.bak"))


def test_a_species_is_written_one_way(log: FlockLog, bird: str) -> None:
    assert log.bird(bird).species == "chicken"
    assert log.change_bird(bird, {"species": " Duck "}).species == "duck"
    assert log.bird(log.register_bird(name="Maud", species="Guinea  Fowl")).species == "guinea fowl"
    with pytest.raises(UsageError):
        log.register_bird(name="Nan", species=" ")
