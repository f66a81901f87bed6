"""Read random and mutated texts and check that none fails and every place is right.

    python tests/benchmarks/mutated_texts.py [NUMBER] [--seed N]

A quarter are random characters, a quarter trade words in any order, half are labelled texts with words lost,
doubled, swapped, cut or torn. Prints a JSON line: texts read, seconds, failures by kind, and the shortest
text of each kind. Exit status 1 if there is any.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "extraction"))

from test_properties import check_places, labelled_texts, mutated, words_of_the_trade

from dictate.extraction.assemble import Extractor
from dictate.vocabulary import load_vocabulary


def odd(rng: random.Random) -> str:
    """Characters from all over, letters and marks more often."""
    def one() -> str:
        kind = rng.random()
        if kind < 0.5:
            return chr(rng.randrange(32, 127))
        code = rng.randrange(0x3000) if kind < 0.9 else rng.randrange(0x20000)
        return " " if 0xD800 <= code < 0xE000 else chr(code)

    return "".join(one() for _ in range(rng.randrange(120)))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("number", nargs="?", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    rng = random.Random(wanted.seed)
    extractor, phrases, texts = Extractor(load_vocabulary()), words_of_the_trade(), labelled_texts()
    failures: Counter[str] = Counter()
    shortest: dict[str, str] = {}
    begun = time.perf_counter()
    for n in range(wanted.number):
        if n % 4 == 0:
            text = odd(rng)
        elif n % 4 == 1:
            text = " ".join(rng.choice(phrases) for _ in range(rng.randrange(40)))
        else:
            text = mutated(rng.choice(texts), rng)
        try:
            check_places(extractor.text(text))
        except Exception as fault:  # whatever it is, it is a failure to be counted
            where = fault.__traceback__
            while where and where.tb_next:
                where = where.tb_next
            line = f"{Path(where.tb_frame.f_code.co_filename).name}:{where.tb_lineno}" if where else ""
            kind = f"{type(fault).__name__} at {line}"
            failures[kind] += 1
            if len(text) < len(shortest.get(kind, text + " ")):
                shortest[kind] = text
    seconds = round(time.perf_counter() - begun, 1)
    print(json.dumps({"texts": wanted.number, "seconds": seconds, "failures": failures, "shortest": shortest}))
    raise SystemExit(bool(failures))


if __name__ == "__main__":
    main()
