"""Vignettes of concern through parser, log and rules: how many get their level, and which way the others err.

    python tests/benchmarks/concerns.py [FILE.toml ...]

Without a file: tests/care/vignettes.toml (rules were made with them) and tests/care/unseen_vignettes.toml
(only counted). "too low" is false calm, "too high" false alarm; denied, past and taught must give nothing.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from vignettes import VARIANTS, Case, cases, judge, verdict  # noqa: E402

from dictate.log import FlockLog  # noqa: E402

ORDER = ["none", "asked", "watch", "vet", "authority"]


def main(paths: list[Path]) -> None:
    for path in paths:
        all_cases = cases(path)
        with tempfile.TemporaryDirectory() as folder, FlockLog.open(Path(folder) / "flock.db") as log:
            found = judge(all_cases, log)
        count: Counter[str] = Counter()
        for case in all_cases:
            level = verdict(found[case.name, case.variant])
            count[case.variant] += 1
            count[f"{case.variant} right"] += level in case.levels
            count[_error(case, level)] += 1
        print(f"{path.name}: levels {count['said right']} of {count['said']} "
              f"({count['too low']} too low, {count['too high']} too high); "
              + ", ".join(f"{v} {count[f'{v} right']} of {count[v]}" for v in VARIANTS))


def _error(case: Case, level: str) -> str:
    if level in case.levels or case.variant != "said":
        return "other"
    return "too low" if ORDER.index(level) < min(map(ORDER.index, case.levels)) else "too high"


if __name__ == "__main__":
    here = ROOT / "tests" / "care"
    main([Path(name) for name in sys.argv[1:]] or [here / "vignettes.toml", here / "unseen_vignettes.toml"])
