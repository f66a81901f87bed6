"""How rules are applied: what stands of a bird, deaths counted once, falls, time of day, and who is counted."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from itertools import count
from typing import Any

import pytest

from dictate.care.concern_rules import concern_rules
from dictate.care.concerns import Concerns, concerns
from dictate.care.pens import deaths, falls, same_pen
from dictate.care.standing import subjects
from dictate.model import Bird, Finding, Measurement, Span
from dictate.record import Band, BirdRecord, ExamKind, Item, Source, StoredExam, StoredObservation

DAY = date(2031, 5, 1)
RULES = concern_rules()
NUMBERS = count()
PEPPER = BirdRecord("p", "Pepper", bands=(Band("b", "blue 42"),), pen="Orchard")
MAUD = BirdRecord("m", "Maud", pen="Orchard")
RUBY = BirdRecord("r", "Ruby", pen="Barn")


def exam(
    bird: BirdRecord | None, back: int, *values: Any, kind: ExamKind = "live", text: str = "", at: time | None = None,
    rest: bool = False,
) -> StoredExam:
    number = next(NUMBERS)
    items = tuple(
        Item(f"{number}-{n}", "measurement" if isinstance(v, Measurement) else "finding", "confirmed", v, v)
        for n, v in enumerate(values)
    )
    return StoredExam(
        id=f"exam {number}", draft_id="d", kind=kind, status="confirmed",
        bird=Bird(name=bird.name if bird else None), bird_status="confirmed", items=items, rest_normal=rest,
        text=text, span=Span(0, len(text)), source=Source(), on=DAY - timedelta(days=back), at=at,
        bird_id=bird.id if bird else None,
    )


def told(kind: str, value: float | None, back: int = 0, pen: str | None = "Orchard", **more: Any) -> StoredObservation:
    on = DAY - timedelta(days=back)
    return StoredObservation(f"o{next(NUMBERS)}", kind, "confirmed", on, pen, value, **more)


def judge(*things: Any, birds: tuple[BirdRecord, ...] = (PEPPER, MAUD, RUBY), on: date = DAY) -> Concerns:
    exams = [one for one in things if isinstance(one, StoredExam)]
    observations = [one for one in things if isinstance(one, StoredObservation)]
    return concerns(exams, birds, observations, on)


TWISTED = Finding("neck", "twisted neck")
SNEEZE = Finding("breathing", "sneezing")
BLUE = Finding("comb", "cyanosis")
FULL = Finding("crop", "full")


# ---- what stands


@pytest.mark.parametrize("later", [
    (Finding("neck", "twisted neck", presence="absent"),), (Finding("neck", "normal"),),
    (Finding("neck", "twisted neck", when="past"),),
])
def test_what_a_later_look_found_gone_is_no_concern(later: tuple[Finding, ...]) -> None:
    assert judge(exam(PEPPER, 5, TWISTED)).level == "vet"
    assert judge(exam(PEPPER, 5, TWISTED), exam(PEPPER, 1, *later)).level is None


def test_the_rest_normal_ends_what_is_not_spoken_of() -> None:
    assert judge(exam(PEPPER, 5, TWISTED), exam(PEPPER, 1, SNEEZE, rest=True)).level == "watch"


def test_what_was_not_looked_at_again_stands_until_it_is_old() -> None:
    old = RULES.days.bird
    assert judge(exam(PEPPER, old, TWISTED), exam(PEPPER, 1, Finding("eye", "normal"))).level == "vet"
    assert judge(exam(PEPPER, old + 1, TWISTED)).level is None


def test_one_side_gone_leaves_the_other() -> None:
    both = exam(PEPPER, 3, Finding("eye", "closed", "both"))
    (found,) = subjects([both, exam(PEPPER, 0, Finding("eye", "normal", "left"))], [PEPPER], DAY, RULES)
    assert len(found.signs) == 1
    (found,) = subjects([both, exam(PEPPER, 0, Finding("eye", "normal", "both"))], [PEPPER], DAY, RULES)
    assert found.signs == ()


def test_a_day_is_judged_by_what_was_known_up_to_it() -> None:
    exams = [exam(PEPPER, 0, TWISTED)]
    assert concerns(exams, [PEPPER], [], DAY - timedelta(days=1)).level is None


def test_what_is_only_a_draft_does_not_count() -> None:
    one = exam(PEPPER, 0, TWISTED)
    draft = replace(one, items=tuple(replace(item, status="draft") for item in one.items))  # type: ignore[arg-type]
    assert judge(draft).level is None
    assert judge(replace(told("deaths", 4), status="draft")).level is None


def test_doubt_counts_one_level_less() -> None:
    perhaps = replace(TWISTED, certainty="possible")
    assert judge(exam(PEPPER, 0, perhaps)).level == "watch"
    assert judge(exam(PEPPER, 0, TWISTED, BLUE)).level == "authority"
    assert judge(exam(PEPPER, 0, perhaps, BLUE)).level == "vet"


def test_several_signs_that_are_all_slight_are_watched() -> None:
    loose = Finding("droppings", "diarrhoea")
    assert judge(exam(PEPPER, 0, SNEEZE, loose)).level == "vet"
    assert judge(exam(PEPPER, 0, replace(SNEEZE, grade=1), replace(loose, grade=1))).level == "watch"


def test_signs_far_apart_are_not_one_event() -> None:
    assert judge(exam(PEPPER, 20, BLUE), exam(PEPPER, 0, TWISTED)).level == "vet"


def test_what_lasts_or_grows_worse_goes_up() -> None:
    pad = Finding("foot pad", "hardened", "left", grade=1)
    assert judge(exam(PEPPER, 0, pad)).level == "watch"
    assert judge(exam(PEPPER, 9, pad), exam(PEPPER, 0, replace(pad, grade=2))).level == "vet"
    assert judge(exam(PEPPER, 9, pad), exam(PEPPER, 0, replace(pad, grade=2, side="right"))).level == "watch"
    assert judge(exam(PEPPER, 4, SNEEZE), exam(PEPPER, 0, SNEEZE)).level == "vet"


# ---- weights


@pytest.mark.parametrize(("before", "now", "level"), [
    (2000, 1800, "vet"), (2000, 1801, "watch"), (2000, 1900, "watch"), (2000, 1901, None), (2000, 2300, None),
])
def test_a_weight_that_fell(before: float, now: float, level: str | None) -> None:
    weights = [exam(PEPPER, 20, Measurement("weight", before, "g")), exam(PEPPER, 0, Measurement("weight", now, "g"))]
    assert judge(*weights).level == level


def test_a_weight_that_falls_slowly_is_seen() -> None:
    weights = [2000, 1930, 1860, 1790]
    exams = [exam(PEPPER, 60 - 20 * n, Measurement("weight", w, "g")) for n, w in enumerate(weights)]
    assert judge(*exams).level == "vet"


def test_a_weight_of_a_year_ago_says_nothing() -> None:
    assert judge(
        exam(PEPPER, 400, Measurement("weight", 2500, "g")), exam(PEPPER, 0, Measurement("weight", 2000, "g"))
    ).level is None


# ---- time of day


@pytest.mark.parametrize(("at", "text", "level", "asked"), [
    (time(6, 30), "crop full", "watch", 0), (time(20), "crop full", None, 0), (None, "crop full", None, 1),
    (time(12), "crop full", None, 0), (None, "at dusk crop full", None, 0),
    (time(20), "this morning before feeding the crop was full", "watch", 0),
])
def test_a_full_crop_means_something_by_the_hour(at: time | None, text: str, level: str | None, asked: int) -> None:
    start = text.index("crop")
    found = judge(exam(PEPPER, 0, replace(FULL, span=Span(start, len(text)), quote=text[start:]), text=text, at=at))
    assert (found.level, len(found.asks)) == (level, asked)


def test_tables_of_the_chicken_are_not_for_other_species() -> None:
    duck = replace(PEPPER, species="duck")
    assert judge(exam(duck, 0, FULL, at=time(6)), birds=(duck,)).level is None
    assert judge(exam(duck, 0, TWISTED), birds=(duck,)).level == "vet"


# ---- pens


def test_the_same_death_is_counted_once() -> None:
    died = replace(MAUD, left_how="died", left_on=DAY)
    (one,) = deaths([told("deaths", 1)], [PEPPER, died], [exam(died, 0, kind="post-mortem")], DAY, RULES)
    assert one.count == 1
    (two,) = deaths([told("deaths", 2)], [PEPPER, died], [], DAY, RULES)
    assert two.count == 2
    assert judge(told("deaths", 1), birds=(PEPPER, died)).level == "watch"


def test_culled_sold_and_explained_deaths_are_no_alarm() -> None:
    gone = (replace(PEPPER, left_how="culled", left_on=DAY), replace(MAUD, left_how="sold", left_on=DAY))
    assert judge(birds=gone).level is None
    assert judge(told("deaths", 3, said="lost three to the fox")).level is None
    assert judge(told("deaths", 3, said="lost three in the night")).level == "authority"


def test_signs_of_the_dead_bird_are_not_those_of_another() -> None:
    died = replace(MAUD, left_how="died", left_on=DAY)
    assert judge(exam(died, 1, SNEEZE), birds=(PEPPER, died)).level == "watch"
    assert judge(exam(died, 1, SNEEZE), exam(PEPPER, 0, SNEEZE), birds=(PEPPER, died)).level == "vet"


def test_birds_that_left_are_not_named() -> None:
    sold = replace(PEPPER, left_how="sold", left_on=DAY)
    assert judge(exam(sold, 2, TWISTED), birds=(sold,)).concerns == ()


def test_the_same_signs_count_by_pen_but_weighty_ones_anywhere() -> None:
    assert judge(exam(PEPPER, 2, SNEEZE), exam(MAUD, 0, SNEEZE)).level == "vet"
    assert judge(exam(PEPPER, 2, SNEEZE), exam(RUBY, 0, SNEEZE)).level == "watch"
    assert judge(exam(PEPPER, 9, SNEEZE), exam(MAUD, 0, SNEEZE)).level == "watch", "not within days"
    assert judge(exam(PEPPER, 2, TWISTED), exam(RUBY, 0, BLUE)).level == "authority"


def test_mixed_mild_signs_in_a_few_birds_are_for_a_vet_in_many_for_the_authority() -> None:
    flock = tuple(BirdRecord(f"b{n}", f"Bird {n}", pen="Orchard") for n in range(6))
    mild = [SNEEZE, Finding("droppings", "diarrhoea"), Finding("general", "lethargy")]
    few = [exam(flock[n], n, mild[n]) for n in range(3)]
    assert judge(*few, birds=flock).level == "vet"
    many = [exam(flock[n], n, mild[n % 3]) for n in range(5)]
    assert judge(*many, birds=flock).level == "authority"


def test_deaths_of_two_days_are_sudden_those_of_a_week_are_not() -> None:
    assert judge(told("deaths", 1, 1), told("deaths", 2, 0)).level == "authority"
    assert judge(told("deaths", 1, 5), told("deaths", 2, 0)).level == "vet"
    assert judge(told("deaths", 3, RULES.days.flock + 1)).level is None


def test_a_pen_is_told_by_its_name_and_the_flock_has_none() -> None:
    (one,) = judge(told("deaths", 3)).concerns
    assert (one.bird, one.pen, one.label) == (None, "Orchard", "Orchard")
    (one,) = judge(told("deaths", 3, pen=None)).concerns
    assert (one.pen, one.label) == (None, "the flock")


def eggs(*values: float, pen: str = "Orchard") -> list[StoredObservation]:
    return [told("eggs", value, len(values) - 1 - n, pen) for n, value in enumerate(values)]


@pytest.mark.parametrize(("values", "level"), [
    ((20, 21, 19, 8), "vet"), ((20, 21, 19, 14, 13), "watch"), ((20, 21, 19, 14), None), ((20, 21, 19, 18, 17), None),
    ((3, 3, 3, 1, 1), None), ((20, 20, 20, 20), None), ((20, 20, 20, 40), None), ((20, 9), "vet"), ((9,), None),
])
def test_eggs_that_fall(values: tuple[float, ...], level: str | None) -> None:
    assert judge(*eggs(*values)).level == level


def test_a_fall_that_was_said_needs_no_earlier_day() -> None:
    assert judge(told("eggs", 9, detail="was 20")).level == "vet"
    assert judge(told("eggs", 18, detail="was 20")).level is None
    assert judge(told("water", None, detail="down 50 %")).level == "vet"
    assert judge(told("eggs", None, detail="down")).level == "watch"


def test_a_fall_says_what_it_was_before() -> None:
    (one,) = falls(eggs(20, 22, 24, 10), DAY, RULES)
    assert (one.value, one.before, one.share) == (10, 22, pytest.approx(54.5))


def test_falls_of_one_pen_are_not_made_up_by_another() -> None:
    assert judge(*eggs(20, 20, 20, 8), *eggs(20, 20, 20, 30, pen="Barn")).level == "vet"


@pytest.mark.parametrize(("one", "other", "same"), [
    ("pen 3", "3", True), ("Orchard", "orchard pen", True), ("pen 3", "pen 4", False), (None, None, True),
    ("pen 3", None, False),
])
def test_names_of_pens(one: str | None, other: str | None, same: bool) -> None:
    assert same_pen(one, other) is same


def test_what_has_no_day_is_said_to_be_left_out() -> None:
    undated = replace(exam(PEPPER, 0, TWISTED), on=None)
    found = judge(undated, replace(told("deaths", 4), on=None))
    assert (found.level, found.undated) == (None, 2)
