"""How long a keeper waits: from the pause after the words to the finding on the screen, at real speed.

    python tests/benchmarks/live_latency.py [FILE.flac …] [--reckoned]

Each recording (default: all of audio_samples) is played into `dictate listen` as if live, and the figures are
taken from its --events. A finding counts when it was shown for the last time as it then stood. "pause": from
the end of the phrase whose words brought it; shown before that counts as 0. "words": from the end of the
finding's own words, which may lie in an earlier phrase that a later one gave another meaning. The load of
the machine is printed with the figures.

On a machine that is busy with other work a real clock says nothing of the program. --reckoned takes the same way
in one process on a clock of its own: it goes on with the sound and by the seconds of processor that the program
uses, what is decoded beside on a second such clock. Writing the sound, the screen and the disk are not in that.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from dictate.live.answering import Answerer  # noqa: E402
from dictate.live.capture import BLOCK_SECONDS  # noqa: E402
from dictate.live.events import EventWriter  # noqa: E402
from dictate.live.keep import Keeper  # noqa: E402
from dictate.live.listen import listen, new_session  # noqa: E402
from dictate.log import FlockLog  # noqa: E402
from dictate.speech import Listener, ListenerOptions, open_listener, open_sound  # noqa: E402
from dictate.speech.sound import RATE  # noqa: E402
from dictate.vocabulary import Vocabulary, load_vocabulary  # noqa: E402

KINDS = ("finding", "measurement", "action")


def key(kind: str, record: dict[str, Any]) -> str:
    names = ("region", "side", "sign", "presence", "when", "kind", "value", "in_days")
    return json.dumps([kind, *(str(record.get(name)) for name in names)])


def waits(rows: list[dict[str, Any]]) -> tuple[list[float], list[float], int, int]:
    """Seconds from pause and from words, how many were shown before their phrase had ended, and how many of
    those did not stand."""
    begin = min(0.0, *(row["wall_seconds"] - row["audio_seconds"] for row in rows))
    shown: dict[str, dict[str, Any]] = {}
    fallen = 0
    for place, row in enumerate(rows):
        if row["event"] in KINDS:
            shown[key(row["event"], row[row["event"]])] = row
            phrases = rows[place:] if row.get("early") else reversed(rows[:place])
            row["pause"] = next((one["end"] for one in phrases if one["event"] == "heard"), None)
        elif row["event"] == "withdrawn" and row["why"] != "taken back":
            was = shown.pop(key(row["kind"], row["record"]), None)
            fallen += bool(was and was.get("early"))
    pauses, words = [], []
    for row in shown.values():
        at = row["wall_seconds"] - begin
        if row.get("phrase_end") is None or row["pause"] is None:
            continue
        pauses.append(max(0.0, at - row["pause"]))
        words.append(at - row["phrase_end"])
    return pauses, words, sum(bool(row.get("early")) for row in shown.values()), fallen


class Later(Future[Any]):
    """What is decoded beside, done once the reckoned clock says so."""

    def __init__(self, sound: ReckonedSound, at: float) -> None:
        super().__init__()
        self._sound, self._at = sound, at

    def done(self) -> bool:
        return self._sound.now >= self._at

    def result(self, timeout: float | None = None) -> Any:
        self._sound.wait_until(self._at)
        return super().result(0)


class ReckonedSound:
    """Stands for a capture on a clock of its own: a block is there once it has been spoken and looked for."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.seconds = self._now = 0.0
        self._since = time.process_time()
        self._free = 0.0  # when the second core has nothing to do

    def beside(self, work: Callable[[Any], Any], phrase: Any) -> Later:
        """Do it now, on the second core's time."""
        start, began = max(self.now, self._free), time.process_time()
        made = work(phrase)
        took = time.process_time() - began
        self._since += took
        self._free = start + took
        later = Later(self, self._free)
        later.set_result(made)
        return later

    def wait_until(self, at: float) -> None:
        self._now, self._since = max(self.now, at), time.process_time()

    @property
    def now(self) -> float:
        return self._now + time.process_time() - self._since

    @property
    def behind(self) -> float:
        return max(0.0, self.now - self.seconds - BLOCK_SECONDS)

    def follow(self) -> Iterator[bytes]:
        for block in open_sound(self.path).blocks(BLOCK_SECONDS):
            self.seconds += len(block) / RATE
            self._now, self._since = max(self.now, self.seconds + BLOCK_SECONDS / 3), time.process_time()
            yield block.tobytes()

    def stop(self) -> None: ...


class ReckonedEar:
    """The listener with a second core that goes by the reckoned clock."""

    def __init__(self, ear: Any, sound: ReckonedSound) -> None:
        self.name, self._ear, self._sound = ear.name, ear, sound

    def begin(self) -> Any:
        hearing = self._ear.begin_live()
        hearing._words._beside = self._sound.beside
        return hearing


def reckoned(file: Path, vocabulary: Vocabulary, ear: Listener) -> list[dict[str, Any]]:
    """The events of one recording by the reckoned clock."""
    from dictate.cli.listen import _wording

    sound: Any = ReckonedSound(file)
    session = new_session(vocabulary)
    stream = io.StringIO()
    writer = EventWriter(stream, lambda: sound.now)
    with tempfile.TemporaryDirectory() as folder, FlockLog.open(Path(folder) / "flock.db") as log:
        recording = log.add_recording(file, started=datetime(2026, 3, 7, 9))
        keeper = Keeper(log, recording, datetime(2026, 3, 7, 9))
        live: Any = ReckonedEar(ear, sound)
        listen(sound, live, session, keeper, writer.write, Answerer(session, _wording()))
    return [json.loads(line) for line in stream.getvalue().splitlines()]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--reckoned", action="store_true")
    given = parser.parse_args()
    files = given.files or sorted((ROOT / "audio_samples").glob("*.flac"))
    pauses: list[float] = []
    words: list[float] = []
    early = fallen = 0
    loads = []
    vocabulary = load_vocabulary()
    ear = open_listener("pocketsphinx", vocabulary, ListenerOptions()) if given.reckoned else None
    if ear is not None:
        ear.beside = False  # type: ignore[attr-defined]
    with tempfile.TemporaryDirectory() as folder:
        for file in files:
            events = Path(folder) / "events.jsonl"
            if ear is not None:
                rows = reckoned(file, vocabulary, ear)
            else:
                subprocess.run(
                    [sys.executable, "-m", "dictate", "--log", str(Path(folder) / "flock.db"), "listen", "--from",
                     str(file), "--events", str(events), "--lines", "--listener", "pocketsphinx"],
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
