"""Two listeners: what both heard is sure, what one heard is looked over, what they contradict is asked."""

from __future__ import annotations

import pytest

from dictate.extraction import extract
from dictate.fusion.agree import judged
from dictate.fusion.doubt import doubted
from dictate.fusion.mend import weights
from dictate.model import Draft, Finding, Utterance, Word
from dictate.vocabulary import Vocabulary, load_vocabulary

ONE, OTHER = "whisper", "pocketsphinx"


@pytest.fixture(scope="module")
def vocabulary() -> Vocabulary:
    return load_vocabulary()


def talk(text: str, listener: str, confidence: float = 0.9, start: float = 0.0) -> list[Utterance]:
    """One utterance, a word each .4 seconds."""
    words = tuple(
        Word(word, start + n * 0.4, start + n * 0.4 + 0.4, confidence) for n, word in enumerate(text.split())
    )
    return [Utterance(words, listener, words[0].start, words[-1].end)]


def together(vocabulary: Vocabulary, one: str, other: str, start: float = 0.0) -> Draft:
    amounts, most = weights()["together"], weights()["listeners"]["ask_at"]
    drafts = {OTHER: extract(talk(other, OTHER, start=start), vocabulary)}
    return judged(extract(talk(one, ONE), vocabulary), drafts, amounts, most)


def findings(draft: Draft) -> dict[str, Finding]:
    return {finding.sign: finding for exam in draft.exams for finding in exam.findings}


def questions(draft: Draft) -> list[str]:
    return [f"{q.kind}: {q.text}" for exam in draft.exams for q in exam.questions if q.kind not in ("band",)]


def test_what_both_heard_is_sure(vocabulary: Vocabulary) -> None:
    text = "left hock swollen"
    found = findings(together(vocabulary, text, text))["swelling"]
    assert (found.verdict, found.listeners) == ("sure", (ONE, OTHER))


def test_agreement_takes_doubts_away_but_never_adds_to_certainty(vocabulary: Vocabulary) -> None:
    text = "left hock swollen"
    found = findings(together(vocabulary, text, text))["swelling"]
    assert found.score <= 1
    assert all(p.name != "heard by one listener" for p in found.penalties)


def test_what_one_heard_alone_is_looked_over(vocabulary: Vocabulary) -> None:
    found = findings(together(vocabulary, "left hock swollen", "the rest of that was hard to hear"))["swelling"]
    assert (found.verdict, found.listeners) == ("check", (ONE,))
    assert "heard by one listener alone" in {p.name for p in found.penalties}


@pytest.mark.parametrize(
    ("one", "other", "question"),
    [
        ("left hock swollen", "right hock swollen", "side: Which hock?"),
        ("left hock swollen", "left hock not swollen", "presence: hock: is there swelling?"),
    ],
)
def test_a_side_or_an_absence_that_differs_is_asked(
    vocabulary: Vocabulary, one: str, other: str, question: str
) -> None:
    draft = together(vocabulary, one, other)
    assert findings(draft)["swelling"].verdict == "ask"
    assert any(asked.startswith(question) for asked in questions(draft))


@pytest.mark.parametrize(("other", "verdict"), [("weight 2100 grams", "sure"), ("weight 2200 grams", "ask")])
def test_a_number_is_sure_only_where_both_heard_it(vocabulary: Vocabulary, other: str, verdict: str) -> None:
    draft = together(vocabulary, "weight 2100 grams", other)
    [measurement] = draft.exams[0].measurements
    assert measurement.verdict == verdict
    asked = [q for q in draft.exams[0].questions if q.kind == "number"]
    assert [q.choices for q in asked] == ([("2100", "2200")] if verdict == "ask" else [])


def test_a_number_that_one_heard_is_looked_over(vocabulary: Vocabulary) -> None:
    [measurement] = together(vocabulary, "weight 2100 grams", "wait for the gate").exams[0].measurements
    assert measurement.verdict == "check"


def test_the_same_words_at_another_time_are_no_agreement(vocabulary: Vocabulary) -> None:
    text = "left hock swollen"
    assert findings(together(vocabulary, text, text, start=30.0))["swelling"].verdict != "sure"


def test_what_only_the_other_heard_is_asked_about(vocabulary: Vocabulary) -> None:
    draft = together(vocabulary, "the comb is red", "left hock swollen", start=4.0)
    assert "swelling" not in findings(draft)
    assert any("left hock: swelling" in asked and OTHER in asked for asked in questions(draft))


def test_another_name_for_the_bird_is_asked_about(vocabulary: Vocabulary) -> None:
    draft = together(vocabulary, "blue 42 left hock swollen", "blue 52 left hock swollen")
    assert draft.exams[0].bird.band == "blue 42"
    assert draft.exams[0].bird.verdict != "sure"
    assert any(q.field == "band" for q in draft.exams[0].questions)


def test_with_no_other_listener_nothing_changes(vocabulary: Vocabulary) -> None:
    draft = extract(talk("left hock swollen", ONE), vocabulary)
    assert judged(draft, {}, weights()["together"], 0.15) is draft


@pytest.mark.parametrize(("confidence", "verdict"), [(0.95, "sure"), (0.5, "check")])
def test_one_listener_in_doubt_is_looked_over(vocabulary: Vocabulary, confidence: float, verdict: str) -> None:
    draft = extract(talk("left hock swollen", OTHER, confidence), vocabulary)
    assert findings(doubted(draft, weights()["alone"][OTHER]))["swelling"].verdict == verdict


def test_every_place_in_the_order_of_listeners_is_one(vocabulary: Vocabulary) -> None:
    from dictate.speech import LISTENERS

    assert set(weights()["listeners"]["order"]) == set(LISTENERS)
