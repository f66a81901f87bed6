"""The replay listener says what its file says, when its time comes."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from dictate.errors import ListenerError
from dictate.model import Utterance, Word
from dictate.speech import ListenerOptions, open_listener
from dictate.speech.replay import ReplayListener, read_utterances, utterances_record

TWO = (
    Utterance((Word("left", 0.4, 0.7, 0.9), Word("foot", 0.7, 1.0, 0.8)), "replay", 0.4, 1.0),
    Utterance((Word("hard", 2.0, 2.4, None),), "replay", 2.0, 2.4),
)


def test_what_is_written_reads_back(tmp_path: Path) -> None:
    path = tmp_path / "said.json"
    path.write_text(json.dumps(utterances_record(TWO)), encoding="utf-8")
    assert read_utterances(path) == TWO
    assert tuple(open_listener("replay", None, ListenerOptions(replay=path)).hear([])) == TWO  # type: ignore[arg-type]


def test_an_utterance_comes_when_the_sound_has_reached_its_end() -> None:
    hearing = ReplayListener(TWO).begin()
    half = np.zeros(8000, np.int16)
    assert hearing.feed(half) == []
    assert hearing.feed(half.tobytes()) == [TWO[0]]
    assert hearing.feed(half) == []
    assert hearing.finish() == [TWO[1]]
    assert hearing.finish() == []


@pytest.mark.parametrize("content", ["", "[1]", '{"utterances": [{"start": 1}]}', '{"utterances": [{"words": [1]}]}'])
def test_a_faulty_file_is_named(tmp_path: Path, content: str) -> None:
    path = tmp_path / "said.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(ListenerError, match=r"said\.json"):
        read_utterances(path)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(ListenerError, match=r"no\.json"):
        read_utterances(tmp_path / "no.json")


def test_without_a_file_it_says_what_is_needed() -> None:
    with pytest.raises(ListenerError, match="JSON file"):
        open_listener("replay", None)  # type: ignore[arg-type]
