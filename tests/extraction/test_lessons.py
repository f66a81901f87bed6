"""What a lesson, a table of two sides and dialect give: short texts and the findings in the notation of the lexicon."""

from __future__ import annotations

import pytest

from dictate.extraction.assemble import Extractor
from dictate.extraction.examples import finding_note
from dictate.vocabulary import load_vocabulary

LESSONS = {
    "a sick hen will have bubbles in the eye this hen here her eyes are clear and her comb is red": [
        "eye both: normal", "comb: normal",
    ],
    "if she were wheezy you'd ring the vet but listen to her she's not wheezy": ["breathing: no wheezing"],
    "what does an egg bound hen look like her belly is hard and hot in this hen the belly is soft": ["abdomen: normal"],
    "Class, a comb that goes blue is bad news. You'd ring the vet. This one's comb is red.": ["comb: normal"],
    "Class, scaly leg is a mite. You'd see crusts. You'd see lifted scales. Here's band 88. Left shank: raised scales.": [
        "shank left: raised scales",
    ],
    "A listener writes that her hens have swollen eyes. You'd want a vet for that.": [],
}
TABLES = {
    "L/R: hock – / sw ++; pad scab / ✓": [
        "hock left: normal", "hock right: swelling 2", "foot pad left: scab", "foot pad right: normal",
    ],
    "R/L: eye weepy / ✓": ["eye right: discharge", "eye left: normal"],
    "FP L/R 0/hard+": ["foot pad left: normal", "foot pad right: hardened 1"],
    "| L | R\neye | ✓ | cloudy": ["eye left: normal", "eye right: cloudiness"],
    "pads L: 0, R: scab": ["foot pad left: normal", "foot pad right: scab"],
    "Wings L/R ok": ["wing both: normal"],
}
SAID = {
    "the keel isn't straight": ["keel: deviated"],
    "the keel isn't sharp": ["keel: no thin"],
    "wi' a scab on th' left pad an' nowt on t' right": ["foot pad left: scab"],
    "she's wheezin an' limpin": ["breathing: wheezing", "general: lameness"],
    "no external parasites": ["skin: no mites", "skin: no lice"],
    "left hock hot, the other hock's fine": ["hock left: hot", "hock right: normal"],
    "right hock swollen, toes on that side curled": ["hock right: swelling", "toe right: deviated"],
    "pads: left one hard right one fine": ["foot pad left: hardened", "foot pad right: normal"],
    "left hock swollen, keel straight. Sorry, it was the right hock.": ["hock right: swelling", "keel: normal"],
    "swelling in the right hock but not the left": ["hock right: swelling", "hock left: no swelling"],
    "she has lice, lice round the vent": ["vent: lice"],
    "limping, it's the right leg definitely": ["leg right: lameness"],
    "a scab underneath the right foot": ["foot pad right: scab"],
    "a bald spot the size of a coin on her back": ["back: feather loss"],
}


@pytest.fixture(scope="module")
def extractor() -> Extractor:
    return Extractor(load_vocabulary())


@pytest.mark.parametrize(("text", "wanted"), [*LESSONS.items(), *TABLES.items(), *SAID.items()])
def test_what_is_found(extractor: Extractor, text: str, wanted: list[str]) -> None:
    found = [finding_note(finding) for exam in extractor.text(text).exams for finding in exam.findings]
    assert sorted(found) == sorted(wanted)
