"""Cutting plain text into entries: every line is in one of them or accounted for."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.errors import NotesError
from dictate.intake.plain_text import NO_DATE, entries, read_plain_text

TODAY = date(2026, 11, 25)

NOTES = """\
odd words before any day

# 2025
12 March
blue 42, comb pale
left eye closed

red 7: crop full
31/02/2026
green 3, vent soiled
2026-03-12 Clover, hen, nares clean
"""


def cut(text: str):  # type: ignore[no-untyped-def]
    return entries(Path("notes.txt"), text.split("\n"), "day-month-year", TODAY)


def test_entries_of_a_file() -> None:
    read = cut(NOTES)
    assert [(e.text, e.on, e.lines, e.follows) for e in read.entries] == [
        ("odd words before any day", None, (1,), False),
        ("blue 42, comb pale\nleft eye closed", date(2025, 3, 12), (5, 6), False),
        ("red 7: crop full", date(2025, 3, 12), (8,), True),
        ("green 3, vent soiled", None, (10,), False),
        ("Clover, hen, nares clean", date(2026, 3, 12), (11,), False),
    ]
    assert read.entries[0].date_problem == NO_DATE
    assert "not a day of the calendar" in (read.entries[3].date_problem or "")


@given(
    st.lists(
        st.one_of(
            st.text(st.characters(exclude_characters="\n\r"), max_size=30),
            st.sampled_from(["", "2026-03-12", "12 March", "2025", "3/25/2026", "1/2/2026 wing hot"]),
        ),
        max_size=30,
    )
)
def test_every_line_is_in_one_entry_or_accounted_for(lines: list[str]) -> None:
    read = entries(Path("x"), lines, "day-month-year", TODAY)
    taken = [number for entry in read.entries for number in entry.lines]
    assert sorted(taken + list(read.other_lines)) == list(range(1, len(lines) + 1))


@pytest.mark.parametrize(
    "data",
    [b"12 March 2026\r\nblue 42\r\n", b"\xef\xbb\xbf12 March 2026\nblue 42",
     b"12 March 2026\rblue 42", "12 March 2026\nblue 42\n".encode("utf-16")],
)
def test_encodings_and_line_ends(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "notes.txt"
    path.write_bytes(data)
    read = read_plain_text(path, "day-month-year", TODAY)
    assert [(e.text, e.on) for e in read.entries] == [("blue 42", date(2026, 3, 12))]


def test_windows_letters(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_bytes(b"12 March 2026\ntemperature 41\xb0 \x96 hot")
    assert read_plain_text(path, "day-month-year", TODAY).entries[0].text == "temperature 41° – hot"


@pytest.mark.parametrize(
    ("data", "words"), [(b"", "empty"), (b" \n ", "empty"), (b"PK\x03\x04\x00\x00", "not text")]
)
def test_a_file_that_is_no_text_is_named(tmp_path: Path, data: bytes, words: str) -> None:
    path = tmp_path / "notes.txt"
    path.write_bytes(data)
    with pytest.raises(NotesError, match=words) as told:
        read_plain_text(path, "day-month-year", TODAY)
    assert str(path) in str(told.value)


@pytest.mark.parametrize("suffix", [".csv", ".HTML", ".json"])
def test_text_that_is_no_notes_is_refused(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"notes{suffix}"
    path.write_text("2026-03-12,blue 42,eye closed")
    with pytest.raises(NotesError, match="not plain text"):
        read_plain_text(path, "day-month-year", TODAY)


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(NotesError, match="nowhere"):
        read_plain_text(tmp_path / "nowhere.txt", "day-month-year", TODAY)
    with pytest.raises(NotesError, match="folder"):
        read_plain_text(tmp_path, "day-month-year", TODAY)
