"""Numbers as they are said: against num2words (an outside source) and the spelling alphabet."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from dictate.extraction.numbers import Number, NumberReader
from dictate.extraction.tokens import words_of
from dictate.vocabulary import Vocabulary, load_vocabulary

READER = NumberReader(load_vocabulary().numbers)
DIGITS = "zero one two three four five six seven eight nine".split()


def read(text: str) -> list[Number]:
    """All numbers of the text, in order."""
    words, at, out = words_of(text), 0, []
    while at < len(words):
        number = READER.read(words, at)
        if number is None:
            at += 1
        else:
            out.append(number)
            at = number.end
    return out


@given(st.integers(0, 99_999), st.booleans(), st.booleans())
@settings(max_examples=600, deadline=None)
def test_cardinals_as_num2words_says_them(value: int, british: bool, hyphens: bool) -> None:
    said = num2words(value).replace(",", "")
    if not british:
        said = said.replace(" and ", " ")
    if not hyphens:
        said = said.replace("-", " ")
    numbers = read(said)
    assert [n.value for n in numbers] == [value]
    assert numbers[0].end == len(words_of(said)), "every word of it belongs to the number"


@given(st.decimals(0, 99, places=2))
@settings(max_examples=200, deadline=None)
def test_decimals_as_num2words_says_them(value) -> None:  # type: ignore[no-untyped-def]
    numbers = read(num2words(value))
    assert [round(n.value, 4) for n in numbers] == [float(value)]


@given(st.lists(st.integers(0, 9), min_size=2, max_size=4))
def test_digits_said_one_by_one_are_kept_as_they_are(digits: list[int]) -> None:
    numbers = read(" ".join(DIGITS[d] for d in digits))
    assert [n.digits for n in numbers] == ["".join(map(str, digits))]
    assert numbers[0].spelled


@given(st.integers(10, 99), st.integers(10, 99))
def test_pairs(first: int, second: int) -> None:
    said = f"{num2words(first)} {num2words(second)}"
    if first % 10 == 0 and second < 10:
        return
    assert [n.digits for n in read(said)] == [f"{first}{second}"]


# the first column as people say it (common practice), the second what a band would carry
@pytest.mark.parametrize(("said", "digits"), [
    ("one oh seven", "107"), ("double four", "44"), ("triple one", "111"), ("four oh two", "402"),
    ("two twelve", "212"), ("nineteen fifty", "1950"), ("twenty one hundred", "2100"), ("one eight five oh", "1850"),
])
def test_ways_of_saying(said: str, digits: str) -> None:
    assert [n.digits for n in read(said)] == [digits]


@pytest.mark.parametrize(("said", "values"), [
    ("four two thousand and twenty", [4, 2020]), ("one nineteen hundred", [1, 1900]),
    ("a hundred and forty", [140]), ("two and a half", [2.5]), ("5 1/2", [5.5]), ("4½", [4.5]), ("1,850", [1850]),
    ("forty one point two", [41.2]), ("point eight", [0.8]), ("a couple of", [2]), ("half a dozen", [6]),
    ("eleven oh and", [11]),
])
def test_values_and_where_a_number_ends(said: str, values: list[float]) -> None:
    assert [n.value for n in read(said)] == values


@pytest.mark.parametrize("said", ["hundred", "oh", "point", "tree", "double", "²", "①", ".", "and"])
def test_no_number_by_itself(said: str) -> None:
    assert read(said) == []


# ICAO Annex 10 volume II, 5.2.1.3: code words of the spelling alphabet and its number words, from memory
ALPHABET = (
    "alfa bravo charlie delta echo foxtrot golf hotel india juliett kilo lima mike november oscar papa quebec romeo "
    "sierra tango uniform victor whiskey xray yankee zulu"
).split()


def test_the_spelling_alphabet_is_whole(vocabulary: Vocabulary) -> None:
    letters = {say: entry.id for entry in vocabulary.birds.values() if entry.role == "letter" for say in entry.say}
    assert [letters[word] for word in ALPHABET] == list("abcdefghijklmnopqrstuvwxyz")


@pytest.mark.parametrize(("said", "value"), [("tree", 3), ("fower", 4), ("fife", 5), ("niner", 9)])
def test_number_words_of_the_spelling_alphabet(said: str, value: int) -> None:
    assert [n.value for n in read(f"one {said}")] == [10 + value]
