"""The search finds the words that sound, language and agreement speak for, and is as good as trying all."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterable
from dataclasses import replace

import pytest

from dictate.fusion.rehear import Costs, Rehearer, SoundTree, Weights
from dictate.fusion.written import Heard

WAYS = {
    "snapped": ["S N AE P T"], "off": ["AO F"], "snap": ["S N AE P"], "tough": ["T AH F"],
    "no": ["N OW"], "know": ["N OW"], "mites": ["M AY T S"], "right": ["R AY T"], "white": ["W AY T"],
}
SOUNDS = sorted({sound for ways in WAYS.values() for way in ways for sound in way.split()})
PAIRS = {("snapped", "off"): 1.0, ("no", "mites"): 1.0, ("know", "mites"): 6.0}
WEIGHTS = Weights(
    language=1.0, unknown=11.0, nonsense=13.0, name=5.0, pause=2.0, guard=3.0, agree=3.5, doubt=0.5, beam=30.0,
    most=5000,
)


def language(before: str, last: str, word: str) -> float:
    return PAIRS.get((last, word), 4.0)


def costs() -> Costs:
    swap = {written: {meant: 0.1 if written == meant else 3.0 for meant in SOUNDS} for written in [*SOUNDS, "Z"]}
    return Costs(swap, dict.fromkeys(SOUNDS, 4.0), dict.fromkeys([*SOUNDS, "Z"], 4.0))


def rehearer(ways: dict[str, list[str]] | None = None, weights: Weights = WEIGHTS) -> Rehearer:
    words = ways or WAYS
    tree = SoundTree(words, lambda word: 1.0)
    return Rehearer(tree, costs(), language, words.__contains__, lambda word: False, weights)


def heard(words: Iterable[tuple[str, str]], confidence: float = 0.5, **more: object) -> list[Heard]:
    return [
        Heard(word, tuple(sounds.split()), n * 0.4, n * 0.4 + 0.4, confidence, **more)  # type: ignore[arg-type]
        for n, (word, sounds) in enumerate(words)
    ]


def said(by: Rehearer, words: list[Heard], **more: object) -> str:
    return " ".join(choice.word for choice in by.best(words, **more))  # type: ignore[arg-type]


def test_words_cut_at_the_wrong_place_are_found() -> None:
    assert said(rehearer(), heard([("snap", "S N AE P"), ("tough", "T AH F")])) == "snapped off"


def test_of_two_that_sound_alike_the_talk_decides() -> None:
    assert said(rehearer(), heard([("know", "N OW"), ("mites", "M AY T S")])) == "no mites"


def test_another_listener_decides_where_sound_does_not() -> None:
    words = heard([("wite", "Z AY T")])
    alone = said(rehearer(), words)
    for word in ("right", "white"):
        agree = lambda name, start, end, word=word: float(name == word and start < 0.4 and end > 0)  # noqa: E731
        assert said(rehearer(), words, agree=agree) == word
    assert alone in ("right", "white")


def test_words_on_which_much_hangs_are_dear() -> None:
    words = heard([("know", "N OW"), ("mights", "M AY T S")])
    tree = SoundTree(WAYS, lambda word: 1.0)
    careful = Rehearer(
        tree, costs(), language, WAYS.__contains__, lambda word: False, replace(WEIGHTS, guard=9.0), [("no", "mites")]
    )
    assert said(rehearer(), words) == "no mites"
    assert said(careful, words) != "no mites"
    assert said(careful, heard([("no", "N OW"), ("mites", "M AY T S")])) == "no mites"  # as it was written


def test_numbers_are_left_as_they_are() -> None:
    words = heard([("no", "N OW"), ("mites", "M AY T S")])
    words[0] = Heard("9", ("N", "OW"), 0.0, 0.4, 0.1, spoken=("no",))
    assert said(rehearer(), words) == "9 mites"


def test_a_name_stays_and_nonsense_goes() -> None:
    name = heard([("snaptuf", "S N AE P T AH F")], name=True)
    assert said(rehearer(), name) == "snaptuf"
    assert said(rehearer(), heard([("snaptuf", "S N AE P T AH F")])) == "snapped off"


def test_times_are_those_of_the_sounds() -> None:
    choices = rehearer().best(heard([("snap", "S N AE P"), ("tough", "T AH F")]))
    assert [round(c.start, 2) for c in choices] == [0.0, 0.53]
    assert choices[-1].end == pytest.approx(0.8)
    assert not any(choice.kept for choice in choices)


def test_nothing_gives_nothing() -> None:
    assert rehearer().best([]) == []


def whole_cost(by: Rehearer, words: tuple[str, ...], sounds: list[str], scale: float) -> float:
    """The cost of saying these words for these sounds, by trying all alignments: an independent reckoning."""
    meant = [sound for word in words for sound in WAYS[word][0].split()]
    c = by.costs
    rows = [[0.0] + [math.inf] * len(sounds) for _ in range(len(meant) + 1)]
    for i, j in itertools.product(range(len(meant) + 1), range(len(sounds) + 1)):
        if i and j:
            rows[i][j] = min(rows[i][j], rows[i - 1][j - 1] + scale * c.swap[sounds[j - 1]][meant[i - 1]])
        if i:
            rows[i][j] = min(rows[i][j], rows[i - 1][j] + c.lost[meant[i - 1]])
        if j:
            rows[i][j] = min(rows[i][j], rows[i][j - 1] + scale * c.added[sounds[j - 1]])
    talk, last = 0.0, "<s>"
    for word in words:
        talk, last = talk + language("", last, word), word
    return rows[-1][-1] + talk


@pytest.mark.parametrize("seed", range(8))
def test_no_words_are_cheaper_than_those_found(seed: int) -> None:
    chance = random.Random(seed)
    by = rehearer()
    sounds = [chance.choice(SOUNDS) for _ in range(chance.randint(3, 7))]
    words = [Heard("zzz", tuple(sounds), 0.0, 1.0, 0.5)]
    found = tuple(choice.word for choice in by.best(words))
    tried = {
        row: whole_cost(by, row, sounds, 0.75) for length in (1, 2, 3) for row in itertools.product(WAYS, repeat=length)
    }
    cheapest = min(tried.values())
    if cheapest < 13.0 + 1e-9:  # else the nonsense that was written is cheaper
        assert tried[found] == pytest.approx(cheapest)
    else:
        assert found == ("zzz",) or tried[found] == pytest.approx(cheapest)
