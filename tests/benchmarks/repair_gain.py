"""What putting misheard and misspelt words right gains on heard talk and costs on true talk, as JSON.

    python tests/benchmarks/repair_gain.py FOLDER [--part test] [--show N]

FOLDER is made by say_and_hear.py. Finding F1 by listener, of the same texts as they were heard, and as they were
written: with no repair, with the repair of unknown words only, and with that of misheard words too.
"Sure wrong" counts findings called sure that are not right. `--show N` lists changed findings (not of held cases).
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from labelled import cases
from scoring_of_records import Figures

from dictate.extraction.assemble import Extractor
from dictate.extraction.misheard import Misheard
from dictate.extraction.repair import Repairer
from dictate.model import Utterance, Word, draft_record
from dictate.vocabulary import load_vocabulary

Exams = list[dict[str, Any]]


def utterances(row: dict[str, Any], listener: str) -> list[Utterance]:
    return [
        Utterance(tuple(Word(*w) for w in words), listener, words[0][1], words[-1][2])
        for words in row["heard"]
        if words
    ]


def figures(rows: list[dict[str, Any]], read: Callable[[dict[str, Any]], Exams]) -> Figures:
    out = Figures()
    for row in rows:
        out.add(row["id"], row["gold"]["exams"], read(row))
    return out


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--part", default="test", choices=("test", "learn"))
    parser.add_argument("--show", type=int, default=0)
    wanted = parser.parse_args()
    extractor = Extractor(load_vocabulary())
    mend, best = Misheard.mend, Repairer._best
    nothing: dict[int, str] = {}
    ways: dict[str, tuple[Any, Any]] = {
        "none": (lambda *_: nothing, lambda *_: ""),
        "unknown words": (lambda *_: nothing, best),
        "both": (mend, best),
    }
    held = {item["id"] for item in cases(split="held")}
    report: dict[str, Any] = {}
    for path in sorted(wanted.folder.glob("heard_*.jsonl")):
        listener = path.stem.removeprefix("heard_")
        rows = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
        rows = [row for row in rows if row["part"] == wanted.part and row.get("gold")]
        reads: dict[str, Callable[[dict[str, Any]], Exams]] = {
            "heard": lambda row, name=listener: draft_record(extractor.heard(utterances(row, name)))["exams"],
            "true": lambda row: draft_record(extractor.text(row["text"]))["exams"],
        }
        for kind, read in reads.items():
            wrong: dict[str, set[Any]] = {}
            for name, (mending, repairing) in ways.items():
                Misheard.mend, Repairer._best = mending, repairing  # type: ignore[method-assign]
                extractor.maker.repairer.best = extractor.maker.repairer._best  # type: ignore[method-assign]  # keeps nothing
                f = figures(rows, read)
                wrong[name] = {(key, tag, core) for key, tag, core in f.wrong if key not in held}
                report.setdefault(f"{listener}, {kind}", {"texts": len(rows)})[name] = {
                    "findings": round(f.f1("findings"), 4),
                    "signs": round(f.f1("signs"), 4),
                    "sure": f.count["sure"],
                    "sure wrong": f.count["sure"] - f.count["sure and right"],
                    "not said": f.count["findings found"] - f.count["findings shared"],
                }
            for mark, some in (("mended", wrong["none"] - wrong["both"]), ("harmed", wrong["both"] - wrong["none"])):
                for key, tag, core in sorted(some, key=str)[: wanted.show]:
                    print(listener, kind, mark, key, tag, *core, sep=" | ")
    print(json.dumps(report, indent=1))


if __name__ == "__main__":
    main()
