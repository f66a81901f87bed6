"""The same thing said in many ways: delays, weights, ages, bands, names, deeds done to some of several birds.

Each row is a way of saying and what it means, written from the words alone. Birds are invented.
"""

from __future__ import annotations

from typing import Any

import pytest

from dictate.extraction.assemble import Extractor
from dictate.model import draft_record

LB, OZ = 453.59237, 28.349523125
BIRD = "blue six hen "


def exams(extractor: Extractor, text: str) -> list[dict[str, Any]]:
    return list(draft_record(extractor.text(text))["exams"])


def values(extractor: Extractor, text: str, kind: str) -> list[float]:
    return [
        round(m["value"], 1)
        for exam in exams(extractor, text) for m in exam["measurements"] if m["kind"] == kind and not m.get("former")
    ]


DELAYS = [
    ("in two weeks", 14), ("a week on tuesday", None), ("a week tuesday", None), ("come the weekend", None),
    ("in ten days' time", 10), ("in a fortnight", 14), ("fortnight", 14), ("fortnightly", 14), ("in a good fortnight", 14),
    ("in a week or so", 7), ("in a couple weeks", 14), ("in two or three days", 2), ("in five to seven days", 6),
    ("in eight ten days", 9), ("within the week", 7), ("in forty eight hours", 2), ("in a half hour", None),
    ("in a month or so", 30), ("the morn", 1), ("day after tomorrow", 2), ("come morning", 1), ("tonight", None),
    ("a week tomorrow", 8), ("two weeks tomorrow", 15), ("four days from today", 4), ("every third day", 3),
    ("every three days", 3), ("nightly", 1), ("at the end of the week", None), ("end of next week", None),
    ("the week after next", 14), ("three days hence", 3), ("after two days only", 2), ("in one month time", 30),
]


@pytest.mark.parametrize(("said", "days"), DELAYS)
def test_delays(extractor: Extractor, said: str, days: int | None) -> None:
    (exam,) = exams(extractor, f"{BIRD}comb fine i'll look at her again {said} and that's her done")
    assert [(a["kind"], a["in_days"]) for a in exam["actions"]] == [("recheck", days)]


WEIGHTS = [
    ("two kilo one hundred", 2100), ("two kilo fifty", 2050), ("two kilo three", 2300), ("one kilo nine", 1900),
    ("one kilo seven seven five", 1775), ("one kilo and nine hundred", 1900), ("a kilo eight", 1800),
    ("kilo and a half", 1500), ("one and three quarter kilos", 1750), ("nineteen forty", 1940),
    ("she's twenty one hundred", 2100), ("two one five oh", 2150), ("two point oh five", 2050), ("she's two point one", 2100),
    ("is the heavier at two point four", 2400), ("five pound six", 5 * LB + 6 * OZ), ("three and three quarter pounds", 3.75 * LB),
    ("five pound six and a half", 5 * LB + 6.5 * OZ), ("four pound and an ounce", 4 * LB + OZ), ("four pound nothing", 4 * LB),
    ("a shade under four pound", 4 * LB), ("four pounds and ten and a half ounces", 4 * LB + 10.5 * OZ),
    ("just over three kilo three kilo and eighty to be exact", 3080), ("a bit under two kilo nineteen eighty", 1980),
    ("was two point four kilos now two point two", 2200), ("last time two point four kilos today two point two", 2200),
    ("weighed her last week at nineteen hundred she's nineteen fifty today", 1950),
    ("she's lost a hundred grams so she's two point two kilos", 2200), ("gained two ounces now four pound two", 4 * LB + 2 * OZ),
    ("between two and two point two kilos", 2100), ("two kilos sorry two point two", 2200), ("4½lb", 4.5 * LB),
]


@pytest.mark.parametrize(("said", "grams"), WEIGHTS)
def test_weights(extractor: Extractor, said: str, grams: float) -> None:
    assert values(extractor, f"{BIRD}{said} comb pale", "weight") == [pytest.approx(grams, abs=0.5)]


@pytest.mark.parametrize("said", ["2 scabs on the comb", "three toes broken", "left foot pad 4 mm", "seen on 12 june", "pen four"])
def test_what_is_no_weight(extractor: Extractor, said: str) -> None:
    assert values(extractor, f"{BIRD}comb pale {said}", "weight") == []


