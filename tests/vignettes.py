"""Vignettes judged the whole way: parsed, kept, confirmed, and asked about. One log for all of them,
with years between, so that none touches another."""

from __future__ import annotations

import tomllib
from datetime import date, timedelta
from pathlib import Path
from typing import Any, NamedTuple

from dictate.care.concerns import Concerns, concerns
from dictate.extraction import extract_text
from dictate.log import FlockLog
from dictate.vocabulary import load_vocabulary

APART = 400
FIRST = date(2031, 5, 10)
VARIANTS = ("negated", "past", "taught")


class Case(NamedTuple):
    """One thing said on one or more days, and the levels that may come of it."""

    name: str
    variant: str
    days: tuple[tuple[int, str], ...]
    levels: tuple[str, ...]
    unread: str = ""


def cases(path: Path) -> list[Case]:
    """Each vignette, and its three variants of which nothing may come."""
    found: list[Case] = []
    rows: list[dict[str, Any]] = tomllib.loads(path.read_text(encoding="utf-8"))["vignette"]
    for row in rows:
        days = tuple((int(back), text) for back, text in row["days"])
        found.append(Case(row["id"], "said", days, tuple(row.get("levels", [row["level"]])),
                          row.get("unread", "")))
        found += [
            Case(row["id"], variant, ((0, text),), ("none",))
            for variant, text in zip(VARIANTS, row["none"], strict=True)
        ]
    return found


def judge(all_cases: list[Case], log: FlockLog) -> dict[tuple[str, str], Concerns]:
    """(vignette, variant) → what the program says on its day."""
    vocabulary = load_vocabulary()
    when: dict[tuple[str, str], date] = {}
    with log.transaction():
        for number, case in enumerate(all_cases):
            day = FIRST + timedelta(days=APART * number)
            when[case.name, case.variant] = day
            for back, text in case.days:
                batch = log.start_batch("vignette")
                draft = extract_text(text, vocabulary)
                for exam_id in log.save_draft(draft, on=day - timedelta(days=back), batch=batch):
                    log.confirm_exam(exam_id)
                for row in log.observations(statuses=("draft",), batch=batch):
                    log.settle_observation(row.id, "confirmed")
    exams, birds, told = list(log.exams()), log.birds(), log.observations()
    return {key: concerns(exams, birds, told, day) for key, day in when.items()}


def verdict(found: Concerns) -> str:
    """The highest level; "asked" where a question comes first; "none"."""
    return found.level or ("asked" if found.asks else "none")
