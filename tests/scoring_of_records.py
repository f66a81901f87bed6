"""Compare what was understood with what a person wrote down: counts, and the figures made of them.

`side: both` counts as two findings, left and right. A finding is right when region, side, sign, presence and
time are; its grade and certainty are judged among the right ones. Exams are paired in their order, so that
the most findings and birds agree. A former value is no measurement, the words of an action are not compared.
"""

from __future__ import annotations

import json
import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

__all__ = ["Core", "Figures", "agreeing_measurements", "pairs", "read_labelled", "same_bird", "stated"]

Record = Mapping[str, Any]
NEAR = 0.005  # measurements agree within half a percent


class Core(NamedTuple):
    """What makes a finding the same as another."""

    region: str
    side: str | None
    sign: str
    presence: str
    when: str


class Stated(NamedTuple):
    """One side of one finding as a record has it."""

    core: Core
    grade: int | None
    certainty: str
    record: Record


def stated(exam: Record) -> list[Stated]:
    """The findings of an exam, `both` as left and right."""
    rows = []
    for f in exam.get("findings") or ():
        for side in ("left", "right") if f.get("side") == "both" else (f.get("side"),):
            core = Core(f["region"], side, f["sign"], f.get("presence", "present"), f.get("when", "now"))
            rows.append(Stated(core, f.get("grade"), f.get("certainty", "sure"), f))
    return rows


def cores(exam: Record) -> Counter[Core]:
    return Counter(row.core for row in stated(exam))


def same_bird(one: Record, other: Record) -> bool:
    """Band and name agree, capitals apart."""
    a, b = one.get("bird") or {}, other.get("bird") or {}
    return all((a.get(key) or "").lower() == (b.get(key) or "").lower() for key in ("band", "name"))


def pairs(gold: list[Record], made: list[Record]) -> list[tuple[Record | None, Record | None]]:
    """Exams side by side, in order, so that the sum of their likeness is greatest."""

    def likeness(a: Record, b: Record) -> float:
        x, y = cores(a), cores(b)
        shared = 2.0 * (x & y).total() / max(1, x.total() + y.total())
        return shared + same_bird(a, b) + 1e-6

    best: dict[tuple[int, int], float] = defaultdict(float)
    for i in range(len(gold) - 1, -1, -1):
        for j in range(len(made) - 1, -1, -1):
            together = best[i + 1, j + 1] + likeness(gold[i], made[j])
            best[i, j] = max(best[i + 1, j], best[i, j + 1], together)
    out: list[tuple[Record | None, Record | None]] = []
    i = j = 0
    while i < len(gold) and j < len(made):
        if best[i, j] == best[i + 1, j + 1] + likeness(gold[i], made[j]):
            out.append((gold[i], made[j]))
            i, j = i + 1, j + 1
        elif best[i, j] == best[i + 1, j]:
            out.append((gold[i], None))
            i += 1
        else:
            out.append((None, made[j]))
            j += 1
    out += [(g, None) for g in gold[i:]]
    out += [(None, m) for m in made[j:]]
    return out


def _measured(exam: Record) -> list[Record]:
    return [m for m in exam.get("measurements") or () if not m.get("former")]


def agreeing_measurements(gold: Record, made: Record) -> int:
    """How many values of `gold` are in `made`, each used once."""
    left, right = list(_measured(made)), 0
    for m in _measured(gold):
        for n in left:
            same = m["kind"] == n["kind"] and m["unit"] == n["unit"]
            if same and math.isclose(m["value"], n["value"], rel_tol=NEAR, abs_tol=1e-9):
                left.remove(n)
                right += 1
                break
    return right


def acts(exam: Record) -> Counter[tuple[str, int | None]]:
    return Counter((a["kind"], a.get("in_days")) for a in exam.get("actions") or ())


