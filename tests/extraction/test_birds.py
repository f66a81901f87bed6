"""Which bird: bands and names in many ways of saying, several birds, going back. Invented birds; common practice."""

from __future__ import annotations

import pytest

from dictate.extraction.assemble import Extractor


def birds(extractor: Extractor, text: str) -> list[str]:
    """The birds of the text as "band/name", "-" for one not known."""
    return ["/".join(part for part in (e.bird.band, e.bird.name) if part) or "-" for e in extractor.text(text).exams]


BANDS = [
    ("blue band forty two hen comb pale", "blue 42"), ("Blu 42 comb pale", "blue 42"),
    ("leg band one oh seven comb pale", "107"), ("bravo seventeen comb pale", "b 17"), ("W-118 comb pale", "w 118"),
    ("delta double four rooster", "d 44"), ("kilo eight vent clean", "k 8"),
    ("she's wearing a black ring with a twelve on it", "black 12"),
    ("Her band reads white, one, one, eight.", "white 118"),
    ("ring number four five six comb red", "456"), ("No. 31, cockerel, spurs long", "31"),
    ("the tag says three three two", "332"),
    ("four oh two's a hen vent soiled", "402"), ("Okay, 58. Hen. Keel straight.", "58"), ("band B 9, crop full", "b 9"),
    ("zip tie, red, number 2, crop full", "red 2"), ("number sixty three sixty three hen", "63"),
    ("yellow seventeen that's yellow one seven", "yellow 17"), ("white 40 hen 52wks", "white 40"),
    ("hen number one hundred and seven", "107"), ("Bird ID: 42-B. Hen.", "42 b"),
    ("red seven no sorry red eleven comb pale", "red 11"),
]
NAMES = [
    ("this is dotty and she's a hen", "dotty"), ("a hen called button she's eleven weeks", "button"),
    ("fern is a hen comb pale", "fern"), ("ruby next she has no ring", "ruby"), ("Petal - dull, crop empty", "Petal"),
    ("Poor old Hattie has a swollen hock.", "Hattie"), ("treacle's comb is pale", "treacle"),
    ("Right: Winnie. Hen. Eyes clear.", "Winnie"),
    ("This is Mrs Tibbs. Comb pale.", "Mrs Tibbs"), ("we call him bosun comb pale", "bosun"),
    ("her name's hazel no hazel's the other one this is myrtle", "myrtle"), ("gladys comb pale crop empty", "gladys"),
    ("Biscuit, the buff hen, is in moult.", "Biscuit"), ("So this big fellow is Admiral. Comb pale.", "Admiral"),
]
NOBODY = [
    "comb red five points spurs long", "five or six lice under the right wing", "no ring on this one comb pale",
    "Keel straight. Thursday I shall weigh her.", "imagine a hen called petal with a hard crop",
    "why is she so scruffy she's only moulting",
    "Mr Hobbs asked me to look at her. Comb pale.", "lost a hen in pen four", "BCS 3/5, keel score 1",
    "recheck next week",
    "next the keel it's straight", "I'll ring him tomorrow with a green one",
]
SEVERAL = [
    ("first bird red four comb pale next bird red five crop full", ["red 4", "red 5"]),
    ("blue two comb pale next green nine rooster spurs long back to blue two crop full", ["blue 2", "green 9"]),
    ("Blue 4, 5 and 6: NAD. Blue 7: lice +.", ["blue 4", "blue 5", "blue 6", "blue 7"]),
    ("Red 1 to 4 all NAD", ["red 1", "red 2", "red 3", "red 4"]),
    ("12 - crop full\n15 - NAD\n16 - lice +", ["12", "15", "16"]),
    ("Red 4 & 5 NAD\nRed 9 lice ++", ["red 4", "red 5", "red 9"]),
    ("Daisy: comb pale\nMaisie: crop empty\nHetty - NAD", ["Daisy", "Maisie", "Hetty"]),
    ("treacle first she's a hen lice at the vent then nutmeg she's got a swollen foot and back to treacle her left eye is watery",
     ["treacle", "nutmeg"]),
    ("the cock bird's gold four and his hen's gold five", ["gold 4", "gold 5"]),
    ("Dolly. Red 4. Comb pale. Molly. Red 5. Crop full.", ["red 4/Dolly", "red 5/Molly"]),
    ("So this is Blue; the band she wears on her left leg is orange 9. Comb red.", ["orange 9/Blue"]),
    ("This is Ned: cockerel, 17 weeks, band Green 6. Comb red.", ["green 6/Ned"]),
    ("Okay, Molly, pass me the torch. Blue 7, hen. Comb pale.", ["blue 7"]),
    ("is it 140 hen number one hundred forty on the leg is blue blue one hundred forty", ["blue 140"]),
]


@pytest.mark.parametrize(("text", "bird"), BANDS + NAMES, ids=[t for t, _ in BANDS + NAMES])
def test_one_bird(extractor: Extractor, text: str, bird: str) -> None:
    assert birds(extractor, text) == [bird]


@pytest.mark.parametrize("text", NOBODY)
def test_no_bird_is_named(extractor: Extractor, text: str) -> None:
    assert birds(extractor, text) == ["-"]


@pytest.mark.parametrize(("text", "wanted"), SEVERAL, ids=[t[:40] for t, _ in SEVERAL])
def test_several_birds(extractor: Extractor, text: str, wanted: list[str]) -> None:
    assert birds(extractor, text) == wanted


def test_what_is_said_of_a_list_is_said_of_each(extractor: Extractor) -> None:
    exams = extractor.text("Olive 1 Olive 2 Olive 3, all NAD. Olive 4: vent pasted.").exams
    assert [(e.bird.band, e.rest_normal) for e in exams] == [
        ("olive 1", True), ("olive 2", True), ("olive 3", True), ("olive 4", False)]


def test_going_back_adds_to_the_first_exam(extractor: Extractor) -> None:
    first, second = extractor.text("red four comb pale next bird red five crop full back to red four keel bent").exams
    assert [f.region for f in first.findings] == ["comb", "keel"]
    assert [f.region for f in second.findings] == ["crop"]


@pytest.mark.parametrize(("text", "sex"), [
    ("red four hen comb pale", "hen"), ("red four rooster", "rooster"), ("a pullet red four", "pullet"),
    ("red four she has lice", None),
])
def test_sex_comes_from_a_sex_word(extractor: Extractor, text: str, sex: str | None) -> None:
    assert extractor.text(text).exams[0].bird.sex == sex
