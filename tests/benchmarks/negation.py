"""How often the cues tell right whether a given thing is denied, over sentences from another field.

    python tests/benchmarks/negation.py FILE.tsv

FILE.tsv has a heading and a line per sentence: report, concept, sentence, label (Affirmed or Negated); the
concept stands in capitals in its sentence. Prints a JSON line: accuracy, and precision and recall of Negated.
A sentence in which the concept does not stand in capitals is answered with "not negated" and counted.
Source of such a file: the public test kit of Chapman and others, J Biomed Inform 34 (2001) 301-310; its own
program's accuracy on the whole kit is 97.77 %.
"""

from __future__ import annotations

import csv
import json
import re
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from dictate.extraction import negated
from dictate.model import Span
from dictate.vocabulary import Vocabulary, load_vocabulary


class Row(NamedTuple):
    """A sentence, where its concept stands (None: nowhere in capitals) and whether it is denied."""

    sentence: str
    span: Span | None
    denied: bool


def rows(path: Path) -> Iterator[Row]:
    """The sentences of a file; ValueError names a line with another label."""
    with path.open(encoding="utf-8", newline="") as file:
        for number, row in enumerate(csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE), 2):
            if row.get("label") not in ("Affirmed", "Negated"):
                raise ValueError(f"{path}, line {number}: label is {row.get('label')!r}, not Affirmed or Negated")
            words = r"\s+".join(map(re.escape, row["concept"].upper().split()))
            found = re.search(words, row["sentence"])
            yield Row(row["sentence"], Span(*found.span()) if found else None, row["label"] == "Negated")


def measure(path: Path, vocabulary: Vocabulary) -> dict[str, float]:
    """Accuracy, and precision and recall of Negated, with the counts they are made of."""
    seen: Counter[tuple[bool, bool]] = Counter()
    unmarked = 0
    for row in rows(path):
        unmarked += row.span is None
        said = row.span is not None and negated(row.sentence, row.span, vocabulary)
        seen[row.denied, said] += 1
    right = seen[True, True]
    found, denied = right + seen[False, True], right + seen[True, False]
    return {
        "accuracy": round((right + seen[False, False]) / max(1, seen.total()), 4),
        "precision": round(right / max(1, found), 4), "recall": round(right / max(1, denied), 4),
        "sentences": seen.total(), "negated": denied, "concept not marked": unmarked,
    }


def main() -> None:
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    print(json.dumps(measure(Path(sys.argv[1]), load_vocabulary())))


if __name__ == "__main__":
    main()