class Figures:
    """Counts over many records. `add` one after the other, then ask."""

    def __init__(self) -> None:
        self.count: Counter[str] = Counter()
        self.wrong: list[tuple[str, str, Core]] = []

    def add(self, key: str, gold: Iterable[Record], made: Iterable[Record]) -> None:
        gold, made = list(gold), list(made)
        self.count["texts"] += 1
        self.count["number of exams right"] += len(gold) == len(made)
        for g, m in pairs(gold, made):
            self._exam(key, g, m)

    def _exam(self, key: str, gold: Record | None, made: Record | None) -> None:
        n, g, m = self.count, gold or {}, made or {}
        if gold is not None:
            n["exams"] += 1
            n["birds right"] += made is not None and same_bird(g, m)
            n["rest right"] += made is not None and bool(g.get("rest_normal")) == bool(m.get("rest_normal"))
        wanted, found = cores(g), cores(m)
        shared = wanted & found
        for name, counted in (("wanted", wanted), ("found", found), ("shared", shared)):
            n[f"findings {name}"] += counted.total()
            n[f"signs {name}"] += sum(k for core, k in counted.items() if core.sign != "normal")
        self.wrong += [(key, "missing", core) for core in (wanted - found).elements()]
        self.wrong += [(key, "too many", core) for core in (found - wanted).elements()]
        self._judged(g, m)
        sure = Counter(row.core for row in stated(m) if row.record.get("verdict") == "sure")
        n["sure"] += sure.total()
        n["sure and right"] += (sure & wanted).total()
        for core in (sure - wanted).elements():
            turned = core._replace(presence="absent" if core.presence == "present" else "present")
            other = core._replace(side={"left": "right", "right": "left"}.get(core.side or ""))
            n["absence turned, sure"] += wanted[turned] > found[turned]
            n["side turned, sure"] += wanted[other] > found[other]
        values = agreeing_measurements(g, m)
        n["measurements wanted"] += len(_measured(g))
        n["measurements found"] += len(_measured(m))
        n["measurements shared"] += values
        for name, acted in (("wanted", acts(g)), ("found", acts(m)), ("shared", acts(g) & acts(m))):
            n[f"actions {name}"] += acted.total()

    def _judged(self, gold: Record, made: Record) -> None:
        """Grade and certainty of the findings that both have."""
        left = defaultdict(list)
        for row in stated(made):
            left[row.core].append(row)
        for row in stated(gold):
            if left[row.core]:
                other = left[row.core].pop(0)
                self.count["matched"] += 1
                self.count["grades right"] += row.grade == other.grade
                self.count["certainty right"] += row.certainty == other.certainty

    def f1(self, what: str) -> float:
        """F1 of `findings`, `signs` (findings without normal), `measurements` or `actions`; 1 where there are none."""
        n = self.count
        total = n[f"{what} wanted"] + n[f"{what} found"]
        return 2 * n[f"{what} shared"] / total if total else 1.0

    def share(self, part: str, whole: str) -> float:
        """A part of a whole; 1 where the whole is nothing."""
        return self.count[part] / self.count[whole] if self.count[whole] else 1.0

    def table(self) -> dict[str, float]:
        """All figures by name, from 0 to 1."""
        return {
            "findings": self.f1("findings"), "signs": self.f1("signs"),
            "grade": self.share("grades right", "matched"),
            "certainty": self.share("certainty right", "matched"),
            "measurements": self.f1("measurements"), "actions": self.f1("actions"),
            "bird": self.share("birds right", "exams"),
            "exams": self.share("number of exams right", "texts"),
            "rest": self.share("rest right", "exams"),
            "sure share": self.share("sure", "findings found"),
            "sure right": self.share("sure and right", "sure"),
        }


def read_labelled(path: Path) -> Iterator[dict[str, Any]]:
    """Items {id, style, text, gold} of a file with one JSON object a line."""
    with path.open(encoding="utf-8") as file:
        for line in file:
            if line.strip():
                yield json.loads(line)
