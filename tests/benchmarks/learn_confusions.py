"""How a recogniser writes the sounds it hears, learned from talk whose words are known.

    python tests/benchmarks/learn_confusions.py FOLDER [FOLDER …] --keep FOLDER [--listener whisper]
        > lexicon/confusions.toml

A FOLDER is made by tests/benchmarks/speak_labelled.py. What was said and what was written are turned into
sounds, laid beside one another (edit distance, then twice anew by the costs just learned), and counted.
A share is (count + MEMORY × what is expected of sounds alike) ÷ (times meant + MEMORY). Voices that
learned here may not be used to report how well hearing works.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path

from spoken import Ear

from dictate.fusion.sounds import Sounds
from dictate.fusion.written import Writing
from dictate.model import Utterance, Word
from dictate.vocabulary import load_vocabulary
from dictate.vocabulary.pronunciations import PHONES
from dictate.vocabulary.spoken_numbers import NumberSpeller

MEMORY = 20.0
LEAST = 0.0006  # rarer than that is never
ALIKE = [group.split() for group in (
    "P B", "T D", "K G", "F V TH DH", "S Z SH ZH", "CH JH SH ZH", "M N NG", "L R W Y", "P T K", "B D G", "T D N L",
    "AA AO AH", "AE EH AH", "IH IY EY EH", "UH UW OW", "AW AA OW", "AY AA IH", "OY AO", "ER R AH", "AH IH UH EH",
    "EY AE EH AY", "D DH", "T TH",
)]
VOWELS = frozenset("AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW".split())

Cost = Callable[[str | None, str | None], float]


def expected(meant: str) -> dict[str, float]:
    """What else a sound is written as, by how alike the two are made: parts of one."""
    odds = {
        written: 0.02 + 0.1 * ((written in VOWELS) == (meant in VOWELS))
        + sum(written in group and meant in group for group in ALIKE)
        for written in PHONES if written != meant
    }
    whole = sum(odds.values())
    return {written: odd / whole for written, odd in odds.items()}


def beside(meant: Sequence[str], written: Sequence[str], cost: Cost) -> list[tuple[str | None, str | None]]:
    """The cheapest way to lay two rows of sounds beside one another; None where one has nothing."""
    rows = [[0.0]]
    for sound in written:
        rows[0].append(rows[0][-1] + cost(None, sound))
    for a in meant:
        above, lost = rows[-1], cost(a, None)
        row = [above[0] + lost]
        for j, b in enumerate(written):
            row.append(min(above[j] + cost(a, b), above[j + 1] + lost, row[j] + cost(None, b)))
        rows.append(row)
    out: list[tuple[str | None, str | None]] = []
    i, j = len(meant), len(written)
    while i or j:
        here = rows[i][j]
        if i and j and math.isclose(here, rows[i - 1][j - 1] + cost(meant[i - 1], written[j - 1])):
            i, j = i - 1, j - 1
            out.append((meant[i], written[j]))
        elif i and math.isclose(here, rows[i - 1][j] + cost(meant[i - 1], None)):
            i -= 1
            out.append((meant[i], None))
        else:
            j -= 1
            out.append((None, written[j]))
    return out[::-1]


class Shares:
    """What was counted, as shares."""

    def __init__(self, rows: Sequence[tuple[Sequence[str], Sequence[str]]], cost: Cost) -> None:
        swap: dict[str, Counter[str]] = defaultdict(Counter)
        lost, added, meant = Counter[str](), Counter[str](), Counter[str]()
        for a, b in rows:
            for said, written in beside(a, b, cost):
                if said is None:
                    added[str(written)] += 1
                    continue
                meant[said] += 1
                if written is None:
                    lost[said] += 1
                else:
                    swap[said][written] += 1
        total = meant.total()
        none = lost.total() / total
        wrong = 1 - sum(swap[sound][sound] for sound in PHONES) / total - none
        self.total, self.wrong, self.none = total, wrong, none
        self.lost = {s: (lost[s] + MEMORY * none) / (meant[s] + MEMORY) for s in sorted(PHONES)}
        self.added = {s: (added[s] + 1) / (added.total() + len(PHONES)) * added.total() / total for s in sorted(PHONES)}
        self.swap = {}
        for sound in sorted(PHONES):
            prior = {other: wrong * share for other, share in expected(sound).items()} | {sound: 1 - wrong - none}
            self.swap[sound] = {
                other: (swap[sound][other] + MEMORY * share) / (meant[sound] + MEMORY) for other, share in prior.items()
            }

    def cost(self, meant: str | None, written: str | None) -> float:
        if meant is None:
            return -math.log(self.added[str(written)])
        return -math.log(self.lost[meant] if written is None else self.swap[meant][written])


def first_cost(meant: str | None, written: str | None) -> float:
    if meant is None or written is None:
        return 1.0
    return 0.0 if meant == written else 0.8 if any(meant in g and written in g for g in ALIKE) else 1.2


def main() -> int:
    layout = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=layout)
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--listener", default="whisper")
    parser.add_argument("--limit", type=int)
    args = parser.parse_args()
    vocabulary = load_vocabulary()
    sounds = Sounds(vocabulary)
    writing = Writing(NumberSpeller(vocabulary.numbers.values()), sounds.first)
    rows, voices = [], set()
    with tempfile.TemporaryDirectory() as made:
        ear = Ear(args.listener, vocabulary, args.keep or Path(made), args.keep)
        for folder in args.folders:
            for row in map(json.loads, (folder / "index.jsonl").read_text(encoding="utf-8").splitlines()[: args.limit]):
                words = tuple(Word(w, 0.0, 0.0, 1.0) for _, _, said in row["phrases"] for w in said.split())
                meant = [s for word in writing.read([Utterance(words, "typed")]) for s in word.sounds]
                written = [s for word in writing.read(ear.hear(folder / row["wav"])[0]) for s in word.sounds]
                if abs(len(meant) - len(written)) < 0.3 * len(meant):
                    rows.append((meant, written))
                    voices.add(row["voice"])
    cost: Cost = first_cost
    for _ in range(3):
        shares = Shares(rows, cost)
        cost = shares.cost
    print("# How a recogniser that does not know the trade's words writes the sounds it hears. Made by")
    print(f"# tests/benchmarks/learn_confusions.py with {args.listener}, {shares.total} sounds of {len(rows)} texts")
    print(f"# by the voices {', '.join(sorted(voices))};")
    print(f"# {shares.wrong:.1%} were written as another sound, {shares.none:.1%} not at all.")
    print("# Not to be changed by hand.")
    for sound in sorted(PHONES):
        kept = sorted(shares.swap[sound].items(), key=lambda item: -item[1])
        listed = ", ".join(f'"{other} {share:.4f}"' for other, share in kept if share >= LEAST)
        print(f'\n[[confusion]]\nid = "{sound}"\nwritten = [{listed}]')
        print(f"lost = {shares.lost[sound]:.5f}\nadded = {shares.added[sound]:.6f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
