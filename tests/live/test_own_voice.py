"""The program's own voice is never taken for dictation, and no sentence that it cut in two is taken."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from dictate.live.own_voice import OwnVoice, transcript_path
from dictate.model import Utterance, Word


def heard(text: str, start: float, each: float = 0.3) -> Utterance:
    words = tuple(Word(w, start + n * each, start + (n + 1) * each) for n, w in enumerate(text.split()))
    return Utterance(words, "replay", words[0].start, words[-1].end)


@pytest.fixture
def own() -> OwnVoice:
    voice = OwnVoice()
    voice.begins("left foot pad: hardened", 10.0)
    voice.ends(12.0)
    return voice


def text_of(own: OwnVoice, utterance: Utterance) -> tuple[str | None, str]:
    kept, taken = own.without(utterance)
    return (kept.text if kept else None), taken


@pytest.mark.parametrize(
    ("text", "start", "kept", "taken"),
    [
        ("comb is pale", 5.0, "comb is pale", ""),
        ("comb is pale", 13.0, "comb is pale", ""),
        ("left foot pad hardened", 10.2, None, "left foot pad hardened"),
        ("let food bad heard and", 10.2, None, "let food bad heard and"),  # misheard, but inside
        ("left foot pad hardened comb is pale", 11.15, "comb is pale", "left foot pad hardened"),
        ("foot pad hardened", 11.6, None, "foot pad hardened"),  # its echo runs past the end
        ("crop is full and comb is pale", 11.5, None, "crop is full and comb is pale"),  # cut in two
        ("next bird", 10.5, None, "next bird"),
    ],
)
def test_what_is_left_of_a_phrase(own: OwnVoice, text: str, start: float, kept: str | None, taken: str) -> None:
    assert text_of(own, heard(text, start)) == (kept, taken)


def test_while_it_still_speaks_nothing_is_taken(own: OwnVoice) -> None:
    own.begins("Which wattle?", 20.0)
    assert text_of(own, heard("left", 25.0)) == (None, "left")
    own.ends(20.9)
    assert text_of(own, heard("left", 25.0)) == ("left", "")


def test_words_typed_without_times_are_the_keepers(own: OwnVoice) -> None:
    typed = Utterance((Word("hardened"),), "typed")
    assert own.without(typed) == (typed, "")


def test_a_later_session_knows_it_from_the_text_beside_the_sound(tmp_path: Path) -> None:
    sound = tmp_path / "a.wav"
    rows = [
        {"how": "speech", "text": "Which wattle?", "start": 3.0, "end": 4.0},
        {"how": "tone", "text": "comb: pallor", "start": 8.0, "end": 8.1},
    ]
    transcript_path(sound).write_text("".join(json.dumps(row) + "\n" for row in rows) + "{cut o")
    own = OwnVoice.read(sound)
    assert text_of(own, heard("which wattle", 3.1))[0] is None
    assert text_of(own, heard("comb is pale", 7.9))[0] == "comb is pale", "a tone has no words"
    assert text_of(OwnVoice.read(tmp_path / "b.wav"), heard("which wattle", 3.1))[0] == "which wattle"
