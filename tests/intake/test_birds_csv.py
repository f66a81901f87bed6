"""A list of birds: each line becomes a bird, is known already, or is refused with its reason."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from dictate.errors import NotesError
from dictate.intake.birds_csv import BirdsReport, bring_birds_in
from dictate.log import FlockLog

TODAY = date(2031, 5, 1)


def bring(tmp_path: Path, text: str | bytes, log: FlockLog | None = None) -> tuple[BirdsReport, FlockLog]:
    path = tmp_path / "birds.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    log = log or FlockLog.open(tmp_path / "flock.db")
    return bring_birds_in(path, log, "day-month-year", TODAY), log


WHOLE = (
    "name,band,leg,banded,species,breed,sex,hatched,pen,source\n"
    'Pepper,blue 42,Left,2030-06-01,,"Sussex, light",Hen,2030-04-02,Orchard,own hatch\n'
)


def test_every_column_goes_into_the_register(tmp_path: Path) -> None:
    report, log = bring(tmp_path, WHOLE)
    assert (report.lines, report.added, report.problems) == (1, 1, [])
    (bird,) = log.birds()
    assert (bird.name, bird.species, bird.breed, bird.sex, bird.hatched, bird.pen, bird.source) == (
        "Pepper", "chicken", "Sussex, light", "hen", date(2030, 4, 2), "Orchard", "own hatch",
    )
    assert [(b.mark, b.leg, b.since) for b in bird.bands] == [("blue 42", "left", date(2030, 6, 1))]


@pytest.mark.parametrize(
    "text",
    [
        "Name;Band\nPepper;blue 42\n", "band\tNAME\nblue 42\tPepper", "\ufeffname,band\r\nPepper, blue  42 \r\n\r\n",
        "name,band\n,,\nPepper,blue 42\n",
    ],
)
def test_as_spreadsheets_write_them(tmp_path: Path, text: str) -> None:
    report, log = bring(tmp_path, text)
    assert report.added == 1, report.problems
    assert [b.label for b in log.birds()] == ["Pepper (blue 42)"]


def test_brought_in_twice_nobody_is_there_twice(tmp_path: Path) -> None:
    _, log = bring(tmp_path, WHOLE)
    report, _ = bring(tmp_path, WHOLE, log)
    assert (report.added, report.known_already) == (0, 1)
    assert len(log.birds()) == 1


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("Maud,red 7,middle,", "middle"), ("Maud,red 7,,31/02/2030", "not a day of the calendar"),
        ("Maud,red 7,,2041-01-01", "has not come"), ("Maud,red 7,,last spring", "not read as a day"),
        (",,left,", "no band"), (",,,2030-01-01", "neither"), ("Maud,red 7,,2030-01-01,more", "5 values"),
        ("Maud,blue 42,,", "worn by Pepper"), ("Maud,red 7,,03/14/2030", "day first"),
    ],
)
def test_a_line_that_is_refused_is_named_and_the_rest_goes_on(tmp_path: Path, line: str, told: str) -> None:
    text = f"name,band,leg,hatched\nPepper,blue 42,,\n{line}\nNan,green 3,,\n"
    report, log = bring(tmp_path, text)
    assert report.added == 2
    ((number, problem),) = report.problems
    assert number == 3
    assert told in problem
    assert {b.name for b in log.birds()} == {"Pepper", "Nan"}


def test_a_quotation_mark_that_is_not_closed_makes_no_bird_of_several_lines(tmp_path: Path) -> None:
    report, log = bring(tmp_path, 'name,band,leg,hatched\nPepper,blue 42,,\n"Maud,red 7,,\nNan,green 3,,\n')
    ((number, problem),) = report.problems
    assert number == 4
    assert "quotation mark" in problem
    assert {b.name for b in log.birds()} == {"Pepper"}


@pytest.mark.parametrize(
    "text",
    [b"", b"breed,sex\nSussex,hen\n", b"name,colour of eyes\nPepper,red\n", b"name,name\nA,B\n", b"name\n\xff\xfe\n"],
)
def test_what_is_no_list_of_birds(tmp_path: Path, text: bytes) -> None:
    with pytest.raises(NotesError):
        bring(tmp_path, text)
    with FlockLog.open(tmp_path / "flock.db") as log:
        assert log.birds() == []


def test_a_list_that_is_taken_back_leaves_those_that_were_examined(tmp_path: Path) -> None:
    path = tmp_path / "birds.csv"
    path.write_text("name\nPepper\nMaud\n")
    with FlockLog.open(tmp_path / "flock.db") as log:
        batch = log.start_batch("import", "birds.csv")
        bring_birds_in(path, log, "day-month-year", TODAY, batch=batch)
        log.undo_batch(batch, "wrong list")
        assert log.birds() == []
