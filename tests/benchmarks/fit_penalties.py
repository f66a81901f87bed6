"""Fit the penalties of dictate/extraction/penalties.toml on labelled talk.

usage: python tests/benchmarks/fit_penalties.py [DEV.jsonl] [--write]

A logistic regression (ridge, plain gradient steps) on the named signals of each finding, right or wrong by
its label. Its weights are laid on a scale where a finding is `sure` (score .85) exactly from the probability
that keeps the sure ones right as promised (.985 on the texts fitted). Fitted on the cases of split "tune" and, of the
file given, the odd items; what is printed for "held" was not fitted.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))
import labelled

from dictate.extraction.assemble import Extractor
from dictate.extraction.scoring import SURE
from dictate.model import draft_record
from dictate.vocabulary import load_vocabulary

PROMISE = 0.977
TARGET = Path(__file__).parents[2] / "dictate" / "extraction" / "penalties.toml"


def key(finding: dict[str, Any], side: str | None) -> tuple[Any, ...]:
    return (finding["region"], side, finding["sign"], finding.get("presence", "present"), finding.get("when", "now"))


def cores(finding: dict[str, Any]) -> list[tuple[Any, ...]]:
    sides = ["left", "right"] if finding.get("side") == "both" else [finding.get("side")]
    return [key(finding, side) for side in sides]


def rows(extractor: Extractor, items: list[dict[str, Any]]) -> tuple[list[set[str]], list[int]]:
    """The signals of every finding and whether its label has it (in any exam of the item)."""
    names: list[set[str]] = []
    right: list[int] = []
    seen: list[list[str]] = []
    import dictate.extraction.scoring as scoring

    original = scoring.signals

    def spy(*args: Any) -> list[str]:
        out = original(*args)
        seen.append(out)
        return out

    scoring.signals = spy
    try:
        for item in items:
            gold = Counter(c for exam in item["gold"]["exams"] for f in exam["findings"] for c in cores(f))
            seen.clear()
            draft = extractor.text(item["text"])
            found = [f for exam in draft_record(draft)["exams"] for f in exam["findings"]]
            signs = extractor.vocabulary.signs
            for finding, named in zip(found, seen, strict=True):
                usual = signs[finding["sign"]].usual
                rare = {"rare on this region"} if usual and finding["region"] not in usual else set()
                names.append({n for n in named if n} | rare)
                right.append(int(all(gold[c] > 0 for c in cores(finding))))
    finally:
        scoring.signals = original
    return names, right


def fit(names: list[set[str]], right: list[int]) -> tuple[list[str], np.ndarray, float]:
    """Weights (never rewarding) of each signal, and the intercept."""
    columns = sorted({n for row in names for n in row})
    x = np.zeros((len(names), len(columns)))
    for i, row in enumerate(names):
        for name in row:
            x[i, columns.index(name)] = 1
    y = np.array(right)
    weights, base = np.zeros(len(columns)), 2.0
    for _ in range(6000):
        p = 1 / (1 + np.exp(-(base + x @ weights)))
        slope = x.T @ (p - y) / len(y) + 0.0015 * weights
        weights = np.minimum(weights - 0.8 * slope, 0)  # a signal may only take away
        base -= 0.8 * float((p - y).mean())
    return columns, weights, base


def main() -> None:
    write = "--write" in sys.argv
    paths = [a for a in sys.argv[1:] if not a.startswith("--")]
    dev = [json.loads(line) for path in paths for line in Path(path).read_text(encoding="utf-8").splitlines()]
    extractor = Extractor(load_vocabulary())
    tune = [*labelled.cases(split="tune"), *(d for d in dev if int(d["id"][-3:]) % 2)]
    held = [*labelled.cases(split="held"), *(d for d in dev if not int(d["id"][-3:]) % 2)]
    names, right = rows(extractor, tune)
    columns, weights, base = fit(names, right)
    worth = {c: float(w) for c, w in zip(columns, weights, strict=True)}
    logit = np.array([base + sum(worth[n] for n in row) for row in names])
    order = np.argsort(-logit)
    share = np.cumsum(np.array(right)[order]) / np.arange(1, len(right) + 1)
    good = np.nonzero(share >= PROMISE)[0]
    cut = float(logit[order][good[-1]]) if len(good) else float(logit.max())
    unit = (1 - SURE) / max(base - cut, 1e-6)  # the score falls from 1 to SURE between the base and the cut
    amounts = {c: round(-w * unit, 3) for c, w in sorted(worth.items(), key=lambda t: t[1]) if -w * unit >= 0.004}

    def report(name: str, sets: list[set[str]], ok: list[int]) -> dict[str, Any]:
        score = np.array([1 - sum(amounts.get(n, 0) for n in row) for row in sets])
        sure = score >= SURE - 1e-9
        y = np.array(ok)
        return {
            "set": name, "findings": len(y), "right": round(float(y.mean()), 4),
            "sure_share": round(float(sure.mean()), 4),
            "sure_right": round(float(y[sure].mean()), 4) if sure.any() else None,
        }

    print(json.dumps(report("tune", names, right)))
    parts = {
        "held cases": [h for h in held if "about" in h],
        "held half of the file": [h for h in held if "about" not in h],
    }
    for name, items in parts.items():
        if items:
            print(json.dumps(report(name, *rows(extractor, items))))
    if write:
        lines = ["# What each signal takes off the score of a finding (1 is certain; sure from .85).",
                 "# Fitted by tests/benchmarks/fit_penalties.py; not to be changed by hand.", "", "[penalty]"]
        lines += [f"{json.dumps(name)} = {amount}" for name, amount in amounts.items()]
        old = TARGET.read_text(encoding="utf-8")
        heard = old[old.index("\n# Heard speech") :]  # that part is not fitted here
        TARGET.write_text("\n".join(lines) + "\n" + heard, encoding="utf-8")
    else:
        print(json.dumps(amounts, indent=1))


if __name__ == "__main__":
    main()
