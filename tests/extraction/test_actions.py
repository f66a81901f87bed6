"""Actions done and planned with their delays, and what is none. Common practice; delays by the record's terms."""

from __future__ import annotations

import pytest

from dictate.extraction.assemble import Extractor

Actions = list[tuple[str, int | None]]

DONE_OR_PLANNED: list[tuple[str, Actions]] = [
    ("recheck in two weeks", [("recheck", 14)]), ("recheck q7d", [("recheck", 7)]), ("recheck 2/52", [("recheck", 14)]),
    ("r/c 1wk", [("recheck", 7)]), ("see her again on friday", [("recheck", None)]),
    ("look again tomorrow", [("recheck", 1)]),
    ("in two weeks i'll check her again", [("recheck", 14)]), ("recheck in five days no seven days", [("recheck", 7)]),
    ("Recheck 5 days, no, 7.", [("recheck", 7)]), ("i want to weigh her again in a month", [("recheck", 30)]),
    ("oil on both legs every other day", [("treat", 2)]), ("drops 5/7", [("treat", 5)]),
    ("recheck in 48 hours", [("recheck", 2)]),
    ("dust her again in a week", [("treat", 7)]),
    ("I've dusted her and I'll do it again in seven days", [("treat", None), ("treat", 7)]),
    ("Powder today, and again in 7 days.", [("treat", None), ("treat", 7)]),
    ("Wormed, again 14d", [("treat", None), ("treat", 14)]),
    ("dust now & q7d", [("treat", None), ("treat", 7)]),
    ("Wormed 12/7, repeat in 14d.", [("treat", None), ("treat", 14)]),
    ("soaked and wrapped recheck 3d", [("clean", None), ("dress", None), ("recheck", 3)]),
    ("keep the eggs back for ten days", [("withhold", 10)]), ("eggs bin 10d", [("withhold", 10)]),
    ("no eggs from that pen for fourteen days", [("withhold", 14)]),
    ("put her in the spare hutch for four days", [("isolate", 4)]),
    ("keep her away from the others for a week", [("isolate", 7)]),
    ("isolate her and call the vet", [("isolate", None), ("vet", None)]),
    ("vet tomorrow", [("vet", 1)]), ("the vet's booked for friday", [("vet", None)]),
    ("claws want cutting so i cut them", [("trim", None)]),
    ("i'm going to flush that ear out and put drops in it for five days", [("clean", None), ("treat", 5)]),
    ("Plan: isolate 7d, swab, vet.", [("isolate", 7), ("sample", None), ("vet", None)]),
    ("reported it to the ministry", [("report", None)]), ("we'll have to cull him", [("cull", None)]),
    ("clean and dress the foot every two days", [("clean", 2), ("dress", 2)]),
]
NONE = [
    "if she gets worse i'll call the vet", "ring vet in a.m. if no egg", "Should it get worse, isolate.",
    "trim the beak if it's grown over",
    "you'd want to dust her", "people often dust them", "i would have dusted her but i ran out",
    "some people would cull at this point",
    "didn't dust her today", "not wormed", "no need to trim", "no treatment needed", "stop the drops",
    "give her the drops no don't",
    "the vet said it was nothing", "should i trim these", "i'm washing my hands first", "let me feel that crop again",
    "vent clean and dry",
    "she laid two eggs and they're in the box", "no eggs today", "off the medicine now", "dressing off",
]


def actions(extractor: Extractor, text: str) -> Actions:
    return [(a.kind, a.in_days) for exam in extractor.text(text).exams for a in exam.actions]


@pytest.mark.parametrize(("text", "wanted"), DONE_OR_PLANNED, ids=[t for t, _ in DONE_OR_PLANNED])
def test_done_or_planned(extractor: Extractor, text: str, wanted: Actions) -> None:
    assert actions(extractor, text) == wanted


@pytest.mark.parametrize("text", NONE)
def test_advised_conditional_undone_or_no_action_at_all(extractor: Extractor, text: str) -> None:
    assert actions(extractor, text) == []


def test_an_action_is_of_the_bird_it_names(extractor: Extractor) -> None:
    exams = extractor.text(
        "treacle first she's a hen lice at the vent then nutmeg she's a hen left foot swollen "
        "so dust treacle and soak nutmeg's foot for three days").exams
    assert {e.bird.name: [(a.kind, a.in_days) for a in e.actions] for e in exams} == {
        "treacle": [("treat", None)], "nutmeg": [("clean", 3)]}


@pytest.mark.parametrize("said", ["Both soaked & dressed.", "Both of them soaked & dressed."])
def test_an_action_of_both_birds(extractor: Extractor, said: str) -> None:
    exams = extractor.text(f"Clover = L foot pad ulcer. Dandelion = R foot pad ulcer. {said}").exams
    assert [[a.kind for a in e.actions] for e in exams] == [["clean", "dress"], ["clean", "dress"]]


def test_the_object_of_an_action_is_not_examined(extractor: Extractor) -> None:
    (exam,) = extractor.text("trimmed the beak and flushed the left eye").exams
    assert exam.findings == ()


def test_the_quote_is_what_was_said(extractor: Extractor) -> None:
    text = "comb pale. I'll soak that foot in warm water for three days."
    (found,) = extractor.text(text).exams[0].actions
    assert text[found.span.start : found.span.end] == found.quote
    assert found.quote.startswith("soak that foot")
    assert found.quote.endswith("three days")
