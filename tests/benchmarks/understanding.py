"""How well narrations are understood: figures by set and style, by region, and by kind of error, as JSON.

    python tests/benchmarks/understanding.py [LABELLED.jsonl …] [--errors N]

Our own cases (tests/cases) are the sets "tune" and "held"; each LABELLED.jsonl is a set of its own. The floors
in tests/extraction/test_labelled_cases.py are taken from here. `--errors N` lists the first N wrong findings.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from labelled import cases
from scoring_of_records import Figures, read_labelled

from dictate.extraction.assemble import Extractor
from dictate.model import draft_record
from dictate.vocabulary import load_vocabulary


def sets(files: list[Path]) -> Iterator[tuple[str, dict[str, Any]]]:
    """(name of the set, item) of our own cases and of the files."""
    for item in cases():
        yield item["split"], item
    for path in files:
        for item in read_labelled(path):
            yield path.stem, item


def by_kind(wrong: list[tuple[str, str, Any]]) -> dict[str, int]:
    """Missing and unwanted findings put together where they differ in one thing only."""
    kinds: Counter[str] = Counter()
    left: dict[str, list[Any]] = defaultdict(list)
    for key, tag, core in wrong:
        if tag == "too many":
            left[key].append(core)
    for key, tag, core in wrong:
        if tag != "missing":
            continue
        for other in left[key]:
            apart = [name for name in core._fields if getattr(core, name) != getattr(other, name)]
            if len(apart) == 1:
                kinds[f"another {apart[0]}"] += 1
                left[key].remove(other)
                break
        else:
            kinds["missing"] += 1
    kinds["not said"] += sum(len(rest) for rest in left.values())
    return dict(kinds.most_common())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--errors", type=int, default=0)
    wanted = parser.parse_args()
    extractor = Extractor(load_vocabulary())
    by_style: dict[str, dict[str, Figures]] = defaultdict(lambda: defaultdict(Figures))
    texts: dict[str, str] = {}
    for name, item in sets(wanted.files):
        made = draft_record(extractor.text(item["text"]))["exams"]
        texts[item["id"]] = item["text"]
        for style in ("all", item["style"]):
            by_style[name][style].add(item["id"], item["gold"]["exams"], made)
    report: dict[str, Any] = {}
    for name, styles in by_style.items():
        whole = styles["all"]
        regions = Counter(core.region for _, _, core in whole.wrong)
        report[name] = {
            "styles": {
                style: {"texts": f.count["texts"], **{k: round(v, 3) for k, v in f.table().items()}}
                for style, f in sorted(styles.items())
            },
            "turned round and sure": {
                "absence": whole.count["absence turned, sure"], "side": whole.count["side turned, sure"],
                "of": whole.count["sure"],
            },
            "wrong by kind": by_kind(whole.wrong), "wrong by region": dict(regions.most_common()),
        }
    print(json.dumps(report, indent=1, ensure_ascii=False))
    for name in by_style:
        for key, tag, core in by_style[name]["all"].wrong[: wanted.errors]:
            print(f"{name} {key} {tag}: {' | '.join(str(part) for part in core)}\n    {texts[key][:300]}")


if __name__ == "__main__":
    main()
