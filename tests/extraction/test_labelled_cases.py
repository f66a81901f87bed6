"""Labelled narrations and notes are understood no worse than they were when the floors were last set.

A floor is a little below the figure measured on the day named; it is no aim. Raise them when the parser gets
better: the figures are printed by tests/benchmarks/understanding.py. "tune" may be looked at while rules are
made, "held" may not. Style "all" is the whole set; a dash stands where there is too little to tell.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from labelled import cases
from scoring_of_records import Figures, read_labelled

from dictate.extraction.assemble import Extractor
from dictate.model import draft_record

DEV = Path(__file__).parents[3] / "shared" / "eval" / "dev.jsonl"
COLUMNS = ("findings", "signs", "grade", "certainty", "measurements", "actions", "bird")

# Set on 2026-11-25. findings, signs (without normal), measurements and actions by F1; grade and certainty
# among matched findings, bird among exams. Cases of "narrations" and "short" were all looked at in the end and
# stand under tune; "fresh" and the held ones of "voices", "people" and "rounds" were not.
FLOORS = """
narrations tune  all             0.93  0.92  0.96  0.96  0.92  0.91  0.95
narrations tune  hard            0.79  0.75  0.96  0.96  0.78  0.72  0.88
narrations tune  narration       0.92  0.91  0.96  0.97  0.90  0.94  0.95
narrations tune  narration-punct 0.90  0.89  0.96  0.97  0.94  0.87  0.93
narrations tune  note            0.94  0.94  0.97  0.97  0.97  0.94  0.95
narrations tune  teaching        0.72     -     -     -     -     -  0.90
short      tune  all             0.92  0.92  0.96  0.97  0.94  0.92  0.96
short      tune  hard            0.72  0.71     -     -     -     -  0.94
short      tune  narration       0.90  0.90  0.96  0.97  0.90  0.88  0.96
short      tune  narration-punct 0.89  0.89  0.97  0.97  0.84     -  0.97
short      tune  note            0.91  0.90  0.97  0.97  0.93  0.90  0.97
short      tune  teaching           -     -     -     -     -     -     -
voices     tune  all             0.90  0.87  0.96  0.96  0.91  0.90  0.94
voices     tune  hard            0.67  0.65  0.94  0.94     -     -     -
voices     tune  narration       0.87  0.82  0.95  0.96  0.95  0.88  0.96
voices     tune  narration-punct 0.86  0.86  0.97  0.97  0.96  0.87  0.87
voices     tune  note            0.84  0.83  0.96  0.96  0.91  0.95  0.95
voices     tune  teaching        0.67     -     -     -     -     -  0.90
voices     held  all             0.80  0.76  0.95  0.96  0.83  0.76  0.81
voices     held  hard            0.75     -     -     -     -     -     -
voices     held  narration       0.74  0.66  0.95  0.97  0.83  0.61  0.64
voices     held  narration-punct 0.84  0.82  0.97  0.96  0.79  0.79  0.83
voices     held  note            0.81  0.82  0.95  0.96  0.66  0.56  0.66
voices     held  teaching        0.72     -     -     -     -     -     -
rounds     tune  all             0.76     -     -     -  0.88  0.80  0.90
rounds     held  all             0.83     -     -     -  0.86  0.75  0.83
fresh      held  all             0.91  0.88  0.96  0.96  0.93  0.94  0.94
fresh      held  hard            0.78  0.75  0.93  0.96     -     -     -
fresh      held  narration       0.89  0.86  0.97  0.96  0.91  0.87  0.92
fresh      held  narration-punct 0.94  0.93  0.97  0.97  0.92  0.92  0.87
fresh      held  note            0.93  0.92  0.96  0.97  0.91  0.93  0.91
fresh      held  teaching        0.70     -     -     -     -     -     -
people     tune  all             0.77  0.76  0.95  0.96  0.78  0.75  0.78
people     tune  hard            0.70  0.71     -     -     -     -     -
people     tune  narration       0.84  0.80     -     -     -     -     -
people     tune  note            0.76  0.75     -     -     -     -     -
people     tune  teaching        0.68  0.60     -     -     -     -     -
people     held  all             0.71  0.68  0.94  0.96  0.69  0.68  0.84
people     held  note            0.78  0.80     -     -     -     -     -
people     held  teaching        0.67  0.63     -     -     -     -     -
dev        all   all             0.96  0.95  0.96  0.96  0.93  0.93  0.96
dev        all   hard            0.89  0.87  0.95  0.97     -     -     -
dev        all   narration       0.94  0.93  0.96  0.96  0.93  0.94  0.95
dev        all   narration-punct 0.95  0.94  0.97  0.97  0.94  0.90  0.93
dev        all   note            0.95  0.95  0.96  0.97  0.91  0.95  0.95
dev        all   teaching           -     -     -     -     -     -     -
"""


def floors() -> list[tuple[str, str, str, str, float]]:
    """(set, split, style, figure, floor) for each number of the table."""
    out = []
    for line in FLOORS.strip().splitlines():
        folder, split, style, *numbers = line.split()
        assert len(numbers) == len(COLUMNS), line
        out += [(folder, split, style, name, float(n)) for name, n in zip(COLUMNS, numbers, strict=True) if n != "-"]
    return out


@pytest.fixture(scope="module")
def measured(extractor: Extractor) -> Callable[[str, str], dict[str, Figures]]:
    """Figures of a set and split by style, each text read once."""

    @cache
    def figures(folder: str, split: str) -> dict[str, Figures]:
        items = read_labelled(DEV) if folder == "dev" else cases(folder, split)
        by_style: dict[str, Figures] = defaultdict(Figures)
        for item in items:
            made = draft_record(extractor.text(item["text"]))["exams"]
            for style in ("all", item["style"]):
                by_style[style].add(item["id"], item["gold"]["exams"], made)
        return by_style

    return figures


@pytest.mark.parametrize(("folder", "split", "style", "name", "floor"), floors())
def test_floor(
    measured: Callable[[str, str], dict[str, Figures]],
    folder: str, split: str, style: str, name: str, floor: float,
) -> None:
    if folder == "dev" and not DEV.is_file():
        pytest.skip("the shown labelled set is not carried with the source (../shared is absent)")
    figures = measured(folder, split)[style]
    assert figures.count["texts"], "no such cases"
    assert figures.table()[name] >= floor, (
        f"{name} of {folder} {split} {style}: {figures.table()[name]:.3f}, floor {floor}; first wrong findings: "
        f"{figures.wrong[:5]}"
    )


# -- the cases and the scorer themselves


def test_every_case_is_named_once_and_knows_its_split() -> None:
    items = list(cases())
    ids = Counter(item["id"] for item in items)
    assert ids.total() >= 700
    assert [i for i, times in ids.items() if times > 1] == []
    assert {item["split"] for item in items} == {"tune", "held"}


def test_the_words_of_the_labels_are_those_of_the_lexicon(extractor: Extractor) -> None:
    """A slip in a label would count against the parser for ever."""
    v, items = extractor.vocabulary, list(cases())
    wrong = [
        (item["id"], f["region"], f["sign"], f["side"])
        for item in items for exam in item["gold"]["exams"] for f in exam["findings"]
        if f["region"] not in v.regions or f["sign"] not in v.signs
        or (f["side"] and not v.regions[f["region"]].paired)
    ]
    assert wrong == []
    assert [
        (item["id"], a["kind"]) for item in items for exam in item["gold"]["exams"] for a in exam["actions"]
        if a["kind"] not in v.actions
    ] == []


@cache
def _narrations() -> list[dict[str, Any]]:
    return list(cases("narrations"))


def _figures(change: Callable[[list[dict[str, Any]]], list[dict[str, Any]]]) -> Figures:
    figures = Figures()
    for item in _narrations():
        figures.add(item["id"], item["gold"]["exams"], change(deepcopy(item["gold"]["exams"])))
    return figures


def test_gold_against_itself_is_perfect() -> None:
    table = _figures(lambda exams: exams).table()
    assert {name for name, value in table.items() if value != 1.0} <= {"sure share"}


def test_nothing_understood_scores_nothing() -> None:
    assert _figures(lambda exams: []).f1("findings") == 0.0


def test_each_part_of_a_finding_counts() -> None:
    def turned(key: str, values: dict[Any, Any]) -> float:
        def change(exams: list[dict[str, Any]]) -> list[dict[str, Any]]:
            for exam in exams:
                for f in exam["findings"]:
                    f[key] = values.get(f[key], f[key])
            return exams

        return _figures(change).f1("findings")

    assert turned("presence", {"present": "absent", "absent": "present"}) < 0.02
    assert turned("when", {"now": "past"}) < 0.1
    assert turned("side", {"left": "right", "right": "left"}) < 0.85
    assert turned("side", {"both": None}) < 0.85


def test_everything_said_twice_halves_precision() -> None:
    def twice(exams: list[dict[str, Any]]) -> list[dict[str, Any]]:
        for exam in exams:
            exam["findings"] *= 2
        return exams

    assert _figures(twice).f1("findings") == pytest.approx(2 / 3)


def test_grades_certainty_birds_measurements_and_actions_are_judged() -> None:
    def spoiled(exams: list[dict[str, Any]]) -> list[dict[str, Any]]:
        for exam in exams:
            exam["bird"] = {"band": "no such band", "name": None}
            for f in exam["findings"]:
                f["grade"], f["certainty"] = 9, "never"
            for m in exam["measurements"]:
                m["value"] *= 1.006
            for a in exam["actions"]:
                a["in_days"] = -1
        return exams

    table = _figures(spoiled).table()
    assert table["findings"] > 0.99  # these parts do not make another finding of it
    assert (table["grade"], table["certainty"], table["bird"], table["actions"]) == (0,) * 4
    assert table["measurements"] < 0.05  # six in a thousand away is another value; nought stays nought
