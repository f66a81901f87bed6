"""Dates as people write them at the head of a note. What is not certain is named and never guessed."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

__all__ = ["DateLine", "DateOrder", "date_line", "other_order_seen", "year_heading"]

DateOrder = Literal["day-month-year", "month-day-year", "year-month-day"]

_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
    "november", "december",
)
_MONTH = r"(?P<month>sept\.?|" + "|".join(rf"{name[:3]}(?:{name[3:]}|\.)?" for name in _MONTHS) + ")"
_WEEKDAY = r"(?:(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?\.?,?\s+)?"
_HEAD = rf"^[\s#>*_\-–—•]*(?:date\s*:?\s*)?{_WEEKDAY}"
_DAY = r"(?P<day>\d{1,2})(?:st|nd|rd|th)?"
_YEAR = r"(?P<year>\d{4}|['’]?\d{2})"
_END = r"(?P<rest>$|(?:[\s:;,.*_–—-](?!\d).*))$"

_FORMS = [
    re.compile(_HEAD + form + _END, re.IGNORECASE)
    for form in (
        r"(?P<year>\d{4})(?P<sep>[-/.])(?P<month>\d{1,2})(?P=sep)(?P<day>\d{1,2})",
        rf"{_DAY}(?:\s+of)?[\s-]+{_MONTH},?[\s-]+{_YEAR}",
        rf"{_MONTH}\s+{_DAY},?\s+{_YEAR}",
        r"(?P<first>\d{1,2})(?P<sep>[-/.])(?P<second>\d{1,2})(?P=sep)(?P<year>\d{4}|\d{2})",
    )
]
_WITHOUT_YEAR = [
    re.compile(_HEAD + form + r"(?P<rest>[\s:;,.*_–—-]*)$", re.IGNORECASE)
    for form in (rf"{_DAY}(?:\s+of)?[\s-]+{_MONTH}", rf"{_MONTH}\s+{_DAY}")
]
_YEAR_HEADING = re.compile(
    rf"^[\s#>*_–—-]*(?:{_MONTH}\s+)?(?P<year>(?:19|20)\d\d)[\s*_:–—-]*$", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class DateLine:
    """A line that begins with a date: the day, or what is wrong with it, and the rest of the line."""

    on: date | None
    problem: str | None
    rest: str


def year_heading(line: str) -> int | None:
    """The year of a line that holds nothing but a year, or a month and a year."""
    found = _YEAR_HEADING.match(line)
    return int(found["year"]) if found else None


def other_order_seen(lines: Iterable[str], order: DateOrder) -> bool:
    """Whether a date among the lines can only be read in another order than `order`: then none of
    those that may be read in two ways is believed."""
    return any(
        found is not None and _month_and_day(found, order)[0] > 12 >= _month_and_day(found, order)[1]
        for found in map(_FORMS[3].match, lines)
    )


def date_line(
    line: str, order: DateOrder, today: date, *, year: int | None = None, mixed: bool = False
) -> DateLine | None:
    """The date that a line begins with; None where it begins with none.

    `order` is how 12/3/2026 is read; `year` stands in where a line has none (taken from a
    heading above it); `mixed` says that the file shows another order too, so that neither is believed.
    A day after `today` or one that no calendar has is a problem, and so is a missing year.
    """
    for form in _FORMS:
        found = form.match(line)
        if found is None:
            continue
        said = _said(line, found["rest"])
        parts = found.groupdict()
        if "first" in parts:
            return _numeric(found, said, order, today, mixed)
        year_said, month = _year(parts["year"]), _month(parts["month"])
        return _checked(year_said, month, int(parts["day"]), said, today, parts["rest"])
    for form in _WITHOUT_YEAR:
        found = form.match(line)
        if found is not None:
            said = _said(line, found["rest"])
            if year is None:
                return DateLine(None, f'"{said}" has no year', "")
            return _checked(year, _month(found["month"]), int(found["day"]), said, today, "")
    return None


def _month_and_day(found: re.Match[str], order: DateOrder) -> tuple[int, int]:
    """Month and day of a date in numbers; they come in this order only where `order` says so."""
    first, second = int(found["first"]), int(found["second"])
    return (first, second) if order == "month-day-year" else (second, first)


def _numeric(found: re.Match[str], said: str, order: DateOrder, today: date, mixed: bool) -> DateLine:
    month, day = _month_and_day(found, order)
    if month > 12 >= day:
        wanted = "month" if order == "month-day-year" else "day"
        problem = f'"{said}" does not have the {wanted} first, as the settings say'
        return DateLine(None, problem, _rest(found["rest"]))
    if mixed and month <= 12 and day <= 12 and month != day:
        problem = f'"{said}" may be read in two ways, and another date of this file is in the other order'
        return DateLine(None, problem, _rest(found["rest"]))
    return _checked(_year(found["year"]), month, day, said, today, found["rest"])


def _checked(year: int, month: int, day: int, said: str, today: date, rest: str) -> DateLine:
    try:
        on = date(year, month, day)
    except ValueError:
        return DateLine(None, f'"{said}" is not a day of the calendar', _rest(rest))
    if on > today:
        return DateLine(None, f'"{said}" has not come yet', _rest(rest))
    return DateLine(on, None, _rest(rest))


def _year(text: str) -> int:
    digits = text.lstrip("'’")
    return int(digits) + (2000 if len(digits) == 2 else 0)


def _month(text: str) -> int:
    if text.isdigit():
        return int(text)
    return next(number for number, name in enumerate(_MONTHS, 1) if name.startswith(text.lower()[:3]))


def _said(line: str, rest: str) -> str:
    return line[: len(line) - len(rest)].strip(" \t#>*_-–—•")


def _rest(rest: str) -> str:
    return rest.lstrip(" \t:;,.*_–—-").rstrip()
