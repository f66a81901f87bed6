"""How well a listener hears: word error, trade terms, time and memory, as one JSON object.

    python tests/benchmarks/hearing.py FOLDER [FOLDER …] [--listener NAME] [--limit N] [--worst N]

A FOLDER holds index.jsonl and the WAV files it names: {"wav", "voice", "style"?, "noise", "snr",
"phrases": [[start, end, words], …]}. Numbers are compared in words. A trade term is a way of saying a
region or a sign; recall is the share of those spoken that are heard (as often as spoken, in the same
recording), false terms the share of those heard that were not spoken.
"""

from __future__ import annotations

import argparse
import json
import re
import resource
import sys
import tempfile
import time
from collections import Counter, defaultdict
from pathlib import Path

from num2words import num2words
from rapidfuzz.distance import Levenshtein

from dictate.speech import ListenerOptions, hear, open_listener
from dictate.vocabulary import Vocabulary, load_vocabulary


def plain(text: str) -> list[str]:
    """Words for comparison: small letters, numbers in words, no other marks."""
    text = text.lower().replace("’", "'").replace("%", " percent ")
    text = re.sub(r"(?<=\d),(?=\d{3}\b)", "", text)
    text = re.sub(r"\d+(?:\.\d+)?", lambda m: f" {num2words(m[0])} ".replace(",", "").replace("-", " "), text)
    return re.findall(r"[a-z]+(?:'[a-z]+)*", text)


class Terms:
    """Finds trade terms in a list of words, longest first."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        phrases = {
            tuple(plain(phrase)) for phrase, meaning in vocabulary.phrases()
            if meaning.kind in ("region", "sign") and meaning.form in ("say", "plural", "noun", "on", "parts")
        }
        self.phrases = {phrase for phrase in phrases if phrase}
        self.longest = max(map(len, self.phrases))

    def count(self, words: list[str]) -> Counter[tuple[str, ...]]:
        found: Counter[tuple[str, ...]] = Counter()
        at = 0
        while at < len(words):
            for length in range(self.longest, 0, -1):
                if (phrase := tuple(words[at : at + length])) in self.phrases and len(phrase) == length:
                    found[phrase] += 1
                    at += length
                    break
            else:
                at += 1
        return found


class Tally:
    """Sums over recordings."""

    def __init__(self) -> None:
        self.words = self.errors = self.spoken = self.heard = self.right = 0
        self.sound = self.time = 0.0

    def figures(self) -> dict[str, float]:
        return {
            "recordings_s": round(self.sound, 1),
            "word_error": round(self.errors / max(1, self.words), 4),
            "term_recall": round(self.right / max(1, self.spoken), 4),
            "false_terms": round(1 - self.right / max(1, self.heard), 4),
            "real_time_factor": round(self.time / max(0.1, self.sound), 4),
        }


def main() -> int:
    layout = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=layout)
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--listener", default="pocketsphinx")
    parser.add_argument("--limit", type=int)
    parser.add_argument("--worst", type=int, default=0, help="list the words most often missed")
    parser.add_argument("--whisper-model", type=Path)
    args = parser.parse_args()

    vocabulary = load_vocabulary()
    terms = Terms(vocabulary)
    with tempfile.TemporaryDirectory() as cache:
        options = ListenerOptions(cache=Path(cache), whisper_model=args.whisper_model)
        started = time.perf_counter()
        listener = open_listener(args.listener, vocabulary, options)
        first = time.perf_counter() - started
        started = time.perf_counter()
        listener = open_listener(args.listener, vocabulary, options)
        again = time.perf_counter() - started
        tallies: dict[str, Tally] = defaultdict(Tally)
        missed: Counter[str] = Counter()
        for folder in args.folders:
            lines = (folder / "index.jsonl").read_text(encoding="utf-8").splitlines()[: args.limit]
            for row in map(json.loads, lines):
                started = time.perf_counter()
                heard = hear(folder / row["wav"], [listener])
                took = time.perf_counter() - started
                wanted = plain(" ".join(words for _, _, words in row["phrases"]))
                got = plain(heard.text(args.listener))
                spoken, found = terms.count(wanted), terms.count(got)
                sound = f"{row['noise']} {row['snr']:g} dB" if row.get("noise") else "clean"
                for edit in Levenshtein.editops(wanted, got):
                    if edit.tag != "insert":
                        missed[wanted[edit.src_pos]] += 1
                for name in ("all", f"voice {row['voice']}", f"sound {sound}"):
                    tally = tallies[name]
                    tally.words += len(wanted)
                    tally.errors += Levenshtein.distance(wanted, got)
                    tally.spoken += spoken.total()
                    tally.heard += found.total()
                    tally.right += (spoken & found).total()
                    tally.sound += heard.seconds
                    tally.time += took
    unit = 1 if sys.platform == "darwin" else 1024
    record = {
        "listener": args.listener,
        "first_start_s": round(first, 2),
        "next_start_s": round(again, 2),
        "peak_memory_mb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 1e6),
        **{name: tally.figures() for name, tally in sorted(tallies.items())},
    }
    if args.worst:
        record["most_missed"] = missed.most_common(args.worst)
    print(json.dumps(record, indent=1))
    return 0


if __name__ == "__main__":
    sys.exit(main())
