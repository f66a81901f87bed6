"""The microphone through a made-up sounddevice, and the sentences when there is none."""

from __future__ import annotations

import sys
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from dictate.errors import SoundError
from dictate.speech.microphone import microphone, microphones


class PortAudioError(Exception):
    pass


class Stream:
    """Calls back with three blocks, then stops as an unplugged device does."""

    def __init__(self, *, callback: Any, finished_callback: Any, blocksize: int, **options: Any) -> None:
        if options["device"] == "none":
            raise PortAudioError("no such device")
        self.callback, self.finished, self.size, self.options = callback, finished_callback, blocksize, options

    def __enter__(self) -> Stream:
        for value in (1, 2, 3):
            self.callback(np.full(self.size, value, "<i2").tobytes(), self.size, None, None)
        self.finished()
        return self

    def __exit__(self, *_: object) -> None:
        pass


@pytest.fixture
def device(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    made = SimpleNamespace(
        RawInputStream=Stream, PortAudioError=PortAudioError,
        query_devices=lambda: [
            {"name": "line", "index": 0, "max_input_channels": 2},
            {"name": "speaker", "index": 1, "max_input_channels": 0},
            {"name": "headset", "index": 2, "max_input_channels": 1},
        ],
        default=SimpleNamespace(device=(2, 1)),
    )
    monkeypatch.setitem(sys.modules, "sounddevice", made)
    return made


def test_blocks_come_in_order_and_unplugging_is_told(device: SimpleNamespace) -> None:
    with microphone(seconds=0.1) as blocks:
        first = [next(blocks) for _ in range(3)]
        assert [int(b[0]) for b in first] == [1, 2, 3]
        assert all(len(b) == 1600 and b.dtype == np.int16 for b in first)
        with pytest.raises(SoundError, match="stopped"):
            next(blocks)


def test_a_device_that_is_not_there_is_named(device: SimpleNamespace) -> None:
    with pytest.raises(SoundError, match="none"), microphone("none"):
        pass


def test_the_usual_microphone_comes_first(device: SimpleNamespace) -> None:
    assert microphones() == ("headset", "line")


def test_without_the_extra_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(SoundError, match=r"\[microphone\]"), microphone():
        pass


def test_without_portaudio_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    class Broken:
        def find_spec(self, name: str, *_: object) -> None:
            if name == "sounddevice":
                raise OSError("PortAudio library not found")

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Broken(), *sys.meta_path])
    with pytest.raises(SoundError, match="PortAudio"):
        microphones()
