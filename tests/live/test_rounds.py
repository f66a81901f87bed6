"""Whole rounds as a user would go them, from words to log, with the lexicon that is shipped (rounds.toml)."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from dictate.cli.listen import _wording
from dictate.errors import SoundError
from dictate.live.answering import Answerer
from dictate.live.capture import WavWriter
from dictate.live.keep import Keeper
from dictate.live.listen import listen, new_session
from dictate.live.recover import recover
from dictate.live.session import Session
from dictate.live.view import Patience
from dictate.log import FlockLog
from dictate.model import Finding, Measurement, Utterance, Word
from dictate.speech.replay import ReplayListener
from dictate.vocabulary import Vocabulary, load_vocabulary

ROUNDS = tomllib.loads((Path(__file__).parent / "rounds.toml").read_text(encoding="utf-8"))["round"]
STARTED = datetime(2026, 3, 7, 9, 30)
WORD_SECONDS, PAUSE_SECONDS, BLOCK_SECONDS = 0.35, 0.8, 0.1


class Killed(BaseException):
    """Stands for kill -9: nothing in the program catches it."""


@dataclass
class Part:
    """What is said until something happens to the machine."""

    utterances: list[Utterance] = field(default_factory=list)
    seconds: float = 0.0
    then: str = ""


def parts_of(script: str) -> list[Part]:
    parts = [Part()]
    for line in filter(None, map(str.strip, script.splitlines())):
        part = parts[-1]
        if line.startswith("!"):
            part.then = line[1:].strip()
            part.seconds += 0.3
            parts.append(Part())
        elif line.startswith("..."):
            part.seconds += float(line[3:])
        else:
            said = [Word(w, part.seconds + n * WORD_SECONDS, part.seconds + (n + 1) * WORD_SECONDS, 0.95)
                    for n, w in enumerate(line.split())]
            part.utterances.append(Utterance(tuple(said), "replay", said[0].start, said[-1].end))
            part.seconds = (said[-1].end or 0.0) + PAUSE_SECONDS
    return parts


class Sound:
    """Stands for a Capture of so many seconds of silence, which then ends as the script says; what the
    other process would have written is on disk as far as it got."""

    behind = 0.0

    def __init__(self, path: Path, part: Part) -> None:
        self.path, self._part = path, part
        self.seconds, self._stopped = 0.0, False

    def follow(self) -> Iterator[bytes]:
        writer = WavWriter(self.path)
        block = bytes(int(16_000 * BLOCK_SECONDS) * 2)
        try:
            while self.seconds < self._part.seconds and not self._stopped:
                self.seconds += BLOCK_SECONDS
                writer.write(block)
                yield block
        finally:
            writer.close()
        if self._part.then == "unplugged":
            raise SoundError("listening to the microphone", "", "it stopped", "Plug it in again.")
        if self._part.then == "killed":
            raise Killed

    def stop(self) -> None:
        self._stopped = True


class Spoken:
    """A mouth that is busy for two blocks of sound a word and remembers nothing: the transcript does."""

    can_speak = True
    _blocks = 0

    @property
    def busy(self) -> bool:
        self._blocks -= 1
        return self._blocks > 0

    def tone(self, name: str) -> None:
        self._blocks = 3

    def speak(self, text: str) -> None:
        self._blocks = 2 * len(text.split())

    def hush(self) -> None:
        self._blocks = 0


@pytest.fixture(scope="module")
def vocabulary(tmp_path_factory: pytest.TempPathFactory) -> Vocabulary:
    own = tmp_path_factory.mktemp("words")
    (own / "people.toml").write_text('[[examiner]]\nid = "Pat"\n[[examiner]]\nid = "Robin"\n')
    return load_vocabulary(overlay=own)


def play(script: str, vocabulary: Vocabulary, folder: Path, log: FlockLog) -> tuple[list[Any], list[str]]:
    """Everything that was told, and what the program said."""
    told: list[Any] = []
    said: list[str] = []

    def session() -> Session:
        return new_session(vocabulary, patience=Patience(), examiner="Pat")

    for number, part in enumerate(parts_of(script)):
        offered = None
        for found in recover(log, folder, ReplayListener(()), session):
            offered = found.bird
        path = folder / f"{number}.wav"
        recording = log.add_recording(path, started=STARTED, sample_rate=16_000, examiner="Pat")
        round_ = session()
        if offered:
            told.append(round_.offer(offered))
        answerer = Answerer(round_, _wording(), "speech", Spoken(), lambda row: said.append(row["text"]))
        keeper = Keeper(log, recording, STARTED, examiner="Pat")
        try:
            sound: Any = Sound(path, part)
            listen(sound, ReplayListener(part.utterances), round_, keeper, lambda e, s: told.append(e), answerer)
        except (SoundError, Killed):
            assert part.then, "it ended although nothing happened"
    return told, said


def shown(item: Any) -> str:
    if isinstance(item, Finding):
        sign = f"{'no ' * (item.presence == 'absent')}{item.sign}"
        return f"{' '.join(filter(None, (item.region, item.side)))}: {sign}"
    assert isinstance(item, Measurement)
    return f"{item.kind} {item.value:g} {item.unit}"


@pytest.mark.parametrize("script", ROUNDS, ids=[one["id"] for one in ROUNDS])
def test_round(script: dict[str, Any], vocabulary: Vocabulary, tmp_path: Path) -> None:
    with FlockLog.open(tmp_path / "flock.db") as log:
        _, said = play(script["say"], vocabulary, tmp_path, log)
        exams = list(log.exams(statuses=("draft", "confirmed")))
        records = [
            f"{exam.bird.band} | {exam.examiner} | " + "; ".join(
                shown(item.value) for item in exam.items if item.stands
            )
            for exam in exams
        ]
        assert records == script["records"]
        waiting = [f"{e.bird.band}: {q.text}" for e in exams for _, q in e.open_questions]
        assert waiting == script.get("waiting", [])
        assert [e.bird.band for e in exams if e.status == "confirmed"] == script.get("confirmed", [])
        assert [e.bird.band for e in log.exams(statuses=("withdrawn",))] == script.get("withdrawn", [])
        rest = iter(said)
        missing = [answer for answer in script.get("answers", ()) if answer not in rest]
        assert not missing, said
        assert log.check() == []
