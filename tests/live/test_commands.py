"""A command is a whole utterance; no sentence of dictation is one."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from dictate.live.commands import ONLY_ASKED, Commands
from dictate.vocabulary import load_vocabulary

SAMPLES = Path(__file__).parents[2] / "audio_samples"


@pytest.fixture(scope="module")
def commands() -> Commands:
    return Commands.of(load_vocabulary())


@pytest.mark.parametrize(
    ("text", "command"),
    [
        ("next bird", "next-bird"),
        ("um okay next bird please", "next-bird"),
        ("Next bird.", "next-bird"),
        ("now the next bird", "next-bird"),
        ("scratch that", "take-back"),
        ("Oh, scratch that!", "take-back"),
        ("what's left", "what-is-left"),
        ("What’s left?", "what-is-left"),
        ("stop listening", "pause"),
        ("go on", "go-on"),
        ("that's all for today", "finish"),
    ],
)
def test_commands(commands: Commands, text: str, command: str) -> None:
    assert commands.match(text) == command


@pytest.mark.parametrize(
    "text",
    [
        "", "um", "okay", "left", "that's all", "next", "the next bird is red seven",
        "next bird green twenty one", "next bird has mites", "scratch that scab off", "she has a scratch",
        "what is left of the comb is pale", "the left", "go on then turn round her foot is sore",
        "stop listening to her chest", "she won't stop", "scratch that the crop is full",
    ],
)
def test_dictation(commands: Commands, text: str) -> None:
    assert commands.match(text) is None


def test_no_phrase_is_two_commands() -> None:
    entries = load_vocabulary().entries("command")
    said = [phrase for entry in entries.values() for phrase in entry.say]
    assert len(said) == len(set(said))


def test_commands_are_known_to_the_recognisers_and_not_to_the_parser() -> None:
    vocabulary = load_vocabulary()
    assert "scratch that" in vocabulary.spoken_phrases()
    assert not [meaning for _, meaning in vocabulary.phrases() if meaning.kind == "command"]


def test_of_the_recordings_only_their_commands_are_commands(commands: Commands) -> None:
    """Each phrase between two pauses, in the keeper's own words."""
    data = tomllib.loads((SAMPLES / "recordings.toml").read_text(encoding="utf-8"))
    phrases = [
        " ".join(phrase.split())
        for recording in data["recording"]
        for phrase in re.split(r"\[[\d.]*\]", recording["say"])
    ]
    assert len(phrases) > 150
    assert {phrase for phrase in phrases if commands.match(phrase)} == {"next bird", "scratch that"}


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from [inner] if key == "text" and isinstance(inner, str) else _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)


def test_no_narration_pauses_finishes_or_asks_by_mistake(commands: Commands) -> None:
    """All labelled narrations, as a whole and piece by piece: only a new bird and a taking back, which
    mean the same in dictation, may be found there."""
    found, pieces = set(), 0
    for path in (SAMPLES.parent / "tests" / "cases").rglob("*.toml"):
        for text in _texts(tomllib.loads(path.read_text(encoding="utf-8"))):
            for piece in [text, *re.split(r"[.,;:!?\n]", text)]:
                pieces += 1
                found.add(commands.match(piece))
    assert pieces > 1000
    # "go on" does nothing unless the round is paused
    assert found <= {None, "next-bird", "take-back", "go-on", *ONLY_ASKED}
