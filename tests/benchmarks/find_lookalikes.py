"""Make lexicon/lookalikes.toml again: English words that are nearly trade words and must not be taken for them.

usage: python tests/benchmarks/find_lookalikes.py > lexicon/lookalikes.toml

Source of the English words: the CMU Pronouncing Dictionary carried by pocketsphinx's wheel (BSD licence; it has
common first names too, which is wanted).
"""

from __future__ import annotations

import json
from pathlib import Path

import pocketsphinx
from rapidfuzz import process
from rapidfuzz.distance import DamerauLevenshtein

from dictate.extraction.repair import SHORTEST, Repairer
from dictate.vocabulary import load_vocabulary


def main() -> None:
    repairer = Repairer(load_vocabulary())
    path = Path(pocketsphinx.get_model_path()) / "en-us" / "cmudict-en-us.dict"
    english = sorted({line.split("(")[0].split(" ")[0] for line in path.read_text(encoding="utf-8").splitlines()})
    every = sorted({*repairer.targets, *(w for w in repairer.guarded if w in repairer.known)})
    out = []
    for word in english:
        if len(word) < SHORTEST or not word.isalpha() or word in repairer.known:
            continue
        reach = 1 if len(word) <= 7 else 2
        hit = process.extractOne(word, every, scorer=DamerauLevenshtein.distance, score_cutoff=reach)
        if hit:
            out.append(word)
    print("# English words and names that are nearly trade words: never taken for slips of them.")
    print("# Made by tests/benchmarks/find_lookalikes.py from the CMU Pronouncing Dictionary; add your own below.\n")
    print('[[lookalike]]\nid = "english"\nsay = [')
    for i in range(0, len(out), 12):
        print("  " + ", ".join(json.dumps(w) for w in out[i : i + 12]) + ",")
    print("]")


if __name__ == "__main__":
    main()
