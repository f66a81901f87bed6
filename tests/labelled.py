"""Read the labelled cases (tests/cases/**/*.toml) as gold records in the terms of the exam record."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

CASES = Path(__file__).parent / "cases"
FINDING = re.compile(
    r"(?P<region>[a-z ]+?)(?: (?P<side>left|right|both))?: (?P<doubt>possibly )?(?P<past>past )?(?P<no>no )?"
    r"(?P<sign>.+?)(?: (?P<grade>[123]))?"
)


def finding(line: str) -> dict[str, Any]:
    """"foot pad right: possibly past no hardened 2" → a finding record."""
    match = FINDING.fullmatch(line)
    assert match, f"not in the notation of the cases: {line!r}"
    part = match.groupdict()
    return {
        "region": part["region"], "side": part["side"], "sign": part["sign"],
        "presence": "absent" if part["no"] else "present",
        "grade": int(part["grade"]) if part["grade"] else None,
        "certainty": "possible" if part["doubt"] else "sure", "when": "past" if part["past"] else "now",
    }


def measurement(line: str) -> dict[str, Any]:
    """"count 2 1 of lice" → a measurement record."""
    line, _, of = line.partition(" of ")
    kind, value, unit = line.rsplit(" ", 2)
    return {"kind": kind, "value": float(value), "unit": unit, "of": of or None}


def action(line: str) -> dict[str, Any]:
    kind, _, days = line.partition(" ")
    return {"kind": kind, "in_days": int(days) if days else None, "detail": None}


def cases(folder: str = "", split: str = "") -> Iterator[dict[str, Any]]:
    """Labelled items {id, style, about, split, text, gold}, of one folder and split if wanted."""
    for path in sorted((CASES / folder).rglob("*.toml")):
        for case in tomllib.loads(path.read_text(encoding="utf-8")).get("case", []):
            if split and case.get("split") != split:
                continue
            exams = [
                {
                    "bird": {"band": exam.get("band"), "name": exam.get("name"), "sex": exam.get("sex")},
                    "findings": [finding(line) for line in exam.get("findings", [])],
                    "measurements": [measurement(line) for line in exam.get("measurements", [])],
                    "actions": [action(line) for line in exam.get("actions", [])],
                    "rest_normal": exam.get("rest_normal", False),
                }
                for exam in case.get("exam", [])
            ]
            yield {
                "id": case["id"], "style": case["style"], "about": path.stem, "split": case.get("split", ""),
                "text": case["text"], "gold": {"exams": exams}, "observations": case.get("observations", []),
            }
