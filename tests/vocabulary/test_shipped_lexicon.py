"""The words that are shipped: all valid, all understood, enough of them, none out of reach."""

from __future__ import annotations

import re
from collections import Counter, defaultdict

import pytest
from labelled import FINDING

from dictate.extraction.assemble import Extractor
from dictate.extraction.examples import finding_note, wrong_examples
from dictate.extraction.phrases import PhraseFinder
from dictate.extraction.tokens import tokenise, words_of
from dictate.vocabulary import Vocabulary, load_vocabulary

AT_LEAST = 1_500  # ways of saying things, as the parser was promised; far more are shipped
AT_LEAST_OF_REGIONS = 400
AT_LEAST_OF_SIGNS = 1_000

REGIONS = (
    "general, breathing, face, eye, nare, beak, mouth, ear, comb, wattle, neck, crop, breast, keel, back, wing, "
    "preen gland, tail, abdomen, vent, pubic bones, leg, hock, shank, foot, foot pad, toe, claw, spur, skin, "
    "plumage, droppings"
).split(", ")
PAIRED = set("face, eye, nare, ear, wattle, wing, leg, hock, shank, foot, foot pad, toe, claw, spur".split(", "))
ACTIONS = set("recheck isolate treat clean trim dress sample vet report withhold cull other".split())

# Filler sounds are taken out of running talk before phrases are looked for, so these are never met:
# the words after the sound still are ("er no" is heard as "no" after a gap).
FILLERS_IN_PHRASES = {"er", "er no", "um no", "hmm no"}

# Cues that stood without an example of their own on 2026-11-25, with one each: (sentence, findings).
# An example written into the lexicon takes the place of the one here.
EXAMPLES: dict[str, tuple[str, list[str]]] = {
    "nothing": ("Nothing on her feet apart from a scab on the left pad.", ["foot pad left: scab"]),
    "decoy": ("There is no change in the swelling of the left hock.", ["hock left: swelling"]),
    "double-negation": ("The vent is not free of mites.", ["vent: mites"]),
    "no-belief": ("I don't think the left hock is swollen.", ["hock left: possibly no swelling"]),
    "certain": ("That is definitely a scab on the comb.", ["comb: scab"]),
    "past-after": ("Scab on the comb last month.", ["comb: past scab"]),
    "still": ("The swelling on the left hock is still there.", ["hock left: swelling"]),
    "now": ("She had mites last year. Now there are lice on the vent.", ["skin: past mites", "vent: lice"]),
    "if": ("If there is a scab on the comb call me. The beak is crossed.", ["beak: misaligned"]),
    "would": ("You'd see mites on the vent in a bad case. The comb is pale.", ["comb: pallor"]),
    "back-to-the-bird": ("You'd see mites in a bad case. This one has lice on the vent.", ["vent: lice"]),
    "reported": ("The owner said the comb was pale. The crop is full.", ["crop: full"]),
    "stop": ("No cuts on the comb but a scab.", ["comb: no wound", "comb: scab"]),
    "exception": (
        "No scabs on either wing except the left.", ["wing left: scab", "wing right: no scab"],
    ),
    "correction": ("Left hock, correction, right hock is swollen.", ["hock right: swelling"]),
    "withdraw": ("The comb is pale. Scratch that. The crop is full.", ["crop: full"]),
    "ditto": ("The left hock is swollen. Same on the other side.", ["hock left: swelling", "hock right: swelling"]),
    "other-bird": ("Her sister had a scab on the comb. This one's beak is crossed.", ["beak: misaligned"]),
    "aside": ("Mind your finger, there is a cut on your hand. The comb is pale.", ["comb: pallor"]),
}


@pytest.fixture(scope="module")
def vocabulary() -> Vocabulary:
    return load_vocabulary()


@pytest.fixture(scope="module")
def extractor(vocabulary: Vocabulary) -> Extractor:
    return Extractor(vocabulary)


# -- what must be there


def test_all_regions_in_the_order_of_the_exam(vocabulary: Vocabulary) -> None:
    assert list(vocabulary.head_to_tail) == REGIONS
    assert {region.id for region in vocabulary.regions.values() if region.paired} == PAIRED


def test_all_actions_grades_and_sides(vocabulary: Vocabulary) -> None:
    assert set(vocabulary.actions) >= ACTIONS - {"other"}
    assert {grade.step for grade in vocabulary.grades.values()} == {1, 2, 3}
    assert set(vocabulary.sides) >= {"left", "right", "both"}


def test_ways_of_saying(vocabulary: Vocabulary) -> None:
    said: dict[str, set[str]] = defaultdict(set)
    for phrase, meaning in vocabulary.phrases():
        said[meaning.kind].add(phrase.lower())
    assert len(set().union(*said.values())) >= AT_LEAST
    assert len(said["region"]) >= AT_LEAST_OF_REGIONS
    assert len(said["sign"]) >= AT_LEAST_OF_SIGNS
    assert [kind for kind in ("grade", "side", "cue", "action", "delay", "unit", "bird") if not said[kind]] == []


