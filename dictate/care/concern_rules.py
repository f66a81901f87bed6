"""The rules of concerns.toml, read and checked: which signs, how many, how long, and which level they give.

Signs are written "part|part: sign" in the names of the lexicon; * stands for any part or any sign.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from functools import lru_cache
from importlib.resources import files
from typing import Annotated, Literal, NamedTuple

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

__all__ = [
    "Alone", "Flock", "Level", "Pattern", "Rules", "TimeOfDay", "Together", "concern_rules", "higher", "lower", "said",
]

Level = Literal["watch", "vet", "authority"]
LEVELS: tuple[Level, ...] = ("watch", "vet", "authority")
TimeOfDay = Literal["morning", "day", "evening", "unknown"]


class Pattern(NamedTuple):
    """Regions and a sign; None is any."""

    regions: frozenset[str] | None
    sign: str | None

    def fits(self, region: str, sign: str) -> bool:
        return (self.regions is None or region in self.regions) and self.sign in (None, sign)


def _pattern(value: object) -> Pattern:
    if isinstance(value, Pattern):
        return value
    where, colon, sign = str(value).partition(": ")
    if not colon:
        raise ValueError(f'{value!r} is not of the form "part|part: sign"')
    regions = frozenset(where.split("|"))
    return Pattern(None if "*" in regions else regions, None if sign == "*" else sign)


OnePattern = Annotated[Pattern, BeforeValidator(_pattern)]
Names = tuple[str, ...]


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


class SourceText(_Table):
    """Where a rule comes from, and whether that was found, remembered or is our own."""

    id: str
    name: str
    mark: Literal["found", "from memory", "our own"]


class Days(_Table):
    """How long things count."""

    bird: int
    together: int
    sudden: int
    flock: int
    baseline: int
    weights: int
    slow: int


class Hours(_Table):
    """Parts of the day by the clock (from, until) and by what was said."""

    morning: tuple[int, int]
    evening: tuple[int, int]
    morning_said: Names
    evening_said: Names
    day_said: Names


class Group(_Table):
    """A kind of sign of the published lists."""

    id: str
    words: str
    signs: tuple[OnePattern, ...]
    strong: bool = False


class _Judged(_Table):
    level: Level
    why: str
    source: Names


class Alone(_Judged):
    """One sign by itself. `slight` and `severe` are its levels at grade 1 and 3, `lasts` the days after
    which it is for a vet if still there, `worse` that a higher grade than before is. `calm_said`: words of
    the exam that explain it; `severe_said`: words of the finding that make it severe. `times`: its level
    by time of day, "ask" a question without a level; with `asks` an unknown time is asked for as well."""

    signs: tuple[OnePattern, ...]
    slight: Level | Literal[""] | None = None
    severe: Level | None = None
    severe_said: Names = ()
    calm: Level | Literal[""] | None = None
    calm_said: Names = ()
    unless: tuple[OnePattern, ...] = ()
    lasts: int = 0
    worse: bool = False
    times: dict[TimeOfDay, Level | Literal["", "ask"]] = Field(default_factory=dict)
    asks: bool = False
    species: Names = ()
    caution: Names = ()


class Together(_Judged):
    """Several signs of one bird: one of each row of `all`; or so many `groups`, `strong` ones among them;
    or so many different `signs` of one `group`."""

    all: tuple[tuple[OnePattern, ...], ...] = ()
    groups: int = 0
    strong: int = 0
    group: str = ""
    signs: int = 0
    same_part: bool = False
    not_evening: bool = False


class Change(_Judged):
    """A measurement that fell by this share."""

    measure: str
    share: float


class Range(_Judged):
    """A measurement below `low` or above `high`."""

    measure: str
    low: float | None = None
    high: float | None = None
    species: Names = ()


class Flock(_Judged):
    """Facts of a pen, each at least so many."""

    when: dict[str, int]


class Counts(_Table):
    """The kinds of observation that are counted, how many "several" are, the events that are deaths, and
    words that explain a death."""

    deaths: str
    sick: str
    odd: str
    several: int
    died: Names
    explained_said: Names


class Fall(_Table):
    """How large a fall of a kind of observation counts: per cent, in its unit, on so many days."""

    kind: str
    share: int
    least: float
    days: int


class LevelText(_Table):
    """What a level is called, what to do, and whose numbers to show."""

    title: str
    advice: str
    phones: tuple[Literal["vet", "authority"], ...]


class Rules(_Table):
    """All rules, in the order of the file."""

    source: tuple[SourceText, ...]
    days: Days
    hours: Hours
    group: tuple[Group, ...]
    alone: tuple[Alone, ...]
    together: tuple[Together, ...]
    change: tuple[Change, ...]
    range: tuple[Range, ...]
    flock: tuple[Flock, ...]
    counts: Counts
    fall: tuple[Fall, ...]
    level: dict[Level, LevelText]

    def sources(self, ids: Iterable[str]) -> str:
        """The sources in words, each with its mark."""
        known = {one.id: one for one in self.source}
        return "; ".join(f"{known[name].name} ({known[name].mark})" for name in dict.fromkeys(ids))


@lru_cache(maxsize=1)
def concern_rules() -> Rules:
    """The rules that come with the program."""
    text = files("dictate.care").joinpath("concerns.toml").read_text(encoding="utf-8")
    return Rules.model_validate(tomllib.loads(text))


def higher(one: Level | None, other: Level | None) -> Level | None:
    """The higher of two levels; None is none."""
    return max((one, other), key=lambda level: LEVELS.index(level) if level else -1)


def lower(level: Level) -> Level:
    """One level lower, but never less than watch."""
    return LEVELS[max(0, LEVELS.index(level) - 1)]


@lru_cache(maxsize=256)
def _finder(phrases: tuple[str, ...]) -> re.Pattern[str]:
    longest_first = sorted(phrases, key=len, reverse=True)
    return re.compile(r"(?<!\w)(?:" + "|".join(re.escape(p) for p in longest_first) + r")(?!\w)", re.IGNORECASE)


def said(text: str, phrases: tuple[str, ...]) -> list[tuple[int, int]]:
    """Where whole phrases stand in a text: (start, end) of each."""
    if not phrases:
        return []
    return [hit.span() for hit in _finder(phrases).finditer(text.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'"))]
