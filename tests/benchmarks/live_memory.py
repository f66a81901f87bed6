"""Whether memory stays flat through a long day: hours of narration fed to a live session as fast as it goes.

    python tests/benchmarks/live_memory.py [--hours 8]        words of a listener that is told what to hear
    python tests/benchmarks/live_memory.py --minutes 20       the built-in recogniser on audio_samples, again and again

The whole way from sound to log is gone, except that the sound is not written. Printed are the resident
memory after a tenth of the time and at the end, and the most between.
"""

from __future__ import annotations

import argparse
import itertools
import os
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from dictate.live.answering import Answerer  # noqa: E402
from dictate.live.keep import Keeper  # noqa: E402
from dictate.live.listen import listen, new_session  # noqa: E402
from dictate.log import FlockLog  # noqa: E402
from dictate.model import Utterance, Word  # noqa: E402
from dictate.vocabulary import load_vocabulary  # noqa: E402

RATE, BLOCK_SECONDS, WORD_SECONDS = 16_000, 0.5, 60 / 130
PHRASE = 6


def resident() -> float:
    """Megabytes of this process in memory."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def narration() -> Iterator[Utterance]:
    """The labelled narrations, over and over, each followed by "next bird"."""
    texts = [
        case["text"] for path in sorted((ROOT / "tests" / "cases" / "narrations").rglob("*.toml"))
        for case in tomllib.loads(path.read_text(encoding="utf-8")).get("case", [])
    ]
    at = 0.0
    for text in itertools.cycle(texts):
        words = text.split()
        for first in [*range(0, len(words), PHRASE), None]:
            said = ["next", "bird"] if first is None else words[first : first + PHRASE]
            heard = tuple(
                Word(w, at + n * WORD_SECONDS, at + (n + 1) * WORD_SECONDS, 0.95) for n, w in enumerate(said)
            )
            yield Utterance(heard, "told", at, heard[-1].end)
            at = (heard[-1].end or at) + 0.4


class Told:
    """A listener that is told what to hear."""

    name = "told"

    def begin(self) -> Told:
        self._words, self._seconds = narration(), 0.0
        self._next = next(self._words)
        return self

    def feed(self, block: bytes) -> list[Utterance]:
        self._seconds += len(block) / 2 / RATE
        heard = []
        while (self._next.end or 0.0) <= self._seconds:
            heard.append(self._next)
            self._next = next(self._words)
        return heard

    def finish(self) -> list[Utterance]:
        return []


class Sound:
    """Stands for a capture: blocks as fast as they are taken, and the memory noted on the way."""

    path, behind = Path("none.wav"), 0.0

    def __init__(self, seconds: float, blocks: Iterator[bytes]) -> None:
        self._seconds, self._blocks = seconds, blocks
        self.seconds = 0.0
        self.memory: list[float] = []

    def follow(self) -> Iterator[bytes]:
        for block in self._blocks:
            self.seconds += len(block) / 2 / RATE
            if self.seconds >= self._seconds * (len(self.memory) + 1) / 100:
                self.memory.append(resident())
            if self.seconds >= self._seconds:
                return
            yield block

    def stop(self) -> None: ...


def recordings() -> Iterator[bytes]:
    from dictate.speech import open_sound

    for path in itertools.cycle(sorted((ROOT / "audio_samples").glob("*.flac"))):
        for block in open_sound(path).blocks(0.06):
            yield block.tobytes()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--minutes", type=float)
    given = parser.parse_args()
    from dictate.cli.listen import _wording

    vocabulary = load_vocabulary()
    ear: Any = Told()
    sound = Sound(given.hours * 3600, itertools.repeat(bytes(int(BLOCK_SECONDS * RATE) * 2)))
    if given.minutes:
        from dictate.speech import ListenerOptions, open_listener

        ear = open_listener("pocketsphinx", vocabulary, ListenerOptions())
        sound = Sound(given.minutes * 60, recordings())
    session = new_session(vocabulary)
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as folder, FlockLog.open(Path(folder) / "flock.db") as log:
        recording = log.add_recording(Path(folder) / "none.wav", started=datetime(2026, 3, 7, 9))
        keeper = Keeper(log, recording, datetime(2026, 3, 7, 9))
        listen(sound, ear, session, keeper, lambda e, s: None, Answerer(session, _wording()))  # type: ignore[arg-type]
        birds = session.view.birds
    early, end = sound.memory[9], sound.memory[-1]
    print(f"{sound.seconds / 3600:.2f} hours of sound, {birds} birds, in {time.monotonic() - began:.0f} s: resident "
          f"{early:.0f} MB after a tenth, {end:.0f} MB at the end, at most {max(sound.memory):.0f} MB; "
          f"load {os.getloadavg()[0]:.1f}")
    print("every tenth:", " ".join(f"{value:.0f}" for value in sound.memory[9::10]))


if __name__ == "__main__":
    main()
