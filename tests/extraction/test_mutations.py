"""A clear statement changed in one way changes its finding in that way and in no other.

Each region is told with each sign that is usual on it, in the lexicon's own words, on each side it has.
Left out are words that mean another sign on that region ("broken" of a toe is a fracture) or that carry their
own place (scaly leg is on the shank), for there the statement would not be clear.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import pytest

from dictate.extraction.assemble import Extractor
from dictate.model import Finding
from dictate.vocabulary import Vocabulary, load_vocabulary

# Regions that are no part one can point at: "there is X on the breathing" is not said.
NO_PARTS = {"general", "breathing", "plumage", "skin", "droppings"}
LONGEST = 2  # words of a way of saying a sign
ALL_WORDS_RIGHT = 0.98  # share of right statements over all nouns of the lexicon; .989 on 2026-11-25


@dataclass(frozen=True)
class Said:
    """What the statement should give; `none` for nothing at all."""

    region: str
    side: str | None
    sign: str
    presence: str = "present"
    when: str = "now"
    certainty: str = "sure"
    grade: int | None = None


# name → (with a noun, with an adjective, what changes; None: no finding is left)
MUTATIONS: dict[str, tuple[str, str, dict[str, object] | None]] = {
    "clear": ("There is {word} on the {place}.", "The {place} is {word}.", {}),
    "negated": ("There is no {word} on the {place}.", "The {place} is not {word}.", {"presence": "absent"}),
    "contracted": ("There isn't any {word} on the {place}.", "The {place} isn't {word}.", {"presence": "absent"}),
    "past": ("There was {word} on the {place} last month.", "The {place} was {word} last month.", {"when": "past"}),
    "doubted": ("There might be {word} on the {place}.", "The {place} might be {word}.", {"certainty": "possible"}),
    "graded": ("There is severe {word} on the {place}.", "The {place} is severely {word}.", {"grade": 3}),
    "advice": (
        "If there is {word} on the {place} you'd look again in a week.",
        "If the {place} is {word} you'd look again in a week.", None,
    ),
    "taught": (
        "You want to make sure there is no {word} on the {place}.",
        "You want to make sure the {place} is not {word}.", None,
    ),
}


def claimed(v: Vocabulary) -> dict[tuple[str, str], set[str]]:
    """(region, word) → the signs it means there before any other."""
    out: dict[tuple[str, str], set[str]] = {}
    for sign in v.signs.values():
        for region, words in sign.on.items():
            for word in words:
                out.setdefault((region, word.lower()), set()).add(sign.id)
    return out


def statements(v: Vocabulary, *, all_nouns: bool) -> Iterator[tuple[bool, str, str, str]]:
    """(is a noun, word, region, sign) for each usual pair: the sign's name or else its first noun, or all nouns."""
    there = claimed(v)
    anywhere: dict[str, set[str]] = {}
    for phrase, meaning in v.phrases():
        if meaning.kind == "sign" and not meaning.regions:
            anywhere.setdefault(phrase.lower(), set()).add(meaning.id)
    for sign in v.signs.values():
        for region in sign.usual:
            if region in NO_PARTS or (sign.always_home and sign.home != region):
                continue
            if sign.home and sign.home != region and v.regions[sign.home].limb == v.regions[region].limb != "":
                continue
            if all_nouns:
                words = [(True, word) for word in sign.noun if len(word.split()) <= LONGEST]
            elif sign.id in sign.noun:
                words = [(True, sign.id)]
            elif sign.id in sign.say or sign.id in sign.on.get(region, ()):
                words = [(False, sign.id)]
            else:
                words = [(True, word) for word in sign.noun[:1]]
            for noun, word in words:
                owners = there.get((region, word.lower()), {sign.id}) | anywhere.get(word.lower(), {sign.id})
                if owners == {sign.id}:
                    yield noun, word, region, sign.id


def understood(extractor: Extractor, text: str) -> set[Said]:
    def said(f: Finding) -> Said:
        return Said(f.region, f.side, f.sign, f.presence, f.when, f.certainty, f.grade)

    return {said(f) for exam in extractor.text(text).exams for f in exam.findings}


