"""Left and right side by side in notes: "L/R: eye ✓ / weepy; pad scab / –", "FP L/R 0/hard+", "pads L: 0, R: scab".

Each half is written out with its side and region, so that all later rules read it as if it had been said.
"""

from __future__ import annotations

from dataclasses import replace

from dictate.extraction.hits import NORMAL
from dictate.extraction.units import Unit
from dictate.vocabulary import Meaning

__all__ = ["written_out"]

NOTHING = frozenset("- – — 0 nil none x × ✗ ø".split())
PART_ENDS = frozenset(", )".split())
LONGEST = 12  # units of both halves
GOOD = (Meaning("sign", NORMAL, "short"),)


def written_out(units: list[Unit]) -> list[Unit]:
    """The units with tables of two sides in words. Linear; all others stay as they are."""
    if any(u.low == "|" for u in units):
        units = _barred(units)
    if not any(_is_head(u) for u in units):
        return _marks(units)
    out: list[Unit] = []
    head: Unit | None = None
    i = 0
    while i < len(units):
        unit = units[i]
        if unit.kind == "newline" or unit.low == ".":
            head = None
        if _is_head(unit) and i + 1 < len(units) and units[i + 1].low == ":":
            head = unit
            i += 2
            continue
        if unit.region:
            first = i + 1
            lead = head
            if first < len(units) and _is_head(units[first]):
                lead = units[first]
                first += 1
            if first < len(units) and units[first].low in (":", "="):
                first += 1
            if lead is not None and (cut := _halves(units, first)):
                middle, end = cut
                left, right = ("left", "right") if lead.low[0] == "l" else ("right", "left")
                out += _half(unit, lead, left, units[first:middle])
                out += _half(unit, lead, right, units[middle + 1 : end])
                i = end
                continue
        out.append(unit)
        i += 1
    return _marks(out)


def _barred(units: list[Unit]) -> list[Unit]:
    """Lines "| L | R" and "eye | ✓ | cloudy": the same with strokes and a head."""
    out: list[Unit] = []
    head: Unit | None = None
    for line in _lines(units):
        bars = [k for k, u in enumerate(line) if u.low == "|"]
        sides = [u for u in line if u.side in ("left", "right") and not u.region]
        if len(bars) >= 2 and len(sides) == 2 and len(line) - bars[0] <= 5:
            head = replace(sides[0], low=f"{sides[0].low[0]}/{sides[1].low[0]}", side="both", cues=(), notes=[])
            out += [*line[: bars[0]], replace(line[bars[0]], low=";"), *line[bars[-1] + 2 :]]
        elif head is not None and len(bars) == 2 and bars[0] == 1 and line[0].region:
            out += [line[0], head, *line[2 : bars[1]], replace(line[bars[1]], low="/"), *line[bars[1] + 1 :]]
        else:
            out += line
    return out


def _lines(units: list[Unit]) -> list[list[Unit]]:
    lines: list[list[Unit]] = [[]]
    for unit in units:
        lines[-1].append(unit)
        if unit.kind == "newline":
            lines.append([])
    return lines


def _is_head(unit: Unit) -> bool:
    return unit.side == "both" and "/" in unit.low


def _halves(units: list[Unit], first: int) -> tuple[int, int] | None:
    """The place of the one stroke and the end of the second half, if units from `first` on are such a pair."""
    middle = -1
    for k in range(first, min(first + LONGEST, len(units) + 1)):
        if k == len(units) or units[k].hard or units[k].low in PART_ENDS or units[k].region:
            return (middle, k) if middle > first and k > middle + 1 else None
        if units[k].low == "/":
            if middle >= 0:
                return None
            middle = k
        elif units[k].side:
            return None
    return None


def _half(region: Unit, head: Unit, side: str, said: list[Unit]) -> list[Unit]:
    span = said[0].span
    mark = Unit(said[0].start, said[0].start, side, span, side=side)
    named = replace(region, plural=False, span=region.span, notes=[])
    if len(said) == 1 and said[0].low in NOTHING:
        said = [replace(said[0], kind="word", number=None, cues=(), signs=GOOD)]
    stop = Unit(said[-1].end, said[-1].end, ";", said[-1].span, "punct")
    return [mark, named, *said, stop]


def _marks(units: list[Unit]) -> list[Unit]:
    """"pads L: 0, R: scab": a mark for nothing, right behind a side behind its region, is a good word."""
    for k in range(2, len(units)):
        unit = units[k]
        if unit.low not in NOTHING or unit.signs or not (unit.number or unit.cues):
            continue
        at = k - 1 - (units[k - 1].low in (":", "="))
        before = units[at - 1] if at else None
        if at < 1 or units[at].side not in ("left", "right") or before is None:
            continue
        after = units[k + 1] if k + 1 < len(units) else None
        if not (after is None or after.hard or after.low in (",", "/") or after.side):
            continue
        if before.measures or (before.low == ":" and units[at - 2].measures):
            continue  # "foot pad score L0": a number
        if (before.region or (before.low == ":" and at > 1 and units[at - 2].region)) and not before.used:
            units[k] = replace(unit, kind="word", number=None, cues=(), signs=GOOD)
    return units