AGES = [
    ("hen she's two comb fine", 104), ("two year old hen comb fine", 104), ("a year and a half old comb fine", 78),
    ("hen coming up three comb fine", 156), ("hen she'd be three now comb fine", 156), ("hen is now two comb fine", 104),
    ("nineteen week old pullet comb fine", 19), ("pullet of nineteen weeks comb fine", 19), ("hen aged four comb fine", 208),
]


@pytest.mark.parametrize(("said", "weeks"), AGES)
def test_ages(extractor: Extractor, said: str, weeks: float) -> None:
    (exam,) = exams(extractor, f"blue six {said}")
    assert exam["bird"]["band"] == "blue 6"
    assert values(extractor, f"blue six {said}", "age") == [weeks]


BANDS = [
    ("white oh one six pullet", "white 016"), ("sapphire nine one oh rooster", "sapphire 910"), ("tag treble two", "222"),
    ("bravo niner fower", "b 94"), ("ring number fifty six it's a purple one", "purple 56"), ("number twelve in green", "green 12"),
    ("fourteen on a red ring", "red 14"), ("she's got a red ring on her left leg number four", "red 4"),
    ("the ring's red and it says four", "red 4"), ("red band on the right leg reads eleven", "red 11"), ("this is forty", "40"),
    ("green thirty sorry thirteen hen", "green 13"), ("green thirty no thirteen", "green 13"), ("White band oh one six. Pullet.", "white 016"),
    ("17 L foot pad scab, 2.1kg.", "17"), ("0012 hen", "0012"), ("101 F 1.9", "101"),
]


@pytest.mark.parametrize(("said", "band"), BANDS)
def test_bands(extractor: Extractor, said: str, band: str) -> None:
    (exam,) = exams(extractor, f"{said} comb pale")
    assert (exam["bird"]["band"], exam["bird"]["name"]) == (band, None)


@pytest.mark.parametrize("line", ["2 scabs on the comb", "3 hens seen", "7 days of drops", "12 june, all fed", "5 eggs"])
def test_a_number_at_the_start_of_a_line_may_count_something(extractor: Extractor, line: str) -> None:
    assert [exam["bird"]["band"] for exam in exams(extractor, f"comb pale\n{line}")] == [None]


# Names that no list holds, in the patterns by which a bird is brought in; {} is the name.
FIRST = [
    "this is {} she's a hen", "{}", "next up {}", "okay {} then", "{} next", "here's {}", "this one's {}", "i've got {} here",
    "on to {}", "poor {} she's", "a hen called {}", "{} is her name", "come here {}", "hello {}", "starting with {}",
    "{} no band", "{} pullet", "this is our {}", "well {} is looking grand", "the hen in hand is {}", "{} again", "examining {}",
]
SECOND = [
    "next up {}", "okay {} then", "now {}", "here's {}", "on to {}", "our {} now", "and this is {}", "then there's {}", "and {}",
    "{} no band", "{} she's a hen", "{} pullet", "{} hen", "her sister {}", "next {}", "t'other one is {}", "last one {}", "{}",
]
WRITTEN = [
    "{}. Comb pale.", "{}: comb pale.", "{}, hen. Comb pale.", "{} has a pale comb.", "Next, {}. Comb pale.",
    "I weighed {} today: 2 kg. Comb pale.", "Today it was {}'s turn. Comb pale.", "{} again. Comb pale.", "Okay, {}: comb pale.",
    "{} 2.1kg comb pale", "{} / hen / comb pale", "{} ok", "1) {}: comb pale", "12 Mar {} comb pale", "With {} there's a pale comb.",
]
NAMES = ["wimbledon", "tuppence", "zebedee", "brunhilde", "kumquat"]


def names(extractor: Extractor, text: str) -> list[str | None]:
    return [exam["bird"]["name"] for exam in exams(extractor, text)]


@pytest.mark.parametrize("pattern", FIRST)
def test_a_name_brought_in_by_speech(extractor: Extractor, pattern: str) -> None:
    assert [names(extractor, f"{pattern.format(n)} comb pale weight two kilos") for n in NAMES] == [[n] for n in NAMES]


@pytest.mark.parametrize("pattern", SECOND)
def test_a_second_name_in_running_talk(extractor: Extractor, pattern: str) -> None:
    start = "this is mabel she's a hen left foot pad scab weight two point one kilos "
    assert [names(extractor, f"{start}{pattern.format(n)} comb fine") for n in NAMES] == [["mabel", n] for n in NAMES]


