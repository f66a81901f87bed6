"""Dates at the head of a line: what is certain is read, what is not is named."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dictate.intake.dates import DateOrder, date_line, other_order_seen, year_heading

TODAY = date(2026, 11, 25)
DMY: DateOrder = "day-month-year"
MDY: DateOrder = "month-day-year"


@pytest.mark.parametrize(
    ("line", "day", "rest"),
    [
        ("2026-03-12", date(2026, 3, 12), ""),
        ("2026/3/12:", date(2026, 3, 12), ""),
        ("12 March 2026", date(2026, 3, 12), ""),
        ("12th of march, 2026", date(2026, 3, 12), ""),
        ("Thu 12 Mar 2026", date(2026, 3, 12), ""),
        ("Thursday, 12 March 2026.", date(2026, 3, 12), ""),
        ("March 12, 2026", date(2026, 3, 12), ""),
        ("1 Sept 2025 - blue 42", date(2025, 9, 1), "blue 42"),
        ("12/3/2026", date(2026, 3, 12), ""),
        ("12.03.26", date(2026, 3, 12), ""),
        ("25-12-2025: Clover, crop full", date(2025, 12, 25), "Clover, crop full"),
        ("## 12 March 2026", date(2026, 3, 12), ""),
        ("**2026-03-12**", date(2026, 3, 12), ""),
        ("Date: 12 May 2026", date(2026, 5, 12), ""),
        ("29 Feb 2024", date(2024, 2, 29), ""),
    ],
)
def test_certain_dates(line: str, day: date, rest: str) -> None:
    found = date_line(line, DMY, TODAY)
    assert found is not None
    assert (found.on, found.problem, found.rest) == (day, None, rest)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("31 February 2026", "not a day of the calendar"),
        ("2026-13-01", "not a day of the calendar"),
        ("29/2/2025", "not a day of the calendar"),
        ("12 December 2026", "has not come yet"),
        ("3/25/2026", "does not have the day first"),
        ("12 March", "no year"),
        ("March 12th:", "no year"),
    ],
)
def test_what_is_not_certain_is_named_with_its_words(line: str, words: str) -> None:
    found = date_line(line, DMY, TODAY)
    assert found is not None
    assert found.on is None
    assert words in (found.problem or "")
    assert line.rstrip(":") in (found.problem or "")


@pytest.mark.parametrize(
    "line",
    ["blue 42 hen, eyes clear", "2100 g", "12 hens", "42", "12 Marching hens 2026 more", "weighed 12/3/2026",
     "3 ticks on the 12 March", "1.2.3.4", "2026-03-123", "12/3 of the flock", "may be mites",
     "Mar 7 was windy"],
)
def test_lines_that_begin_with_no_date(line: str) -> None:
    assert date_line(line, DMY, TODAY) is None


def test_the_order_of_the_settings_decides() -> None:
    read = {order: date_line("4/5/2026", order, TODAY) for order in (DMY, MDY)}
    assert read[DMY] is not None
    assert read[DMY].on == date(2026, 5, 4)
    assert read[MDY] is not None
    assert read[MDY].on == date(2026, 4, 5)


def test_another_order_in_the_file_makes_the_doubtful_ones_undated() -> None:
    lines = ["4/5/2026", "3/25/2026", "7/7/2026", "25/3/2026"]
    assert other_order_seen(lines, DMY)
    assert other_order_seen(lines, MDY)
    assert not other_order_seen(["4/5/2026", "25/3/2026"], DMY)
    read = [date_line(line, DMY, TODAY, mixed=True) for line in lines]
    assert [None if found is None else found.on for found in read] == [
        None, None, date(2026, 7, 7), date(2026, 3, 25),
    ]


def test_a_year_is_taken_from_a_heading_only() -> None:
    assert year_heading("# 2025") == 2025
    assert year_heading("March 2025:") == 2025
    assert year_heading("2025 grams") is None
    found = date_line("12 March", DMY, TODAY, year=2025)
    assert found is not None
    assert found.on == date(2025, 3, 12)


FORMS = ["%Y-%m-%d", "%d %B %Y", "%B %d, %Y", "%d/%m/%Y", "%a %d %b %Y"]


@given(st.dates(date(1990, 1, 1), TODAY), st.sampled_from(FORMS))
def test_every_day_is_read_back(day: date, form: str) -> None:
    found = date_line(day.strftime(form), DMY, TODAY)
    assert found is not None
    assert found.on == day


@given(st.text(max_size=60))
def test_no_line_breaks_the_reader(line: str) -> None:
    found = date_line(line, DMY, TODAY)
    assert found is None or (found.on is None) == (found.problem is not None)
