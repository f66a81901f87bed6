"""Ordinary words that recognisers write for trade words: taken for them where nothing else can be meant, and never sure."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.extraction import extract_text
from dictate.extraction.assemble import Extractor
from dictate.extraction.examples import finding_note
from dictate.vocabulary import Vocabulary, load_vocabulary


def findings(extractor: Extractor, text: str) -> set[str]:
    return {finding_note(f) for exam in extractor.text(text).exams for f in exam.findings}


MENDED = [
    ("the meant is clean", "vent: normal"),
    ("crop empty meant clean keel straight", "vent: normal"),
    ("the cone has no scabs", "comb: no scab"),
    ("crop soft, kill is straight", "keel: normal"),
    ("left waddle is swollen", "wattle left: swelling"),
    ("no words in the droppings", "droppings: no worms"),
]


@pytest.mark.parametrize(("text", "wanted"), MENDED)
def test_a_misheard_word_is_taken_for_what_fits(extractor: Extractor, text: str, wanted: str) -> None:
    assert wanted in findings(extractor, text)


@pytest.mark.parametrize(("text", "wanted"), MENDED)
def test_what_comes_of_a_misheard_word_is_never_sure(extractor: Extractor, text: str, wanted: str) -> None:
    [found] = [f for exam in extractor.text(text).exams for f in exam.findings if finding_note(f) == wanted]
    if "misheard word" in {p.name for p in found.penalties}:
        assert found.verdict != "sure"
    else:  # a listed slip of the recogniser (spellings.toml)
        assert "waddle" in text


def test_the_words_said_are_quoted_as_they_were_heard(extractor: Extractor) -> None:
    [exam] = extractor.text("the meant is clean").exams
    assert "meant" in exam.findings[0].quote


@pytest.mark.parametrize(
    "text",
    [
        "she went to the shed",
        "what she meant is clear enough to me",
        "i will kill the lights",
        "keep calm and carry on",
        "he went clean off his food",
        "they said it is plain",
        "i put the key on the shelf",
        "the cone of the feeder",
        "that is what i meant",
        "she was calm",
        "we had words about it",
        "pack it in",
        "i can reach the peak of the roof",
        "no words were spoken",
        "she would kill for corn",
    ],
)
def test_ordinary_english_gives_no_part_of_a_body(extractor: Extractor, text: str) -> None:
    mended = [
        f
        for exam in extractor.text(text).exams
        for f in exam.findings
        if "misheard word" in {p.name for p in f.penalties}
    ]
    assert mended == []


def test_a_word_that_the_keeper_gives_a_sense_keeps_it(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text('[[sign]]\nid = "lump"\nsay = ["meant"]', encoding="utf-8")
    own = load_vocabulary(overlay=tmp_path)
    exams = extract_text("comb meant", own).exams
    assert [finding_note(f) for exam in exams for f in exam.findings] == ["comb: lump"]
    notes = {finding_note(f) for exam in extract_text("the meant is clean", own).exams for f in exam.findings}
    assert "vent: normal" not in notes


def test_every_misheard_word_stands_for_one_that_is_known(vocabulary: Vocabulary) -> None:
    known = {phrase.lower() for phrase, meaning in vocabulary.phrases() if meaning.kind in ("region", "sign")}
    entries = vocabulary.entries("misheard")
    assert len(entries) > 100
    assert [entry.id for entry in entries.values() if entry.id not in known] == []
    assert [w for entry in entries.values() for w in (*entry.say, *entry.perhaps) if w in known] == []


def test_a_misspelt_word_alone_is_never_sure(extractor: Extractor) -> None:
    [exam] = extractor.text("Blue 42. Left hock swollenn.").exams
    [found] = exam.findings
    assert finding_note(found) == "hock left: swelling"
    assert [(p.name, found.verdict) for p in found.penalties] == [("repaired word", "check")]
    [exam] = extractor.text("Blue 42. Left wattlee swollen.").exams
    assert [(p.name, f.verdict) for f in exam.findings for p in f.penalties] == [("repaired word", "check")]
