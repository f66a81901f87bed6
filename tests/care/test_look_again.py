"""Looks by rule: what was seen, when it is to be looked at again, and what has done it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import pytest
from stored_exams import exam

from dictate.care.calendar_file import calendar_of
from dictate.care.duties import Agenda, agenda
from dictate.care.held_back import HeldBack, Reason
from dictate.care.look_again import looks
from dictate.model import Action, Finding
from dictate.record import Band, BirdEvent, BirdRecord, StoredExam
from dictate.vocabulary import load_vocabulary
from dictate.vocabulary.entries import LookAgain

DAY = date(2031, 5, 1)
PEPPER = BirdRecord("p", "Pepper", bands=(Band("b", "blue 42"),), pen="Orchard")
DUCK = BirdRecord("d", "Dabble", species="duck")
MITES = Finding("vent", "mites", quote="mites round the vent")
NO_MITES = Finding("skin", "mites", presence="absent")
VENT = Finding("vent", "normal")
SCALES = Finding("shank", "raised scales", "left")


@pytest.fixture(scope="module")
def rules() -> list[LookAgain]:
    return list(load_vocabulary().entries("look_again").values())


def after(days: int) -> date:
    return DAY + timedelta(days=days)


def waiting(rules: list[LookAgain], on: int, *exams: StoredExam, within: int = 0, **more: Any) -> list[tuple[str, int]]:
    """(rule, days after DAY on which it is due) of what is due so many days after DAY."""
    found = agenda(exams, more.pop("birds", [PEPPER]), after(on), within=within, rules=rules, **more)
    return [(d.rule or d.kind, (d.due_on - DAY).days if d.due_on else -1) for d in found.duties]


def test_mites_are_looked_for_within_a_week_and_once_more_after_a_whole_life(rules: list[LookAgain]) -> None:
    # Northern fowl mite about 7 days (Cornell); red mite 7, in summer 8 to 10 days (pestinfo, wikivet).
    seen = exam(DAY, MITES)
    assert waiting(rules, 6, seen) == []
    assert waiting(rules, 7, seen) == [("mites", 7)]
    assert waiting(rules, 0, seen, within=30) == [("mites", 7), ("mites", 10)]
    assert waiting(rules, 12, seen) == [("mites", 7)], "one look at a time"
    first = exam(after(5), VENT)
    assert waiting(rules, 9, seen, first) == []
    assert waiting(rules, 10, seen, first) == [("mites", 10)]
    assert waiting(rules, 12, seen, first, exam(after(9), VENT)) == [("mites", 10)], "too soon for the second"
    assert waiting(rules, 12, seen, first, exam(after(11), VENT)) == []


def test_scaly_leg_is_looked_at_no_sooner_than_three_weeks(rules: list[LookAgain]) -> None:
    # Knemidocoptes 14 to 21 days (wikivet, genus).
    seen = exam(DAY, SCALES)
    assert waiting(rules, 20, seen, exam(after(14), Finding("shank", "normal", "left"))) == []
    assert waiting(rules, 21, seen, exam(after(14), Finding("shank", "normal", "left"))) == [("scaly leg", 21)]
    assert waiting(rules, 22, seen, exam(after(21), Finding("shank", "normal", "left"))) == []


def test_seen_again_it_begins_anew(rules: list[LookAgain]) -> None:
    assert waiting(rules, 13, exam(DAY, MITES), exam(after(7), MITES)) == []
    assert waiting(rules, 14, exam(DAY, MITES), exam(after(7), MITES)) == [("mites", 14)]


@pytest.mark.parametrize(
    ("later", "done"),
    [
        ((VENT,), True), ((NO_MITES,), True), ((Finding("vent", "soiling"),), True),
        ((Finding("comb", "normal"),), False), ((replace(VENT, when="past"),), False),
    ],
)
def test_a_look_is_done_by_the_region_or_the_sign(
    rules: list[LookAgain], later: tuple[Finding, ...], done: bool
) -> None:
    found = waiting(rules, 8, exam(DAY, MITES), exam(after(7), *later))
    assert found == ([] if done else [("mites", 7)])


@pytest.mark.parametrize(
    "said",
    [
        replace(MITES, presence="absent"), replace(MITES, when="past"), Finding("vent", "soiling"),
        Finding("crop", "full"),
    ],
)
def test_what_is_no_reason_to_look(rules: list[LookAgain], said: Finding) -> None:
    assert waiting(rules, 60, exam(DAY, said)) == []


@pytest.mark.parametrize("more", [{"status": "withdrawn"}, {"kind": "post-mortem"}, {"on": None}, {"bird_id": None}])
def test_exams_that_do_not_count(rules: list[LookAgain], more: dict[str, Any]) -> None:
    assert waiting(rules, 60, replace(exam(DAY, MITES), **more), birds=[PEPPER]) == []


def test_what_is_doubtful_is_looked_at_too(rules: list[LookAgain]) -> None:
    assert waiting(rules, 7, exam(DAY, replace(MITES, certainty="possible"))) == [("mites", 7)]


def test_the_keepers_own_day_goes_before_the_rule(rules: list[LookAgain]) -> None:
    asked = exam(DAY, MITES, Action("recheck", 9, quote="again in nine days"))
    assert waiting(rules, 30, asked) == [("asked", 9), ("mites", 10)]
    late = exam(DAY, MITES, Action("recheck", 14, quote="again in two weeks"))
    assert waiting(rules, 30, late) == [("asked", 14)]
    of_another = exam(DAY, MITES, Finding("eye", "foam"), Action("recheck", 14, quote="look at the eye again"))
    assert ("mites", 7) in waiting(rules, 30, of_another)


def test_a_wound_and_a_crop(rules: list[LookAgain]) -> None:
    assert waiting(rules, 2, exam(DAY, Finding("wattle", "wound", "left"))) == [("wound", 2)]
    assert waiting(rules, 1, exam(DAY, Finding("crop", "impaction"))) == [("crop", 1)]
    assert waiting(rules, 2, exam(DAY, Finding("abdomen", "distended"))) == []


def test_a_rule_for_chickens_is_refused_for_others(rules: list[LookAgain]) -> None:
    found, refused = looks([exam(DAY, MITES, bird="d")], [DUCK], rules)
    assert found == []
    assert [(one.bird, one.species, one.rule) for one in refused] == [("Dabble", "duck", "mites")]


def test_who_has_left_is_not_due(rules: list[LookAgain]) -> None:
    gone = replace(PEPPER, left_on=after(8), left_how="sold")
    assert waiting(rules, 7, exam(DAY, MITES), birds=[gone]) == [("mites", 7)]
    assert waiting(rules, 8, exam(DAY, MITES), birds=[gone]) == []


def test_a_bird_that_was_opened_is_not_due_and_is_named(rules: list[LookAgain]) -> None:
    dead = exam(after(2), Finding("keel", "thin"), kind="post-mortem")
    found = agenda([exam(DAY, MITES), dead], [PEPPER], after(30), rules=rules)
    assert (found.duties, found.dead) == ((), (("Pepper (blue 42)", after(2)),))


def event(kind: str, on: int, until: int | None = None) -> BirdEvent:
    return BirdEvent(f"{kind} {on}", kind, after(on), None if until is None else after(until))


def quarantines(on: int, *events: BirdEvent, exams: Any = ()) -> list[int | None]:
    found = agenda(exams, [PEPPER], after(on), events={"p": events}, ends_quarantine=["released"])
    return [(d.due_on - DAY).days if d.due_on else None for d in found.duties if d.kind == "quarantine"]


def test_a_quarantine_is_due_at_its_end_until_it_is_written_down_as_over() -> None:
    apart = event("quarantine", 0, 21)
    assert quarantines(20, apart) == []
    assert quarantines(21, apart) == [21]
    assert quarantines(30, apart) == [21]
    assert quarantines(30, apart, event("released", 22)) == []
    assert quarantines(21, apart, event("released", 22)) == [21], "it is not yet the day of that"
    assert quarantines(5, event("quarantine", 0)) == [None]
    assert quarantines(40, apart, event("released", 21), event("quarantine", 30, 35)) == [35]


def test_a_bird_set_apart_for_days_is_due_at_their_end() -> None:
    apart = exam(DAY, Finding("breathing", "sneezing"), Action("isolate", 10, quote="isolate her ten days"))
    assert [d.kind for d in agenda([apart], [PEPPER], after(9)).duties] == []
    (duty,) = agenda([apart], [PEPPER], after(10)).duties
    assert (duty.kind, duty.due_on) == ("isolation", after(10))
    assert agenda([apart, exam(after(4), VENT)], [PEPPER], after(10)).duties, "she is still apart"
    assert agenda([apart, exam(after(10), VENT)], [PEPPER], after(10)).duties == ()
    assert agenda([apart], [PEPPER], after(10), events={"p": [event("quarantine", 0, 30)]}).duties == ()


def busy(rules: list[LookAgain]) -> Agenda:
    exams = [
        exam(DAY, MITES, Finding("eye", "foam", "left"), Action("recheck", 3, quote="look at the eye, please; again")),
        exam(after(1), Finding("comb", "pallor"), Action("recheck", None, quote="look again")),
    ]
    return agenda(exams, [PEPPER], after(8), within=30, rules=rules)


def test_the_longest_overdue_comes_first_and_what_has_no_day_last(rules: list[LookAgain]) -> None:
    assert [d.due_on for d in busy(rules).duties] == [after(3), after(7), after(10), None]


def test_the_working_is_there(rules: list[LookAgain]) -> None:
    look = next(d for d in busy(rules).duties if d.kind == "rule")
    assert (look.rule, look.exam_id is not None, look.quote, look.standing) == (
        "mites", True, "mites round the vent", "found",
    )
    assert "2031-05-01" in look.because
    assert look.source


def test_a_calendar_is_read_back_as_it_was_written(rules: list[LookAgain]) -> None:
    """RFC 5545: CRLF lines of 75 octets at the most; an all-day entry ends on the day after."""
    duties = busy(rules).duties
    held = [HeldBack("eggs", "p", "Pepper", "Orchard", (Reason(after(9), False, "powder; 5 days, then"),))]
    stamp = datetime(2031, 5, 9, 12, tzinfo=UTC)
    data = calendar_of(duties, held, stamp=stamp)
    assert data.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert max(map(len, data.split(b"\r\n"))) <= 75
    read = icalendar.Calendar.from_ical(data)
    assert (str(read["version"]), bool(read["prodid"])) == ("2.0", True)
    entries = list(read.walk("VEVENT"))
    dated = [duty for duty in duties if duty.due_on]
    assert [entry.decoded("dtstart") for entry in entries] == [*(d.due_on for d in dated), after(9)]
    assert all(e.decoded("dtend") - e.decoded("dtstart") == timedelta(days=1) for e in entries)
    assert [str(entry["summary"]) for entry in entries[:-1]] == [duty.summary for duty in dated]
    assert '"look at the eye, please; again"' in str(entries[0]["description"])
    assert "powder; 5 days, then" in str(entries[-1]["description"])
    assert {entry.decoded("dtstamp") for entry in entries} == {stamp}
    uids = [str(entry["uid"]) for entry in entries]
    assert len(set(uids)) == len(uids)
    again = icalendar.Calendar.from_ical(calendar_of(duties, held)).walk("VEVENT")
    assert [str(entry["uid"]) for entry in again] == uids, "the same at each writing"


def test_a_rule_names_signs_its_source_and_days(rules: list[LookAgain]) -> None:
    for rule in rules:
        assert rule.by or rule.again
        assert rule.source
        assert rule.because
        assert rule.species == ("chicken",)
