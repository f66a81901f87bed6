"""One recording through several listeners."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from dictate.errors import SoundError
from dictate.model import Utterance, Word
from dictate.speech import RATE, Hearing, hear
from dictate.speech.replay import ReplayListener


class Counter:
    """A listener that says how many samples it was given."""

    name = "counter"

    def begin(self) -> Hearing:
        raise NotImplementedError

    def hear(self, blocks: Iterable[np.ndarray]) -> Iterator[Utterance]:
        total = largest = 0
        for block in blocks:
            total, largest = total + len(block), max(largest, len(block))
        yield Utterance((Word(str(total)), Word(str(largest))), self.name)

    def close(self) -> None:
        pass


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    path = tmp_path / "a.wav"
    soundfile.write(path, 0.2 * np.sin(np.arange(44100 * 4) / 20), 44100)
    return path


def test_each_listener_hears_it_all(recording: Path) -> None:
    said = (Utterance((Word("left", 0.5, 0.9), Word("foot", 0.9, 1.2)), "replay", 0.5, 1.2),)
    told: list[tuple[float, float]] = []
    heard = hear(recording, [Counter(), ReplayListener(said)], progress=lambda done, of: told.append((done, of)))
    total, largest = (int(word.text) for word in heard.words("counter"))
    assert total == pytest.approx(4 * RATE, abs=2)
    assert largest <= RATE
    assert heard.text("replay") == "left foot"
    assert heard.utterances["replay"] == said
    assert heard.seconds == pytest.approx(4.0)
    assert heard.path == recording
    done = [d for d, _ in told]
    assert done == sorted(done)
    assert told[-1][0] == pytest.approx(8.0, abs=0.01)
    assert all(of == pytest.approx(8.0) for _, of in told)


def test_a_bad_recording_is_refused_before_anything_is_heard(tmp_path: Path) -> None:
    with pytest.raises(SoundError, match=r"no\.wav"):
        hear(tmp_path / "no.wav", [Counter()])