def wrong_ones(
    extractor: Extractor, mutation: str, *, all_nouns: bool, plain: bool = False
) -> tuple[list[str], int]:
    """The statements that give something else, and how many were tried."""
    v = extractor.vocabulary
    with_noun, with_adjective, change = MUTATIONS[mutation]
    wrong, tried = [], 0
    for noun, word, region, sign in statements(v, all_nouns=all_nouns):
        sides: tuple[str | None, ...] = ("left",) if all_nouns else ("left", "right")
        for side in sides if v.regions[region].paired else (None,):
            place = f"{side} {region}" if side else region
            text = (with_noun if noun else with_adjective).format(word=word, place=place)
            if plain:
                text = text.lower().rstrip(".")
            wanted = set() if change is None else {replace(Said(region, side, sign), **change)}  # type: ignore[arg-type]
            tried += 1
            found = understood(extractor, text)
            if found != wanted:
                wrong.append(f"{text} → {found or 'nothing'}")
    return wrong, tried


@pytest.mark.parametrize("plain", [False, True], ids=["written", "heard"])
@pytest.mark.parametrize("mutation", MUTATIONS)
def test_a_change_changes_what_it_should(extractor: Extractor, mutation: str, plain: bool) -> None:
    wrong, tried = wrong_ones(extractor, mutation, all_nouns=False, plain=plain)
    assert tried > 400
    assert wrong == []


@pytest.mark.parametrize("mutation", ["clear", "negated", "past", "advice"])
def test_all_nouns_of_the_lexicon(extractor: Extractor, mutation: str) -> None:
    wrong, tried = wrong_ones(extractor, mutation, all_nouns=True)
    assert tried > 2000
    assert len(wrong) <= (1 - ALL_WORDS_RIGHT) * tried, f"{len(wrong)} of {tried}, such as {wrong[:: len(wrong) // 10]}"


def test_swapping_the_side_swaps_nothing_else(extractor: Extractor) -> None:
    """A statement of two pairs: only what the swapped word stands before moves."""
    v = extractor.vocabulary
    paired = [r.id for r in v.regions.values() if r.paired and r.id not in NO_PARTS]
    for one, other in pairwise(paired):
        text = "The {a} {one} is bruised. No scab on the {b} {other}."
        for a in ("left", "right"):
            for b in ("left", "right"):
                found = understood(extractor, text.format(a=a, b=b, one=one, other=other))
                assert found == {Said(one, a, "bruise"), Said(other, b, "scab", "absent")}, (a, one, b, other)


def test_a_mutation_in_the_middle_leaves_its_neighbours_alone(extractor: Extractor) -> None:
    before, after = Said("comb", None, "pallor"), Said("vent", None, "swelling")
    middle = Said("hock", "left", "bruise")
    for name, (with_noun, _, change) in MUTATIONS.items():
        changed = with_noun.format(word="bruising", place="left hock")
        found = understood(extractor, f"The comb is pale. {changed} The vent is swollen.")
        wanted = {before, after} | (set() if change is None else {replace(middle, **change)})  # type: ignore[arg-type]
        assert found == wanted, name


def test_the_tables_are_not_empty() -> None:
    """The tests above would be true of nothing."""
    v = load_vocabulary()
    pairs = list(statements(v, all_nouns=False))
    assert len({sign for *_, sign in pairs}) > 45
    assert len({region for _, _, region, _ in pairs}) > 24


# -- one negation for a whole list

LISTED = ("wounds", "scabs", "bruises", "blisters", "lumps", "ulcers")

@pytest.mark.parametrize(
    ("size", "last"),
    [
        (2, "or"), (3, "or"), (4, "or"), (5, "or"), (6, "or"), (2, "and"), (3, "and"), (2, ","), (3, ","), (6, ","),
    ],
)
def test_a_negation_goes_for_every_member_of_a_list(extractor: Extractor, size: int, last: str) -> None:
    signs = [word.removesuffix("s") for word in LISTED[:size]]
    joined = f"{', '.join(LISTED[: size - 1])}{' ' if last.isalpha() else ''}{last} {LISTED[size - 1]}"
    for text in (f"No {joined} on the left hock.", f"Left hock: no {joined}."):
        assert understood(extractor, text) == {Said("hock", "left", sign, "absent") for sign in signs}, text


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Prolapse – no.", {Said("vent", None, "prolapse", "absent")}),
        ("Prolapse: no.", {Said("vent", None, "prolapse", "absent")}),
        ("Prolapse none.", {Said("vent", None, "prolapse", "absent")}),
    ],
)
def test_an_answer_after_the_sign(extractor: Extractor, text: str, wanted: set[Said]) -> None:
    assert understood(extractor, text) == wanted
