"""The whole way from sound to findings, by voice, noise, listener and fusion, as one JSON object.

    python tests/benchmarks/spoken.py FOLDER [FOLDER …] [--listener NAME …] [--keep FOLDER] [--limit N]

A FOLDER holds index.jsonl and the WAV files it names (tests/benchmarks/speak_labelled.py makes them):
{"id", "wav", "voice", "noise", "snr", "text", "exams"}. Each listener is judged alone; with two, what
fusion makes of both as well. `share` is the F1 of findings over the F1 that the true text gives. With
--keep what was heard is kept in that folder (outside the repository) and not heard again while the
listener's code and the sound are the same, so that fusion can be changed and measured quickly; the
real-time factors are then those of the first hearing.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import resource
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from dictate.extraction import extract, extract_text
from dictate.fusion import fuse
from dictate.model import Draft, Utterance, draft_record
from dictate.speech import Listener, ListenerOptions, hear, open_listener
from dictate.speech.replay import read_utterances, utterances_record
from dictate.vocabulary import Vocabulary, load_vocabulary

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from scoring_of_records import Figures  # noqa: E402


def code_of(listener: str) -> str:
    """A digest of what a listener's hearing depends on: its code, and for one with a model of its own the
    words."""
    others = {"rehear", "replay", "vosk_listener", "whisper_listener", "pocketsphinx_listener", "__init__", "listener"}
    digest = hashlib.sha256()
    for path in sorted((ROOT / "lexicon").glob("*.toml")) if listener == "pocketsphinx" else ():
        if path.stem != "confusions":
            digest.update(path.read_bytes())
    for path in sorted((ROOT / "dictate" / "speech").glob("*.py")):
        mine = path.stem == f"{listener}_listener"
        sound = path.stem in ("endpoint", "sound", "pieces", "invented")
        if mine or sound or (listener == "pocketsphinx" and path.stem not in others):
            digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


class Ear:
    """A listener that is opened only when something is not known yet from an earlier run."""

    def __init__(self, name: str, vocabulary: Vocabulary, cache: Path, keep: Path | None) -> None:
        self.name, self.vocabulary, self.cache, self.keep = name, vocabulary, cache, keep
        self.listener: Listener | None = None
        self.start = 0.0
        self.code = code_of(name)

    def hear(self, path: Path) -> tuple[tuple[Utterance, ...], float]:
        """What is heard in a file, and the seconds it took."""
        kept = None
        if self.keep is not None:
            name = hashlib.sha256(f"{self.code} {path.resolve()} {path.stat().st_mtime_ns}".encode()).hexdigest()[:24]
            kept = self.keep / self.name / f"{name}.json"
            if kept.exists():
                return read_utterances(kept), float(json.loads(kept.read_text(encoding="utf-8"))["took"])
        if self.listener is None:
            started = time.perf_counter()
            self.listener = open_listener(self.name, self.vocabulary, ListenerOptions(cache=self.cache))
            self.start = time.perf_counter() - started
        started = time.process_time()
        utterances = hear(path, [self.listener]).utterances[self.name]
        took = time.process_time() - started
        if kept is not None:
            kept.parent.mkdir(parents=True, exist_ok=True)
            kept.write_text(json.dumps(utterances_record(utterances) | {"took": took}), encoding="utf-8")
        return utterances, took


class Tally:
    """Figures of one listener (or fusion) under one condition, beside those of the true text."""

    def __init__(self) -> None:
        self.heard, self.true = Figures(), Figures()
        self.sound = self.took = 0.0

    def table(self) -> dict[str, float]:
        f, n = self.heard, self.heard.count
        turned = n["absence turned, sure"] + n["side turned, sure"]
        return {
            "findings": round(f.f1("findings"), 3),
            "share": round(f.f1("findings") / max(1e-9, self.true.f1("findings")), 3),
            "precision": round(f.share("findings shared", "findings found"), 3),
            "recall": round(f.share("findings shared", "findings wanted"), 3),
            "sure share": round(f.share("sure", "findings found"), 3),
            "sure right": round(f.share("sure and right", "sure"), 3),
            "turned among sure": round(turned / max(1, n["sure"]), 4),
            "sure": n["sure"],
            "measurements": round(f.f1("measurements"), 3),
            "actions": round(f.f1("actions"), 3),
            "bird": round(f.share("birds right", "exams"), 3),
            "cpu per second of sound": round(self.took / max(1e-9, self.sound), 3),
        }


def main() -> int:
    layout = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=layout)
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--listener", action="append", help="default: pocketsphinx and whisper")
    parser.add_argument("--keep", type=Path, help="a folder for what was heard")
    parser.add_argument("--limit", type=int)
    parser.add_argument("--voices", action="store_true", help="by voice too")
    parser.add_argument("--errors", type=int, default=0, help="list that many wrong findings")
    args = parser.parse_args()

    vocabulary = load_vocabulary()
    with tempfile.TemporaryDirectory() as made:
        ears = [
            Ear(name, vocabulary, args.keep or Path(made), args.keep)
            for name in args.listener or ("pocketsphinx", "whisper")
        ]
        tallies: dict[str, dict[str, Tally]] = defaultdict(lambda: defaultdict(Tally))
        for folder in args.folders:
            lines = (folder / "index.jsonl").read_text(encoding="utf-8").splitlines()[: args.limit]
            for row in map(json.loads, lines):
                _judge(row, folder, ears, vocabulary, tallies, args.voices)
    unit = 1 if sys.platform == "darwin" else 1024
    record: dict[str, Any] = {
        "peak_memory_mb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 1e6),
        "start_s": {ear.name: round(ear.start, 2) for ear in ears if ear.start},
    }
    for way, by in tallies.items():
        record[way] = {name: tally.table() for name, tally in sorted(by.items())}
    if args.errors:
        record["errors"] = [[key, what, *core] for key, what, core in by["all"].heard.wrong[: args.errors]]
    print(json.dumps(record, indent=1))
    return 0


def _judge(
    row: dict[str, Any], folder: Path, ears: Sequence[Ear], vocabulary: Vocabulary,
    tallies: dict[str, dict[str, Tally]], voices: bool,
) -> None:
    heard = [ear.hear(folder / row["wav"]) for ear in ears]
    by_name = {ear.name: utterances for ear, (utterances, _) in zip(ears, heard, strict=True)}
    ways: dict[str, tuple[Draft, float]] = {
        ear.name: (extract(utterances, vocabulary), took)
        for ear, (utterances, took) in zip(ears, heard, strict=True)
    }
    for name, (_, took) in list(ways.items()):
        ways[f"{name}, fused alone"] = (fuse({name: by_name[name]}, vocabulary, ears[0].cache), took)
    if len(ears) > 1:
        ways[" and ".join(by_name)] = (fuse(by_name, vocabulary, ears[0].cache), sum(took for _, took in heard))
    true = draft_record(extract_text(row["text"], vocabulary))["exams"]
    noise = f"{row['noise']} {row['snr']:g} dB" if row.get("noise") else "clean"
    names = ["all", noise, *([f"voice {row['voice']}, {noise}"] if voices else [])]
    if row.get("noise"):
        names.append(f"mean of noises {row['snr']:g} dB")
    for way, (draft, took) in ways.items():
        for name in names:
            tally = tallies[way][name]
            tally.heard.add(row["id"], row["exams"], draft_record(draft)["exams"])
            tally.true.add(row["id"], row["exams"], true)
            tally.took += took
            tally.sound += row["seconds"]


if __name__ == "__main__":
    sys.exit(main())
