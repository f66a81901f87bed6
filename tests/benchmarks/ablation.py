"""What each mechanism of the parser adds: F1 of findings lost when it is switched off, as JSON.

    python tests/benchmarks/ablation.py [LABELLED.jsonl …] [--only NAME …]

Over our own cases ("tune", "held") and each file given. A mechanism is switched off by leaving its words out
of the vocabulary or by putting another function in the place of its own; the rest stays as it is, so that
the losses do not add up. A negative figure means that the texts are understood better without it; "texts
changed" counts those of all sets that are understood otherwise, better or worse.
"""

from __future__ import annotations

import argparse
import importlib
import json
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.understanding import sets
from scoring_of_records import Figures, stated

from dictate.extraction.assemble import Extractor
from dictate.model import draft_record
from dictate.vocabulary import Vocabulary, load_vocabulary
from dictate.vocabulary.entries import BLOCKS, CueRule, Entry, Sign

Keep = Callable[[str, Entry], Entry | None]


def no_cues(*categories: str) -> Keep:
    return lambda kind, entry: None if isinstance(entry, CueRule) and entry.category in categories else entry


def no_kind(name: str) -> Keep:
    return lambda kind, entry: None if kind == name else entry


def no_sign_field(**changes: Any) -> Keep:
    return lambda kind, entry: entry.model_copy(update=changes) if isinstance(entry, Sign) else entry


WORDS: dict[str, Keep] = {
    "absence": no_cues("absent", "nothing"),
    "what only sounds like absence": no_cues("decoy", "double"),
    "doubt": no_cues("doubtful", "certain"),
    "past": no_cues("past", "gone", "former", "still"),
    "teaching and what-ifs": no_cues("teaching", "hypothetical", "returning"),
    "other birds and asides": no_cues("other-bird", "aside"),
    "corrections": no_cues("correction", "withdraw"),
    "ditto": no_cues("ditto"),
    "exceptions": no_cues("exception"),
    "clause stops": no_cues("stop"),
    "the rest is normal": no_cues("rest"),
    "grades": no_kind("grade"),
    "sides": no_kind("side"),
    "listed misspellings": no_kind("spelling"),
    "senses by region": no_sign_field(on={}),
    "natural home": no_sign_field(home="", always_home=False),
    "usual regions": no_sign_field(usual=()),
}

# name → (module, class or "", function, what stands in its place)
CODE: dict[str, tuple[str, str, str, Callable[..., Any]]] = {
    "muting of any kind": ("assemble", "", "mute", lambda units, punctuated: None),
    "lessons as a whole": ("scope", "", "_lesson", lambda units, punctuated: None),
    "questions": ("scope", "", "_questions", lambda units, punctuated: None),
    "generalities": ("scope", "", "_generalities", lambda units: None),
    "exams told in the past tense": ("assemble", "", "is_past_tense", lambda units: False),
    "words of two kinds told apart": ("unit_maker", "", "disambiguate", lambda units: None),
    "repair of unknown words": ("repair", "Repairer", "_best", lambda self, word: ""),
    "misheard words": ("misheard", "Misheard", "mend", lambda self, words, tokens, phrases: {}),
    "ellipsis": ("denials", "Denials", "ellipsis", lambda self, s, i, cue: False),
    "ellipsis with a verb": ("repeats", "Repeats", "verb_ellipsis", lambda self, s, i, refs, stop: False),
    "a place said late": ("repeats", "Repeats", "late_place", lambda self, s, i, refs, stop: False),
    "more of it elsewhere": ("repeats", "Repeats", "more_there", lambda self, s, i, refs, stop: False),
    "too": ("repeats", "Repeats", "too", lambda self, s, i, refs, stop: False),
    "nothing on a region": ("denials", "Denials", "nothing", lambda self, s, i: i + 1),
    "none said after": ("backward", "Backward", "none_back", lambda self, s, i, cue: False),
    "grade said after": ("afterthoughts", "Afterthoughts", "grade_back", lambda self, s, i, step: False),
    "side said after": ("afterthoughts", "Afterthoughts", "side_back", lambda self, s, i, side, stop: stop),
    "side lent by the limb": ("topics", "Topics", "lend_side", lambda self, s, ref, i: ref),
    "object of the verb": ("looking", "Looker", "object_of_verb", lambda self, units, i: None),
}


