"""How long a keeper waits: from the pause after the words to the finding on the screen, at real speed.

    python tests/benchmarks/live_latency.py [FILE.flac …] [--speed 1]

Each recording (default: all of audio_samples) is played into `dictate listen` as if live, and the figures are
taken from its --events. A finding counts when it was shown for the last time as it then stood. "pause": from
the end of the last word before the pause; shown before that counts as 0. "words": from the end of the
finding's own words. The load of the machine is printed with the figures.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).parents[2]
KINDS = ("finding", "measurement", "action")


def key(kind: str, record: dict[str, Any]) -> str:
    names = ("region", "side", "sign", "presence", "when", "kind", "value", "in_days")
    return json.dumps([kind, *(str(record.get(name)) for name in names)])


def waits(rows: list[dict[str, Any]]) -> tuple[list[float], list[float], int, int]:
    """Seconds from pause and from words, how many were shown before their phrase had ended, and how many of
    those did not stand."""
    begin = min(0.0, *(row["wall_seconds"] - row["audio_seconds"] for row in rows))
    heard = [row for row in rows if row["event"] == "heard"]
    shown: dict[str, dict[str, Any]] = {}
    fallen = 0
    for row in rows:
        if row["event"] in KINDS:
            shown[key(row["event"], row[row["event"]])] = row
        elif row["event"] == "withdrawn" and row["why"] != "taken back":
            was = shown.pop(key(row["kind"], row["record"]), None)
            fallen += bool(was and was.get("early"))
    pauses, words = [], []
    for row in shown.values():
        at = row["wall_seconds"] - begin
        if row.get("phrase_end") is None:
            continue
        end = next((h["end"] for h in heard if h["end"] >= row["phrase_end"] - 0.05), row["phrase_end"])
        pauses.append(max(0.0, at - end))
        words.append(at - row["phrase_end"])
    return pauses, words, sum(bool(row.get("early")) for row in shown.values()), fallen


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--speed", default="1")
    given = parser.parse_args()
    files = given.files or sorted((ROOT / "audio_samples").glob("*.flac"))
    pauses: list[float] = []
    words: list[float] = []
    early = fallen = 0
    loads = []
    with tempfile.TemporaryDirectory() as folder:
        for file in files:
            events = Path(folder) / "events.jsonl"
            subprocess.run(
                [sys.executable, "-m", "dictate", "--log", str(Path(folder) / "flock.db"), "listen", "--from",
                 str(file), "--speed", given.speed, "--events", str(events), "--lines", "--listener", "pocketsphinx"],
                cwd=ROOT, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            )
            rows = [json.loads(line) for line in events.read_text(encoding="utf-8").splitlines()]
            these = waits(rows)
            pauses += these[0]
            words += these[1]
            early += these[2]
            fallen += these[3]
            loads.append(os.getloadavg()[0])
    print(f"{len(files)} recordings, {len(pauses)} findings, measurements and actions; load {np.mean(loads):.1f} "
          f"(from {min(loads):.1f} to {max(loads):.1f}), {os.cpu_count()} cores")
    for name, values in (("pause", pauses), ("words", words)):
        median, high, most = np.percentile(values, [50, 95, 100])
        print(f"{name} to shown: median {median:.2f} s, 95 in 100 within {high:.2f} s, longest {most:.2f} s")
    print(f"shown before the phrase had ended: {early} that stood, {fallen} that were taken away again")


if __name__ == "__main__":
    main()
