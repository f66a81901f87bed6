"""The whole way: torn and misheard words of one listener, what another heard, one draft."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from dictate.fusion import fuse
from dictate.fusion.mend import agreement, mender
from dictate.fusion.sounds import confusion_costs
from dictate.model import Draft, Utterance, Word
from dictate.vocabulary import Vocabulary, load_vocabulary
from dictate.vocabulary.pronunciations import PHONES


@pytest.fixture(scope="module")
def vocabulary() -> Vocabulary:
    return load_vocabulary()


@pytest.fixture(scope="module")
def cache(cache_home: Path) -> Path:
    return cache_home / "dictate"  # the same model as the tests of the listener make


def written(text: str, listener: str = "whisper", confidence: float = 0.5) -> list[Utterance]:
    words = tuple(Word(word, n * 0.4, n * 0.4 + 0.4, confidence) for n, word in enumerate(text.split()))
    return [Utterance(words, listener, words[0].start, words[-1].end)]


def found(draft: Draft) -> set[tuple[str, str | None, str, str]]:
    return {(f.region, f.side, f.sign, f.presence) for exam in draft.exams for f in exam.findings}


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("the tail feathers are snap, tough", "snapped off"),
        ("left wing, know mites", "no mites"),
        ("m preen plant normal", "preen gland"),
        pytest.param(
            "no scabs or bruise in all it", "bruises",
            marks=pytest.mark.xfail(reason="with more words in the lexicon one bruise is as likely"),
        ),
        ("right shank, sraised scales", "raised scales"),
    ],
)
def test_words_of_the_trade_are_found_by_sound(vocabulary: Vocabulary, cache: Path, heard: str, meant: str) -> None:
    text = " ".join(u.text for u in mender(vocabulary, cache).mend(written(heard)))
    assert meant in text


def test_plain_talk_stays_as_it_is(vocabulary: Vocabulary, cache: Path) -> None:
    said = "okay so this is a hen and the left eye is a bit cloudy no discharge"
    assert " ".join(u.text for u in mender(vocabulary, cache).mend(written(said, confidence=0.9))) == said


def test_times_stay_in_order_and_inside_the_sound(vocabulary: Vocabulary, cache: Path) -> None:
    utterances = mender(vocabulary, cache).mend(written("a rarmite surround the vent, snap, tough"))
    words = [word for utterance in utterances for word in utterance.words]
    times = [t for word in words for t in (word.start, word.end)]
    assert all(a <= b + 1e-6 for a, b in pairwise(times))  # type: ignore[operator]
    assert times[0] == 0.0
    assert times[-1] == pytest.approx(2.8)


def test_two_listeners_give_one_draft(vocabulary: Vocabulary, cache: Path) -> None:
    heard = {
        "pocketsphinx": written("left hock swollen weight two thousand one hundred grams", "pocketsphinx", 0.9),
        "whisper": written("Left hoc swollen. Wait 2 ,100 grams.", confidence=0.9),
    }
    draft = fuse(heard, vocabulary, cache)
    assert ("hock", "left", "swelling", "present") in found(draft)
    [measurement] = draft.exams[0].measurements
    assert (measurement.value, measurement.unit) == (2100, "g")
    assert {u.listener for u in draft.utterances} == {"whisper"}
    assert all(draft.text[w.span.start : w.span.end] == w.word.text for w in draft.words)


def test_silence_is_an_empty_draft(vocabulary: Vocabulary, cache: Path) -> None:
    assert fuse({"pocketsphinx": (), "whisper": ()}, vocabulary, cache).exams == fuse({}, vocabulary, cache).exams


def test_one_that_heard_nothing_does_not_hinder_the_other(vocabulary: Vocabulary, cache: Path) -> None:
    draft = fuse({"whisper": (), "pocketsphinx": written("left hock swollen", "pocketsphinx")}, vocabulary, cache)
    assert ("hock", "left", "swelling", "present") in found(draft)


def test_a_word_agrees_only_at_its_time() -> None:
    agree = agreement(written("left hock", "pocketsphinx", 1.0))
    assert agree is not None
    assert agree("hock", 0.3, 0.9) == 1.0
    assert agree("hock", 5.0, 5.5) == 0.0
    assert agree("wing", 0.3, 0.9) == 0.0
    assert agreement([]) is None


def test_every_sound_has_its_confusions(vocabulary: Vocabulary) -> None:
    costs = confusion_costs(vocabulary)
    assert set(costs.swap) == set(costs.lost) == set(costs.added) == PHONES
    for sound in PHONES:
        assert costs.swap[sound][sound] == min(costs.swap[sound].values())
