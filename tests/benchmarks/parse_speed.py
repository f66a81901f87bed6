"""Time and memory of understanding, on one core, as a JSON line.

    python tests/benchmarks/parse_speed.py [--texts N] [--longest WORDS]

Milliseconds for an 80-word narration: the median over many different texts, each read once (nothing can have
been kept from before), and the 95th of a hundred. Then the growth with length up to 100,000 words (a text of
k times the words should take k times as long), and the memory that adds. Texts are made from our labelled
cases by putting sentences of different ones together; the seed is fixed.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import resource
import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from labelled import cases

from dictate.extraction.assemble import Extractor
from dictate.vocabulary import load_vocabulary

WORDS = 80
LENGTHS = (1_000, 5_000, 20_000, 100_000)


def narrations(number: int, rng: random.Random) -> list[str]:
    """Different texts of 80 words: a stretch of one narration, gone on with a stretch of another."""
    whole = [item["text"].split() for item in cases("narrations")]
    made = []
    for _ in range(number):
        words: list[str] = []
        while len(words) < WORDS:
            words += rng.choice(whole)
        start = rng.randrange(len(words) - WORDS + 1)
        made.append(" ".join(words[start : start + WORDS]))
    return made


def milliseconds(extractor: Extractor, text: str) -> float:
    begun = time.process_time()
    extractor.text(text)
    return 1000 * (time.process_time() - begun)


def peak() -> float:
    """Megabytes this process has taken at most."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--texts", type=int, default=400)
    parser.add_argument("--longest", type=int, default=LENGTHS[-1], metavar="WORDS")
    wanted = parser.parse_args()
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    rng = random.Random(80)
    begun = time.perf_counter()
    extractor = Extractor(load_vocabulary())
    loading = time.perf_counter() - begun
    texts = narrations(wanted.texts, rng)
    extractor.text("warm up")
    times = sorted(milliseconds(extractor, text) for text in texts)
    at_rest = peak()
    lengths = [n for n in LENGTHS if n <= wanted.longest] or [LENGTHS[0]]
    longs = {n: " ".join(narrations(n // WORDS + 1, rng)).split()[:n] for n in lengths}
    seconds = {n: milliseconds(extractor, " ".join(words)) / 1000 for n, words in longs.items()}
    per_word = {n: 1e6 * s / n for n, s in seconds.items()}
    print(json.dumps({
        "80 words, ms, median": round(statistics.median(times), 2),
        "80 words, ms, 95 of 100": round(times[int(0.95 * len(times))], 2),
        "texts": len(times),
        "loading, s": round(loading, 2),
        "microseconds a word": {str(n): round(v, 1) for n, v in per_word.items()},
        "a word of the longest against one of the shortest": round(per_word[lengths[-1]] / per_word[lengths[0]], 2),
        "memory, MB": round(at_rest), "memory with the longest, MB": round(peak()),
    }))


if __name__ == "__main__":
    main()