@contextmanager
def replaced(module: str, owner: str, name: str, stand_in: Callable[..., Any]) -> Iterator[None]:
    """Another function in the place of one of the parser's; AttributeError where there is none of that name."""
    home: Any = importlib.import_module(f"dictate.extraction.{module}")
    home = getattr(home, owner) if owner else home
    kept = getattr(home, name)
    setattr(home, name, staticmethod(stand_in) if isinstance(vars(home).get(name), staticmethod) else stand_in)
    try:
        yield
    finally:
        setattr(home, name, kept)


@contextmanager
def carried_regions_off() -> Iterator[None]:
    """A sign whose place is only the region last spoken of gets none."""
    from dictate.extraction.placing import Placer

    kept = Placer.place

    def place(self: Placer, *given: Any, **named: Any) -> Any:
        found = kept(self, *given, **named)
        return None if found is not None and found.rule == "region carried" else found

    Placer.place = place  # type: ignore[method-assign]
    try:
        yield
    finally:
        Placer.place = kept  # type: ignore[method-assign]


def less(vocabulary: Vocabulary, keep: Keep) -> Vocabulary:
    entries: dict[str, list[Entry]] = {}
    for kind in BLOCKS:
        rows = (keep(kind, entry) for entry in vocabulary.entries(kind).values())
        entries[kind] = [entry for entry in rows if entry is not None]
    return Vocabulary(entries, f"{vocabulary.digest} less")


def understood(vocabulary: Vocabulary, items: list[tuple[str, dict[str, Any]]]) -> list[list[dict[str, Any]]]:
    """The exams of each text."""
    extractor = Extractor(vocabulary)
    return [draft_record(extractor.text(item["text"]))["exams"] for _, item in items]


def f1(items: list[tuple[str, dict[str, Any]]], made: list[list[dict[str, Any]]]) -> dict[str, float]:
    """F1 of findings by set."""
    figures: dict[str, Figures] = defaultdict(Figures)
    for (name, item), exams in zip(items, made, strict=True):
        figures[name].add(item["id"], item["gold"]["exams"], exams)
    return {name: f.f1("findings") for name, f in figures.items()}


def facts(exams: list[dict[str, Any]]) -> list[Any]:
    """What of a text is compared: findings with grade and certainty, rest, measurements and actions."""
    return [
        (sorted(map(repr, ((*row.core, row.grade, row.certainty) for row in stated(exam)))), exam["rest_normal"],
         [(m["kind"], m["value"]) for m in exam["measurements"]], [(a["kind"], a["in_days"]) for a in exam["actions"]])
        for exam in exams
    ]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--only", nargs="+", default=[], metavar="NAME")
    wanted = parser.parse_args()
    items, vocabulary = list(sets(wanted.files)), load_vocabulary()
    complete = understood(vocabulary, items)
    whole = f1(items, complete)
    lost: dict[str, dict[str, float]] = {}
    missing: list[str] = []

    def compare(name: str, made: list[list[dict[str, Any]]]) -> None:
        changed = sum(facts(a) != facts(b) for a, b in zip(complete, made, strict=True))
        lost[name] = {k: round(whole[k] - v, 4) for k, v in f1(items, made).items()} | {"texts changed": changed}

    for name in [*WORDS, *CODE, "region carried over"]:
        if wanted.only and name not in wanted.only:
            continue
        if name in WORDS:
            compare(name, understood(less(vocabulary, WORDS[name]), items))
        elif name in CODE:
            try:
                with replaced(*CODE[name]):
                    compare(name, understood(vocabulary, items))
            except AttributeError as fault:
                missing.append(f"{name}: {fault}")
        else:
            with carried_regions_off():
                compare(name, understood(vocabulary, items))
    report = {
        "whole": {key: round(value, 4) for key, value in whole.items()},
        "lost without": dict(sorted(lost.items(), key=lambda row: -sum(row[1][k] for k in whole))),
        "not to be switched off": missing,
    }
    print(json.dumps(report, indent=1))


if __name__ == "__main__":
    main()
