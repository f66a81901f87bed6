"""Learn from what recognisers heard which words they mistake for trade words, and write lexicon/misheard.toml.

    python tests/benchmarks/learn_misheard.py FOLDER [--show]

FOLDER is made by say_and_hear.py; only its part "learn" is read. True and heard words are aligned; where a
trade word was said and something else heard that sounds alike, the pair is kept, with the everyday words that
differ from a region or thing in one neighbouring sound. `say`: a word of no language, and nearly always the trade
word; `perhaps`: all others, where the words around decide (dictate/extraction/misheard.py).
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

import pocketsphinx
from labelled import cases
from rapidfuzz.distance import Levenshtein

from dictate.extraction.tokens import tokenise
from dictate.speech.general_english import read_general
from dictate.speech.pocketsphinx_model import read_dictionary
from dictate.vocabulary import load_vocabulary
from dictate.vocabulary.pronunciations import Pronouncer

ALIKE = 0.4  # the farthest that said and heard may be apart, in sounds out of sounds
OFTEN = 0.9  # `say`: meant at least so often where it was heard
SELDOM = 0.04  # heard in its own sense oftener than this leaves it alone
COMMON = 3e-4  # words of everyday English commoner than this are left alone
NEAR_COMMON = 1e-6  # words that nobody says are no neighbours
TARGET = Path(__file__).resolve().parents[2] / "lexicon" / "misheard.toml"
MODEL = Path(pocketsphinx.get_model_path("en-us"))
KINDS = ("region", "sign")
# Sounds taken for one another: of one place or manner, or neighbouring vowels (general phonetics).
HEADER = """
# What recognisers write where a trade word was said. Made by tests/benchmarks/learn_misheard.py from their own
# output on synthetic speech, and from everyday words that differ in one neighbouring sound. `say`: never meant
# otherwise; `perhaps`: ordinary words, taken for the trade word only where the words around leave no other sense.
"""
NEIGHBOURS = [
    set(group.split())
    for group in (
        "P B",
        "T D",
        "K G",
        "F V",
        "V W",
        "V B",
        "TH F",
        "DH TH",
        "S Z",
        "SH CH",
        "CH JH",
        "S SH",
        "S TH",
        "M N",
        "N NG",
        "L W",
        "R W",
        "P K",
        "P T",
        "T K",
        "IY IH",
        "IH EH",
        "EH AE",
        "AE AH",
        "AA AH",
        "AA AO",
        "AO OW",
        "UH UW",
        "EH EY",
        "ER AO",
        "AA AE",
        "OW AO",
        "AH OW",
        "AY AA",
    )
]


def english() -> dict[str, tuple[str, ...]]:
    """The CMU Pronouncing Dictionary that comes with pocketsphinx."""
    return read_dictionary(MODEL / "cmudict-en-us.dict")


def words(text: str) -> list[str]:
    return [t.low for t in tokenise(text) if t.kind == "word"]


def pairs(rows: Iterator[dict[str, Any]]) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """(said, heard) of every stretch that differs, word by word where as many; (x, x) of every word that is right."""
    for row in rows:
        said = words(row["text"])
        heard = words(" ".join(w[0] for u in row["heard"] for w in u))
        for code in Levenshtein.opcodes(said, heard):
            one, other = tuple(said[code.src_start : code.src_end]), tuple(heard[code.dest_start : code.dest_end])
            if code.tag == "equal":
                yield from (((w,), (w,)) for w in one)
            elif code.tag == "replace" and len(one) == len(other):
                yield from (((a,), (b,)) for a, b in zip(one, other, strict=True))
                if len(one) == 2:
                    yield one, other
            elif code.tag == "replace":
                yield one, other


def same_stem(one: str, other: str) -> bool:
    """claw and claws, empty and emptied: forms of one word, which the lexicon is to have."""
    short, long = sorted((one, other), key=len)
    return len(short) > 2 and long.startswith(short[:-1]) and len(long) - len(short) <= 3 and len(short) != len(long)


def distance(one: list[str], other: list[str]) -> float:
    """How far two words are apart: changed sounds, neighbours half, out of the longer one's."""
    last = [float(n) for n in range(len(other) + 1)]
    for i, a in enumerate(one, 1):
        row = [float(i)]
        for j, b in enumerate(other, 1):
            changed = 0.0 if a == b else 0.5 if any(a in g and b in g for g in NEIGHBOURS) else 1.0
            row.append(min(last[j] + 1, row[-1] + 1, last[j - 1] + changed))
        last = row
    return last[-1] / max(len(one), len(other))