@pytest.mark.parametrize("pattern", WRITTEN)
def test_a_name_in_writing(extractor: Extractor, pattern: str) -> None:
    assert [names(extractor, pattern.format(n.title())) for n in NAMES] == [[n.title()] for n in NAMES]


@pytest.mark.parametrize(
    "text",
    [
        "she's far too fat", "this one's feisty comb pale", "here's trouble comb pale", "now underneath the vent is clean",
        "Anyway, the comb is pale.", "so apparently comb pale", "a scrawny hen comb pale", "g'day all wanda here from the club",
    ],
)
def test_ordinary_words_are_no_names(extractor: Extractor, text: str) -> None:
    assert {exam["bird"]["name"] for exam in exams(extractor, text)} <= {None}


BESIDE = ["{} blue seven hen", "blue seven that's {}", "this is {} wearing blue seven", "blue seven which is {}", "{}'s ring is blue seven"]


@pytest.mark.parametrize("pattern", BESIDE)
def test_a_name_beside_a_band(extractor: Extractor, pattern: str) -> None:
    for n in NAMES:
        birds = [exam["bird"] for exam in exams(extractor, f"{pattern.format(n)} comb fine")]
        assert [(bird["band"], bird["name"]) for bird in birds] == [("blue 7", n)]


# Three birds were told of; to which of them is something done? 101: to the first and the third.
SOME = [
    ("dusted {a}", "100"), ("dusted {a} and {c}", "101"), ("dusted {a}, {b} and {c}", "111"), ("all three dusted", "111"),
    ("dusted them all", "111"), ("{a} and {c} dusted", "101"), ("{a} and {c} have been dusted", "101"),
    ("{a} got dusted {b} didn't", "100"), ("dusted {a} not {b}", "100"), ("powder for {a} oil for {c}", "101"),
    ("{a} needs powder", "100"), ("i'll dust {a} tonight", "100"), ("i didn't dust {a}", "000"), ("{b} is getting dusted tonight", "010"),
    ("they've all been dusted", "111"), ("wormed both", "011"),
]
THREE = {
    "red three hen comb pale red four hen comb fine red seven hen comb pale ": ("three", "four", "seven"),
    "this is dolly she's a hen comb pale then mabel she's a hen comb fine then tuppence she's a hen comb pale ": (
        "dolly", "mabel", "tuppence",
    ),
}


@pytest.mark.parametrize(("said", "done"), SOME)
@pytest.mark.parametrize("birds", THREE)
def test_deeds_done_to_some_of_several_birds(extractor: Extractor, birds: str, said: str, done: str) -> None:
    a, b, c = THREE[birds]
    assert "".join(str(len(e["actions"])) for e in exams(extractor, birds + said.format(a=a, b=b, c=c))) == done


@pytest.mark.parametrize(
    ("said", "first", "second"),
    [
        ("i've wormed her and trimmed him", ["treat"], ["trim"]), ("the hen goes in the crate", ["isolate"], []),
        ("she's been wormed he hasn't", ["treat"], []), ("he gets his spurs trimmed", [], ["trim"]),
        ("i'll see her in a week and him in a month", ["recheck"], ["recheck"]),
    ],
)
def test_deeds_told_apart_by_she_and_he(extractor: Extractor, said: str, first: list[str], second: list[str]) -> None:
    made = exams(extractor, f"blue six hen comb pale blue eight rooster comb fine {said}")
    assert [[a["kind"] for a in e["actions"]] for e in made] == [first, second]


AGAIN = [
    "and again in ten days", "and i'll do it again in ten days", "and i'll do the same again in ten days", "repeat in ten days",
    "and another go in ten days", "and another dose in ten days", "same again in ten days", "and the same in ten days", "tonight and again in ten days",
    "and she'll be done again in ten days", "and once more in ten days", "will do again in ten days",
]


@pytest.mark.parametrize("said", AGAIN)
def test_deeds_done_once_more(extractor: Extractor, said: str) -> None:
    (exam,) = exams(extractor, f"blue six hen left foot pad scab powdered her {said} comb fine")
    assert [(a["kind"], a["in_days"]) for a in exam["actions"]] == [("treat", None), ("treat", 10)]


def test_weights_told_the_wrong_way_round(extractor: Extractor) -> None:
    text = (
        "lilac two is one point nine kilos and lilac three is two point two no wait those are the wrong way round "
        "lilac two is two point two and lilac three is one point nine"
    )
    assert [[m["value"] for m in exam["measurements"]] for exam in exams(extractor, text)] == [[2200], [1900]]
