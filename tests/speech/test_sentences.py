"""Sentences made from patterns use the lexicon's words, and only those."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest
from num2words import num2words

from dictate.vocabulary import Vocabulary, load_vocabulary
from dictate.vocabulary.entries import Entry, Region, Sentence, Sign, Slot
from dictate.vocabulary.patterns import read_pattern, tokens
from dictate.vocabulary.sentences import SentenceMaker, make_sentences
from dictate.vocabulary.spoken_numbers import NumberSpeller


@pytest.fixture(scope="module")
def shipped() -> Vocabulary:
    return load_vocabulary()


def small(*entries: Entry) -> Vocabulary:
    by_kind: dict[str, list[Entry]] = {
        "region": [
            Region(id="crop", order=1, say=("crop",)),
            Region(id="eye", order=2, paired=True, say=("eye",), plural=("eyes",)),
        ],
        "sign": [
            Sign(id="sour", say=("sour",), usual=("crop",)),
            Sign(id="cloudy", say=("cloudy", "milky"), usual=("eye",)),
        ],
    }
    for entry in entries:
        by_kind.setdefault(type(entry).__name__.lower(), []).append(entry)
    return Vocabulary(by_kind, "digest")


def said(*entries: Entry, count: int = 400) -> list[str]:
    return [" ".join(words) for words in SentenceMaker(small(*entries)).sentences(count)]


def test_the_shipped_patterns_have_words_for_every_slot(shipped: Vocabulary) -> None:
    assert SentenceMaker(shipped).faults() == []


def test_the_same_seed_gives_the_same_sentences(shipped: Vocabulary) -> None:
    first, second, other = (list(SentenceMaker(shipped, seed).sentences(50)) for seed in (1, 1, 2))
    assert first == second != other


def test_every_phrase_that_may_be_spoken_is_there(shipped: Vocabulary) -> None:
    made = {tuple(words) for words in make_sentences(shipped, 0)}
    assert {tuple(tokens(phrase)) for phrase in shipped.spoken_phrases()} - {()} == made


def test_all_regions_and_signs_are_spoken_of(shipped: Vocabulary) -> None:
    text = " ".join(" ".join(words) for words in SentenceMaker(shipped).sentences(4000))
    for entry in (*shipped.regions.values(), *shipped.signs.values()):
        phrases = [*entry.say, *getattr(entry, "plural", ()), *getattr(entry, "weak", ()), *getattr(entry, "noun", ())]
        phrases += [phrase for on in getattr(entry, "on", {}).values() for phrase in on]
        assert any(f" {' '.join(tokens(phrase))} " in text for phrase in phrases), entry.id


def test_a_word_of_the_keepers_own_is_in_them(tmp_path: Path) -> None:
    (tmp_path / "signs.toml").write_text('[[sign]]\nid = "scab"\nsay = ["glimmety"]\n', encoding="utf-8")
    made = make_sentences(load_vocabulary(overlay=tmp_path), 10)
    assert ["glimmety"] in list(made)


def test_brackets_choose_and_leave_out() -> None:
    made = set(said(Sentence(id="a", say=("one [two] (three|four)",))))
    single = {text for text in made if text.count("one") == 1}
    assert single == {"one three", "one four", "one two three", "one two four"}


def test_slots_lead_to_slots_and_words() -> None:
    part = Slot(id="part", say=("the {region}", "her {region}"))
    made = " ".join(said(Sentence(id="a", say=("{part} is {sign}",)), part))
    assert "the crop is" in made
    assert "her eye is" in made


def test_keys_narrow_what_may_stand_in_a_slot() -> None:
    assert set(" ".join(said(Sentence(id="a", say=("{region:paired:plural}",)))).split()) == {"eyes"}
    assert set(" ".join(said(Sentence(id="a", say=("{region:not-paired}",)))).split()) == {"crop"}
    assert set(" ".join(said(Sentence(id="a", say=("{sign:cloudy}",)))).split()) == {"cloudy", "milky"}


def test_signs_suit_the_region_and_names_are_said_most() -> None:
    counts = Counter(" ".join(said(Sentence(id="a", say=("{region:eye} {sign}",)), count=2000)).split())
    assert counts["cloudy"] > counts["milky"] > counts["sour"] > 0


def test_common_words_are_said_more_often() -> None:
    own = small(Sentence(id="a", say=("{sign:wet}",)), Sign(id="wet", say=("wringing", "soaked", "wettish")))
    maker = SentenceMaker(own, common=lambda word: {"soaked": 1e-4, "wringing": 1e-6}.get(word, 0.0))
    counts = Counter(word for words in maker.sentences(1000) for word in words)
    assert counts["soaked"] > 3 * counts["wringing"]
    assert counts["wringing"] > counts["wettish"] > 0


def test_weights_count() -> None:
    counts = Counter(" ".join(said(Sentence(id="a", say=("often *9", "seldom")), count=2000)).split())
    assert 6 < counts["often"] / counts["seldom"] < 13


def test_a_pattern_with_nothing_to_fill_it_is_named_and_left_out() -> None:
    loop = Slot(id="loop", say=("{loop} again",))
    maker = SentenceMaker(small(Sentence(id="a", say=("good", "the {colour} one")), loop))
    assert any("{colour}" in fault for fault in maker.faults())
    assert {" ".join(set(words)) for words in maker.sentences(50)} == {"good"}


@pytest.mark.parametrize("pattern", ["a [b", "a b)", "(a|b", "a ] b", "(a|b]"])
def test_brackets_that_do_not_match_are_refused(pattern: str) -> None:
    with pytest.raises(ValueError, match="bracket"):
        read_pattern(pattern)


def test_without_patterns_there_are_no_sentences() -> None:
    assert said() == []


@pytest.mark.parametrize(
    ("text", "words"),
    [("Third-eyelid", ["third", "eyelid"]), ("can't see", ["can't", "see"]), ("s-shaped, 5 mm", ["s", "shaped", "mm"])],
)
def test_tokens(text: str, words: list[str]) -> None:
    assert tokens(text) == words


def test_numbers_are_spelled_as_num2words_spells_them(shipped: Vocabulary) -> None:
    speller, rng = NumberSpeller(shipped.numbers.values()), random.Random(1)
    assert speller.complete
    for number in [*range(0, 1000), *range(1000, 9999, 37), 10000, 99999]:
        ours = [word for word in speller.whole(number, rng) if word != "and"]
        theirs = num2words(number).replace("-", " ").replace(",", "").split()
        assert ours == [word for word in theirs if word != "and"]


def test_decimals_and_digits(shipped: Vocabulary) -> None:
    speller = NumberSpeller(shipped.numbers.values())
    rng = random.Random(3)
    said = [tuple(speller.decimal("1.85", rng)) for _ in range(100)]
    assert said.count(("one", "point", "eight", "five")) > 80
    assert speller.decimal("2.0", rng) == ["two"]
    said = [tuple(speller.digits([1, 0, 7], rng)) for _ in range(100)]
    assert {("one", "zero", "seven"), ("one", "oh", "seven")} == set(said)