def neighbours(word: str, sounds: Pronouncer, by_gap: dict[tuple[str, ...], list[tuple[str, str]]]) -> list[str]:
    """Everyday words that differ from a trade word in one sound, and that a neighbouring one.

    `by_gap`: for the sounds of a word with one left out ("V _ N T"), the words and the sound they have there.
    """
    phones = sounds.ways(word)[0].split()
    return [
        other
        for n, mine in enumerate(phones)
        for other, its in by_gap.get((*phones[:n], "_", *phones[n + 1 :]), ())
        if other != word and mine != its and any(mine in group and its in group for group in NEIGHBOURS)
    ]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--show", action="store_true", help="print the pairs with their counts, write nothing")
    wanted = parser.parse_args()
    vocabulary = load_vocabulary()
    dictionary = english()
    sounds = Pronouncer(dictionary, vocabulary)
    meanings: dict[str, set[str]] = defaultdict(set)
    for phrase, m in vocabulary.phrases():
        if m.kind != "bird" or vocabulary.birds[m.id].role != "given":
            meanings[phrase.lower()].add(f"{m.kind} {m.form}")
    trade = {
        word
        for word, kinds in meanings.items()
        if word.isalpha()
        and any(k.split()[0] in KINDS and k.split()[1] in ("say", "plural", "noun", "on") for k in kinds)
    }
    true_text = Counter(w for item in cases(split="tune") for w in words(item["text"]))
    total = sum(true_text.values())
    general = read_general(MODEL / "en-us.lm.bin")
    common = general.commonness() if general else {}
    counts: Counter[tuple[str, str]] = Counter()
    heard_at_all: Counter[str] = Counter()
    for path in sorted(wanted.folder.glob("heard_*.jsonl")):
        rows = (json.loads(line) for line in path.read_text(encoding="utf-8").splitlines())
        for said, heard in pairs(row for row in rows if row["part"] == "learn"):
            if len(said) == len(heard) == 1:
                heard_at_all[heard[0]] += 1
                counts[said[0], heard[0]] += said != heard
    say: dict[str, list[str]] = defaultdict(list)
    perhaps: dict[str, list[str]] = defaultdict(list)

    def may_mean(word: str) -> bool:
        return (
            word not in meanings
            and len(word) > 2
            and word.isalpha()
            and true_text[word] < SELDOM / 40 * total
            and common.get(word, 0.0) < COMMON
        )

    for (said, heard), n in counts.most_common():
        apart = distance(sounds.ways(said)[0].split(), sounds.ways(heard)[0].split())
        if not n or said not in trade or not may_mean(heard) or apart > ALIKE or same_stem(said, heard):
            continue
        if wanted.show:
            print(n, heard_at_all[heard], said, "<-", heard, round(apart, 2))
        unknown = heard not in common and not true_text[heard]
        always = unknown and n / heard_at_all[heard] >= OFTEN and apart <= ALIKE / 2
        (say if always else perhaps)[said].append(heard)
    by_gap: dict[tuple[str, ...], list[tuple[str, str]]] = defaultdict(list)
    for word, ways in dictionary.items():
        if may_mean(word) and common.get(word, 0.0) > NEAR_COMMON:
            phones = ways[0].split()
            for n, sound in enumerate(phones):
                by_gap[(*phones[:n], "_", *phones[n + 1 :])].append((word, sound))
    for word in sorted(trade):
        if any(k in ("region say", "region plural", "sign noun") for k in meanings[word]) and len(word) >= 3:
            more = neighbours(word, sounds, by_gap)
            perhaps[word] += [w for w in more if w not in perhaps[word] and not same_stem(word, w)]
    if wanted.show:
        return
    lines = HEADER.strip().splitlines()
    for word in sorted({*say, *perhaps}):
        if say[word] or perhaps[word]:
            lines += ["", "[[misheard]]", f"id = {json.dumps(word)}"]
            lines += [f"say = {json.dumps(sorted(say[word]))}"] if say[word] else []
            lines += [f"perhaps = {json.dumps(sorted(perhaps[word]))}"] if perhaps[word] else []
    TARGET.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