def test_every_region_and_sign_can_be_said(vocabulary: Vocabulary) -> None:
    said = {(m.kind, m.id) for _, m in vocabulary.phrases() if not m.form.startswith(("short", "glued"))}
    assert [r for r in vocabulary.regions if ("region", r) not in said] == []
    assert [s for s in vocabulary.signs if ("sign", s) not in said] == []


def test_signs_speak_of_known_regions_and_their_home_is_usual(vocabulary: Vocabulary) -> None:
    for sign in vocabulary.signs.values():
        assert {*sign.on, *sign.usual} <= set(vocabulary.regions), sign.id
        assert not sign.home or not sign.usual or sign.home in sign.usual, sign.id
        assert not sign.always_home or sign.home, sign.id


def test_spellings_lead_to_words_that_are_known(vocabulary: Vocabulary) -> None:
    known = {phrase.lower() for phrase, _ in vocabulary.phrases()}
    assert [entry.id for entry in vocabulary.spellings.values() if entry.id.lower() not in known] == []


def test_no_phrase_stands_twice_in_one_list(vocabulary: Vocabulary) -> None:
    seen = Counter((phrase, m.kind, m.id, m.form, m.regions) for phrase, m in vocabulary.phrases())
    twice = [key for key, times in seen.items() if times > 1]
    assert len(twice) <= TWICE, twice[:20]


TWICE = 40  # harmless, but a keeper who takes one away wonders why the word is still there


# -- what the tokeniser makes of them


def test_every_phrase_gives_words(vocabulary: Vocabulary) -> None:
    assert [phrase for phrase, _ in vocabulary.phrases() if not words_of(phrase)] == []


def test_no_phrase_is_lost_by_the_tokeniser(vocabulary: Vocabulary) -> None:
    """Written alone in running text, each phrase is found whole and with its meaning."""
    finder = PhraseFinder(vocabulary)
    lost = set()
    for phrase, meaning in vocabulary.phrases():
        if meaning.kind in ("number", "command") or meaning.form == "glued" or meaning.id == "not-a-name":
            continue  # read by other means than the phrase table
        before = "3 " if meaning.kind == "unit" else ""
        words = [token.low for token in tokenise(before + phrase)]
        found = [
            m for start, end, senses in finder.find(words) if end == len(words) and start == len(before.split())
            for m in senses
        ]
        if not any((m.kind, m.id) == (meaning.kind, meaning.id) for m in found):
            lost.add(phrase)
    assert lost <= FILLERS_IN_PHRASES


def test_capitals_make_no_other_words(vocabulary: Vocabulary) -> None:
    phrases = [phrase for phrase, meaning in vocabulary.phrases() if meaning.kind in ("region", "sign")]
    plain = [phrase for phrase in phrases if "'" not in phrase and "\u2019" not in phrase]  # see the parser's tests
    assert len(plain) > 3000
    assert [phrase for phrase in plain if words_of(phrase.upper()) != words_of(phrase)] == []


# -- examples


def test_examples_in_the_lexicon_give_what_they_expect(vocabulary: Vocabulary) -> None:
    assert wrong_examples(vocabulary) == []


def test_expectations_are_written_in_the_notation(vocabulary: Vocabulary) -> None:
    """A slip there would make the example wrong for ever, or right by chance."""
    wrong = []
    for cue in vocabulary.cues.values():
        for line in cue.expect or ():
            match = FINDING.fullmatch(line)
            if not (match and match["region"] in vocabulary.regions and match["sign"] in vocabulary.signs):
                wrong.append((cue.id, line))
        if cue.expect is not None and not cue.example:
            wrong.append((cue.id, "expects something, but has no example"))
    assert wrong == []


def test_the_phrases_of_a_cue_are_in_its_example(vocabulary: Vocabulary) -> None:
    """An example shows its own cue and not another's."""
    for cue in vocabulary.cues.values():
        if cue.example:
            words = f" {' '.join(words_of(cue.example))} "
            phrases = [" ".join(words_of(phrase)) for phrase in (*cue.say, *cue.short)]
            assert any(f" {phrase} " in words for phrase in phrases), cue.id


@pytest.mark.parametrize("cue", EXAMPLES)
def test_cues_without_an_example_of_their_own(extractor: Extractor, cue: str) -> None:
    entry = extractor.vocabulary.cues[cue]
    if entry.example and entry.expect is not None:
        pytest.skip("the lexicon has an example now")
    sentence, expected = EXAMPLES[cue]
    found = {finding_note(finding) for exam in extractor.text(sentence).exams for finding in exam.findings}
    assert found == set(expected)


def test_the_rest_is_normal(extractor: Extractor) -> None:
    for phrase in extractor.vocabulary.cues["rest"].say[:20]:
        [exam] = extractor.text(f"Blue 42. The comb is pale. {phrase[0].upper()}{phrase[1:]}.").exams
        assert exam.rest_normal, phrase
        assert [finding_note(f) for f in exam.findings] == ["comb: pallor"], phrase


def test_ids_are_plain_words(vocabulary: Vocabulary) -> None:
    for cue in vocabulary.cues.values():
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", cue.id)
