"""Are the verdicts worth what they say? Findings against labels, by penalty and by score, as JSON.

    python tests/benchmarks/calibration.py [LABELLED.jsonl …]

Over our own cases ("tune", "held") and each file given. A finding said of both sides counts twice, as two
findings. It is right when the label has its region, side, sign, presence and time.
For each set: share marked sure and how many of those are right; what was turned round though sure; for each
verdict and each band of scores how many are right; for each penalty how many findings carry it, its mean
amount, and how many of them are right. A penalty is fair where its amount is about the share that is wrong
among findings that carry it alone.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.understanding import sets
from scoring_of_records import Figures, pairs, stated

from dictate.extraction.assemble import Extractor
from dictate.model import draft_record
from dictate.vocabulary import load_vocabulary

BANDS = (1.0, 0.95, 0.9, 0.85, 0.8, 0.7, 0.6, 0.5, 0.25, 0.0)


class Judged(NamedTuple):
    """One finding: its verdict, score and penalties, and whether the label has it."""

    verdict: str
    score: float
    penalties: dict[str, float]
    right: bool


def judged(gold: list[dict[str, Any]], made: list[dict[str, Any]]) -> Iterator[Judged]:
    """The findings of one text; of two alike, as many are right as the label has."""
    for one, other in pairs(gold, made):
        left = Counter(row.core for row in stated(one or {}))
        for row in stated(other or {}):
            right = left[row.core] > 0
            left[row.core] -= right
            penalties = row.record.get("penalties", {})
            yield Judged(row.record["verdict"], max(0.0, 1 - sum(penalties.values())), penalties, right)


def share(findings: list[Judged]) -> dict[str, Any]:
    """How many, and how many of them are right, from 0 to 1 (null for none)."""
    right = sum(f.right for f in findings)
    return {"findings": len(findings), "right": round(right / len(findings), 4) if findings else None}


def by_penalty(findings: list[Judged]) -> dict[str, dict[str, Any]]:
    """For each penalty: those that carry it, those that carry it alone, its mean amount; most frequent first."""
    carried: dict[str, list[Judged]] = defaultdict(list)
    for f in findings:
        for name in f.penalties or {"none": 0.0}:
            carried[name].append(f)
    table = {}
    for name, rows in sorted(carried.items(), key=lambda item: -len(item[1])):
        amount = sum(f.penalties.get(name, 0.0) for f in rows) / len(rows)
        alone = share([f for f in rows if len(f.penalties) <= 1])
        table[name] = {**share(rows), "amount": round(amount, 4), "alone": alone}
    return table


def by_score(findings: list[Judged]) -> dict[str, dict[str, Any]]:
    """The reliability table: score bands, each from its lower end up to the next."""
    table, below = {}, 1.1
    for low in BANDS:
        table[f"from {low}"] = share([f for f in findings if low - 1e-9 <= f.score < below - 1e-9])
        below = low
    return table


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", type=Path)
    wanted = parser.parse_args()
    extractor = Extractor(load_vocabulary())
    found: dict[str, list[Judged]] = defaultdict(list)
    figures: dict[str, Figures] = defaultdict(Figures)
    for name, item in sets(wanted.files):
        made, gold = draft_record(extractor.text(item["text"]))["exams"], item["gold"]["exams"]
        found[name] += judged(gold, made)
        figures[name].add(item["id"], gold, made)
    report = {}
    for name, findings in found.items():
        sure = [f for f in findings if f.verdict == "sure"]
        count = figures[name].count
        report[name] = {
            **share(findings),
            "sure share": round(len(sure) / max(1, len(findings)), 4), "sure right": share(sure)["right"],
            "sure, absence turned": count["absence turned, sure"], "sure, side turned": count["side turned, sure"],
            "verdicts": {v: share([f for f in findings if f.verdict == v]) for v in ("sure", "check", "ask")},
            "scores": by_score(findings), "penalties": by_penalty(findings),
        }
    print(json.dumps(report, indent=1))


if __name__ == "__main__":
    main()
