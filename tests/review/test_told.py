"""What exams tell of events, treatments and death: asked about once, and nothing without a yes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from dictate.cli.told import ask_about_told
from dictate.extraction import extract_text
from dictate.log import FlockLog
from dictate.record import ExamKind
from dictate.review.kinds import mark_post_mortems, post_mortem_words
from dictate.review.told import ASKED, left_open
from dictate.vocabulary import Vocabulary, load_vocabulary

DAY = date(2031, 5, 1)


@pytest.fixture(scope="module")
def words() -> Vocabulary:
    return load_vocabulary()


@pytest.fixture
def log(tmp_path: Path) -> Iterator[FlockLog]:
    with FlockLog.open(tmp_path / "flock.db") as opened:
        opened.register_bird(name="Juno", band="white 4", pen="North")
        opened.register_bird(name="Maud", band="green 3", pen="South Run")
        yield opened


def keep(log: FlockLog, words: Vocabulary, text: str, kind: ExamKind = "live", confirm: bool = True) -> str:
    (exam,) = log.save_draft(extract_text(text, words), on=DAY, kind=kind)
    if confirm:
        log.confirm_exam(exam)
    return exam


def told(log: FlockLog, words: Vocabulary) -> list[str]:
    return [one.name for one in left_open(log, words, pens=["North", "South Run"])]


def answer(log: FlockLog, words: Vocabulary, *lines: str) -> int:
    """Reply with these keys and lines, in turn; then the input ends."""
    left = list(lines)

    def take(_: str = "") -> str:
        if not left:
            raise EOFError
        return left.pop(0)

    written = ask_about_told(log, words, lambda: take(), take, by="Ann", regime="great-britain")
    assert not left, "not everything was asked for"
    return written


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("White 4. Comb red. Vaccinated her today.", ["vaccinated"]),
        ("White 4. Comb pale. Moved her to the South Run.", ["moved"]),
        ("White 4. Sneezing. Quarantine her for three weeks.", ["quarantine"]),
        ("White 4. Comb pale. She was found dead in the evening.", ["died"]),
        ("White 4. Comb red. Sold her to a neighbour.", ["sold"]),
        ("White 4. She has lost weight. Comb red.", []),
        ("White 4. Comb red. Crop feels right.", []),
    ],
)
def test_what_is_told(log: FlockLog, words: Vocabulary, text: str, events: list[str]) -> None:
    keep(log, words, text)
    assert told(log, words) == events
    assert all(not found for found in log.all_events().values()), "nothing is written down by itself"


def test_drafts_tell_nothing_yet(log: FlockLog, words: Vocabulary) -> None:
    keep(log, words, "White 4. Comb red. Vaccinated her today.", confirm=False)
    assert told(log, words) == []


def test_yes_writes_it_down_with_what_was_said(log: FlockLog, words: Vocabulary) -> None:
    keep(log, words, "White 4. Sneezing. Moved her to the South Run. Quarantine her for three weeks.")
    assert answer(log, words, "y", "y") == 2
    (bird,) = log.find_birds(band="white 4").fits
    found = {e.kind: e for e in log.events(bird.id)}
    assert (found["moved"].pen, found["moved"].on) == ("South Run", DAY)
    assert bird.pen == "South Run"
    assert (found["quarantine"].on, found["quarantine"].until) == (DAY, date(2031, 5, 22))
    assert told(log, words) == []


def test_no_is_kept_and_not_asked_again(log: FlockLog, words: Vocabulary) -> None:
    exam = keep(log, words, "White 4. Comb pale. She died of laughing, almost.")
    assert answer(log, words, "n") == 0
    assert told(log, words) == []
    assert log.find_birds(band="white 4").fits[0].left is False
    assert [d.by for d in log.decisions(exam) if d.what == ASKED] == ["Ann"]


def test_later_and_the_end_of_input_ask_again(log: FlockLog, words: Vocabulary) -> None:
    keep(log, words, "White 4. Comb pale. Vaccinated her.")
    assert answer(log, words, "l") == 0
    assert answer(log, words) == 0
    assert told(log, words) == ["vaccinated"]


def test_a_pen_that_is_not_known_is_asked_for(log: FlockLog, words: Vocabulary) -> None:
    keep(log, words, "White 4. Comb pale. Moved her to the greenhouse.")
    assert answer(log, words, "y", "") == 0
    assert told(log, words) == ["moved"], "without a pen nothing was written down"
    assert answer(log, words, "y", "Greenhouse") == 1
    assert log.find_birds(band="white 4").fits[0].pen == "Greenhouse"


def test_a_treatment_with_its_label(log: FlockLog, words: Vocabulary) -> None:
    text = "White 4. Mites on the vent. Dusted her with the grey powder, batch 12 B, for five days."
    exam = keep(log, words, text)
    assert answer(log, words, "y", "grey powder", "2031-05-05", "", "y", "7", "", "Dr Fenn") == 1
    (course,) = log.courses()
    assert (course.product, course.first_on, course.last_on, course.product_batch) == (
        "grey powder", DAY, date(2031, 5, 5), "12 B",
    )
    assert (course.label_days, course.use, course.regime, course.prescriber, course.exam_id) == (
        (("eggs", 7),), "label", "great-britain", "Dr Fenn", exam,
    )
    assert told(log, words) == []


def test_a_treatment_off_its_label_asks_for_the_vets_days(log: FlockLog, words: Vocabulary) -> None:
    keep(log, words, "White 4. Mites on the vent. Dusted her.")
    assert answer(log, words, "y", "powder", "2031-05-01", "", "n", "", "", "Dr Fenn", "14", "") == 1
    (course,) = log.courses()
    assert (course.use, course.label_days, course.vet_days) == ("off-label", (), (("eggs", 14),))


def test_an_answer_that_cannot_be_read_writes_nothing(log: FlockLog, words: Vocabulary) -> None:
    keep(log, words, "White 4. Mites on the vent. Dusted her.")
    assert answer(log, words, "y", "powder", "last Tuesday") == 0
    assert answer(log, words, "y", "powder", "", "", "y", "a week") == 0
    assert log.courses() == []
    assert len(told(log, words)) == 1


# Post-mortems


@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        ("Post mortem. Juno, hen. Crop empty.", True), ("White 4, post-mortem. Crop empty.", True),
        ("Necropsy, white 4. Liver pale.", True), ("White 4. Opened her up. Crop empty.", True),
        ("White 4. Crop empty. No need for a post mortem.", False), ("White 4, if she dies do a post mortem.", False),
        ("White 4. Comb red. Eyes clear. Crop feels right. Keel straight. Vent clean. Post mortem of her.", False),
        ("White 4. No mites. Post mortem this morning. Crop empty.", True),
        ("White 4. Will open her up tomorrow.", False), ("White 4. Comb red.", False),
    ],
)
def test_the_words_of_a_post_mortem(words: Vocabulary, text: str, is_one: bool) -> None:
    assert (post_mortem_words(text, words) is not None) is is_one


def test_a_draft_that_says_so_becomes_one_and_a_persons_word_stays(log: FlockLog, words: Vocabulary) -> None:
    exam = keep(log, words, "Post mortem. Juno, hen. Crop empty.", confirm=False)
    assert mark_post_mortems(log, words, log.drafts()) == [exam]
    assert log.exam(exam).kind == "post-mortem"
    log.amend_exam(exam, {"kind": "live"}, reason="only looked at", by="Ann")
    assert mark_post_mortems(log, words, log.drafts()) == []
    assert log.exam(exam).kind == "live"


def test_after_a_post_mortem_her_death_is_asked_about(log: FlockLog, words: Vocabulary) -> None:
    keep(log, words, "White 4. Crop empty. Keel sharp.", kind="post-mortem")
    assert told(log, words) == ["died"]
    assert answer(log, words, "y") == 1
    (bird,) = [b for b in log.birds() if b.band == "white 4"]
    assert (bird.left_how, bird.left_on) == ("died", DAY)
    assert told(log, words) == []
