"""event, treat, withheld, photo, postmortem, import birds.csv, due and bird, as a keeper types them."""

from __future__ import annotations

import functools
import json
import shutil
from pathlib import Path
from typing import Any

import icalendar
import pytest
from typer.testing import CliRunner, Result

from dictate.cli.main import app
from dictate.vocabulary import load_vocabulary

runner = CliRunner()


read_once = functools.cache(load_vocabulary)  # the words are the same for every command here


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three hens and a rooster in two pens, one with mites and a wound; made once."""
    folder = tmp_path_factory.mktemp("made")
    log = folder / "flock.db"
    birds = folder / "birds.csv"
    birds.write_text(
        "name,band,sex,pen\nJuno,white 4,hen,North\nMaud,green 3,hen,North\nOlive,blue 2,hen,South\n"
        "Captain,white 1,rooster,South\n"
    )
    notes = folder / "notes.txt"
    notes.write_text(
        "2026-03-01\n\nMaud. Mites around the vent, moderate. 2.1 kg. Dusted her. Left wattle has a small cut.\n\n"
        "2026-03-05\n\nMaud. A few mites around the vent, mild. 2.0 kg. Look again in ten days.\n"
    )
    assert run(log, "import", str(birds)).exit_code == 0
    assert run(log, "import", str(notes), "--confirm", "all").exit_code == 0
    return folder


@pytest.fixture
def path(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of that log, for a keeper in Great Britain."""
    monkeypatch.setenv("DICTATE_REGIME", "great-britain")
    monkeypatch.setattr("dictate.vocabulary.load_vocabulary", read_once)
    shutil.copytree(made, tmp_path, dirs_exist_ok=True)
    return tmp_path / "flock.db"


def run(path: Path, *arguments: str) -> Result:
    return runner.invoke(app, ["--log", str(path), *arguments])


def ok(path: Path, *arguments: str) -> str:
    result = run(path, *arguments)
    assert result.exit_code == 0, result.output
    return result.stdout


def table(path: Path, *arguments: str) -> Any:
    return json.loads(ok(path, *arguments, "--json"))


def refused(path: Path, *arguments: str, status: int = 2) -> str:
    result = run(path, *arguments)
    assert result.exit_code == status, result.output
    assert "Traceback" not in result.output
    return result.stderr


# Events


def test_events_of_birds_and_of_a_pen(path: Path) -> None:
    assert "Juno" in ok(path, "event", "jabbed", "Juno", "white 1", "--on", "2026-02-01")
    ok(path, "event", "vaccinated", "--pen", "north", "--on", "2026-02-03", "--note", "drops")
    ok(path, "event", "quarantine", "Olive", "--until", "2026-03-20", "--on", "2026-03-01")
    rows = table(path, "event")["events"]
    assert [(r["on"], r["event"], r["bird"]) for r in rows] == [
        ("2026-02-01", "vaccinated", "Captain (white 1)"), ("2026-02-01", "vaccinated", "Juno (white 4)"),
        ("2026-02-03", "vaccinated", "Juno (white 4)"), ("2026-02-03", "vaccinated", "Maud (green 3)"),
        ("2026-03-01", "quarantine", "Olive (blue 2)"),
    ]
    assert "quarantine" in ok(path, "event", "Olive")


def test_who_moves_and_who_leaves(path: Path) -> None:
    ok(path, "event", "moved", "Juno", "--to", "South", "--on", "2026-03-02")
    assert "pen South" in ok(path, "bird", "Juno", "--on", "2026-03-03")
    assert "pen North" in ok(path, "bird", "Juno", "--on", "2026-03-01")
    ok(path, "event", "taken by a fox", "Maud", "--on", "2026-03-06")
    assert table(path, "due", "--on", "2026-04-30")["due"] == []
    wrong = next(r for r in table(path, "event")["events"] if r["event"] == "lost")
    ok(path, "event", "--take-back", wrong["id"][-6:])
    assert table(path, "due", "--on", "2026-04-30")["due"]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["flew", "Juno"], "flew"), (["moved", "Juno"], "--to"), (["died", "Nobody"], "Nobody"),
        (["died"], "which bird"), (["sold", "Juno", "--to", "South"], "--to"),
        (["died", "Juno", "--until", "2026-03-01"], "until"),
        (["vaccinated", "--pen", "East"], "North, South"), (["--take-back", "zzzzzz"], "zzzzzz"),
    ],
)
def test_an_event_that_makes_no_sense(path: Path, arguments: list[str], told: str) -> None:
    assert told in refused(path, "event", *arguments)
    assert table(path, "event")["events"] == []


def test_of_two_birds_one_that_is_not_known_stops_only_itself(path: Path) -> None:
    assert "Nobody" in refused(path, "event", "shown", "Juno", "Nobody", "--on", "2026-02-01", status=1)
    assert len(table(path, "event")["events"]) == 1


def test_a_bird_that_left_is_neither_moved_nor_sold_again(path: Path) -> None:
    ok(path, "event", "died", "Juno", "--on", "2026-03-02")
    refused(path, "event", "vaccinated", "Juno", "--on", "2026-03-03")
    assert "left already" in refused(path, "event", "sold", "Juno", "--on", "2026-03-04")


def test_a_band_falls_off(path: Path) -> None:
    ok(path, "bird", "Juno", "--band", "red 9", "--leg", "left", "--on", "2026-02-01")
    ok(path, "bird", "Juno", "--band-off", "white 4", "--on", "2026-02-10")
    bands = {b["mark"]: (b["since"], b["until"]) for b in table(path, "bird", "Juno")["bands"]}
    assert bands == {"white 4": (None, "2026-02-10"), "red 9": ("2026-02-01", None)}
    assert "red 9" in refused(path, "bird", "Juno", "--band-off", "blue 1")


# Due


def test_due_by_rule_and_as_asked_with_the_working(path: Path, tmp_path: Path) -> None:
    rows = table(path, "due", "--on", "2026-03-15")["due"]
    assert [(r["kind"], r["rule"], r["due_on"], r["regions"]) for r in rows] == [
        ("rule", "wound", "2026-03-03", ["wattle"]), ("asked", None, "2026-03-15", ["vent"]),
    ]
    assert all(r["exam"] and r["because"] for r in rows)
    assert rows[0]["standing"] == "own"
    said = ok(path, "due", "--on", "2026-03-15", "--why")
    for words in ("12 days over", "look at wattle", "rule: wound", "this program's own choice", "look at vent"):
        assert words in said
    file = tmp_path / "due.ics"
    assert str(file) in ok(path, "due", "--on", "2026-03-15", "--within", "30", "--calendar", str(file))
    entries = icalendar.Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    assert [e.decoded("dtstart").isoformat() for e in entries] == ["2026-03-03", "2026-03-15"]


def test_a_calendar_that_cannot_be_written_is_a_sentence(path: Path, tmp_path: Path) -> None:
    assert "writing the calendar" in refused(path, "due", "--calendar", str(tmp_path / "no" / "due.ics"))


def test_a_duck_has_no_rule_of_hens(path: Path, tmp_path: Path) -> None:
    ok(path, "bird", "Maud", "--species", "duck")
    found = table(path, "due", "--on", "2026-03-15")
    assert {r["kind"] for r in found["due"]} == {"asked"}
    assert {(r["bird"], r["species"], r["rule"]) for r in found["no_rule"]} == {
        ("Maud (green 3)", "duck", "mites"), ("Maud (green 3)", "duck", "wound"),
    }
    assert "not for a duck" in ok(path, "due", "--on", "2026-03-15")


# One bird


def test_one_bird_head_to_tail(path: Path) -> None:
    found = table(path, "bird", "Maud", "--on", "2026-03-10")
    assert [(s["region"], s["side"], s["sign"], s["state"], s["grade"]) for s in found["signs"]] == [
        ("wattle", "left", "wound", "new", None), ("vent", None, "mites", "better", 1),
    ]
    assert found["signs"][0]["not_looked_at_on"] == "2026-03-05"
    assert [(w["g"], w["change"]) for w in found["weights"]] == [(2100, None), (2000, -100)]
    (weight,) = found["trends"]
    assert (weight["kind"], weight["verdict"], weight["n"]) == ("weight", "too few", 2)
    said = ok(path, "bird", "Maud", "--on", "2026-03-10")
    better = "better: grade 2 on 2026-03-01, 1 on 2026-03-05"
    for words in (better, "-100 g (-4.8%)", "too few", "not looked at on 2026-03-05"):
        assert words in said
    assert "Exam by exam" in ok(path, "bird", "Maud", "--words")


# Treatments and what is held back


def test_a_treatment_holds_the_eggs_of_the_pen(path: Path) -> None:
    said = ok(
        path, "treat", "Maud", "--with", "grey powder", "--first", "2026-03-01", "--last", "2026-03-05",
        "--label-eggs", "7", "--label-meat", "0", "--batch", "12 B", "--for", "mites", "--on", "2026-03-06",
    )
    assert "hold until 2026-03-12" in said
    assert "all eggs of pen North: hold until 2026-03-12" in said
    rows = table(path, "withheld", "--on", "2026-03-12")["held_back"]
    assert [(r["produce"], r["bird"], r["pen"], r["until"], r["ask_vet"]) for r in rows] == [
        ("eggs", "Maud (green 3)", "North", "2026-03-12", False), ("eggs", None, "North", "2026-03-12", False),
    ]
    assert rows[0]["reasons"][0]["course"]
    assert table(path, "withheld", "--on", "2026-03-13")["held_back"] == []
    assert "nothing is held back" in ok(path, "withheld", "--on", "2026-03-13")
    assert len(table(path, "withheld", "Juno", "--on", "2026-03-12")["held_back"]) == 1
    assert table(path, "withheld", "--pen", "South", "--on", "2026-03-12")["held_back"] == []
    (row,) = table(path, "treat", "--on", "2026-03-12")["treatments"]
    assert (row["product"], row["batch"], row["for"], row["label_days"]) == (
        "grey powder", "12 B", "mites", {"eggs": 7, "meat": 0},
    )


def test_a_treatment_goes_on_until_its_last_dose_is_told(path: Path) -> None:
    days = ("--label-eggs", "4", "--label-meat", "4")
    first = table(path, "treat", "Maud", "--with", "drops", *days, "--on", "2026-03-01")
    assert [e["ask_vet"] for e in first["withheld"]] == [True, True]
    done = table(path, "treat", "--change", first["id"][-6:], "--last", "2026-03-03", "--label-eggs", "5")
    assert [e["until"] for e in done["withheld"]] == ["2026-03-08", "2026-03-07"]
    ok(path, "treat", "--take-back", first["id"][-6:])
    assert table(path, "treat")["treatments"] == []


def test_off_its_label_a_vet_is_asked(path: Path) -> None:
    given = ("--last", "2026-03-01", "--on", "2026-03-02")
    given = ("--off-label", "--label-eggs", "5", *given)
    row = table(path, "treat", "--pen", "South", "--with", "from the shelf", *given)
    assert all(end["ask_vet"] and end["until"] is None for end in row["withheld"])
    assert "ask a vet" in ok(path, "withheld", "--on", "2030-01-01")
    row = table(path, "treat", "Juno", "--with", "drops", "--vet", "Dr Fenn", *given)
    assert row["withheld"][0]["until"] == "2026-03-09"


def test_without_a_place_a_vet_is_asked(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DICTATE_REGIME")
    row = table(path, "treat", "Juno", "--with", "drops", "--last", "2026-03-01", "--label-eggs", "5")
    assert (row["withheld"][0]["until"], row["withheld"][0]["ask_vet"]) == (None, True)
    monkeypatch.setenv("DICTATE_REGIME", "eu")  # said later: it holds for what was written down without one
    assert table(path, "treat")["treatments"][0]["withheld"][0]["until"] == "2026-03-06"


@pytest.mark.parametrize(
    "arguments",
    [
        ["Juno"], ["--with", "drops"], ["Nobody", "--with", "drops"], ["Juno", "--pen", "North", "--with", "drops"],
        ["Juno", "--with", " "], ["--change", "zzzzzz", "--last", "2026-03-01"], ["--pen", "East", "--with", "drops"],
        ["Juno", "--with", "drops", "--first", "2026-03-05", "--last", "2026-03-01"],
        ["Juno", "--with", "drops", "--label-eggs", "-3"],
    ],
)
def test_a_treatment_that_makes_no_sense(path: Path, arguments: list[str]) -> None:
    refused(path, "treat", *arguments)
    assert table(path, "treat")["treatments"] == []


# Photos


def test_photos_by_hand(path: Path, tmp_path: Path) -> None:
    photo = tmp_path / "wattle.jpg"
    photo.write_bytes(b"a picture")
    which = ("--bird", "Maud", "--part", "left wattle", "--on", "2026-03-01")
    (row,) = table(path, "photo", "add", str(photo), *which)["photos"]
    assert (row["finding"], row["date"], row["new"]) == ("left wattle: wound", "2026-03-01", True)
    assert Path(row["path"]).read_bytes() == b"a picture"
    assert "wattle.jpg" in ok(path, "bird", "Maud")
    (listed,) = table(path, "photo", "list", "Maud")["photos"]
    assert listed["finding"] == "left wattle: wound"
    exported = [json.loads(line) for line in ok(path, "export", "exams").splitlines()]
    assert [e["findings"][p["finding"]]["region"] for e in exported for p in e.get("photos", [])] == ["wattle"]
    assert "1 photos, 0 missing" in ok(path, "photo", "check")
    Path(row["path"]).write_bytes(b"another picture")
    assert "not as it was" in refused(path, "photo", "check", status=1)
    ok(path, "photo", "remove", listed["id"][-6:])
    assert table(path, "photo", "list")["photos"] == []


def test_review_shows_the_photo_of_what_it_asks(path: Path, tmp_path: Path) -> None:
    (tmp_path / "told.txt").write_text("2026-03-10\n\nJuno. Wattle has a small cut.\n")
    (tmp_path / "cut.jpg").write_bytes(b"a picture")
    ok(path, "import", str(tmp_path / "told.txt"))
    ok(path, "photo", "add", str(tmp_path / "cut.jpg"), "--bird", "Juno", "--part", "wattle")
    result = runner.invoke(app, ["--log", str(path), "review"], input="q\n")
    assert "photo cut.jpg" in result.stdout


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "says when it was taken"), (["--at", "2026-03-01 10:00"], "no exam was under way"),
        (["--bird", "Juno"], "no exam"), (["--bird", "Maud", "--part", "left eye"], "no finding"),
        (["--bird", "Maud", "--on", "2026-03-04"], "no exam of 2026-03-04"),
    ],
)
def test_a_photo_that_fits_nowhere(path: Path, tmp_path: Path, arguments: list[str], told: str) -> None:
    photo = tmp_path / "hen.jpg"
    photo.write_bytes(b"a picture")
    assert told in refused(path, "photo", "add", str(photo), *arguments)


# Post-mortems


def test_a_post_mortem_is_kept_apart(path: Path) -> None:
    ok(path, "postmortem", "Olive, hen. Crop empty. Keel sharp. Vent has mites.", "--on", "2026-03-08")
    assert runner.invoke(app, ["--log", str(path), "review", "--sure"]).exit_code == 0
    before = table(path, "flock", "mites", "--region", "vent", "--on", "2026-03-31")
    assert before["positive_birds"] == ["Maud (green 3)"]
    found = table(path, "due", "--on", "2026-03-31")
    assert "Olive (blue 2)" not in {r["bird"] for r in found["due"]}
    assert found["dead"] == [{"bird": "Olive (blue 2)", "post_mortem_on": "2026-03-08"}]
    assert "post-mortem" in ok(path, "due", "--on", "2026-03-31")
    said = ok(path, "bird", "Olive")
    assert "Post-mortem, counted apart" in said
    assert table(path, "bird", "Olive")["signs"] == []


def test_an_exam_is_made_a_post_mortem_and_back(path: Path) -> None:
    ok(path, "postmortem", "--of", "Maud", "--on", "2026-03-05")
    assert [e["kind"] for e in table(path, "bird", "Maud")["exams"]] == ["live", "post-mortem"]
    ok(path, "postmortem", "--of", "Maud", "--on", "2026-03-05", "--living")
    assert [e["kind"] for e in table(path, "bird", "Maud")["exams"]] == ["live", "live"]
    refused(path, "postmortem", "--of", "Juno")
    refused(path, "postmortem")


def test_notes_that_say_so_are_post_mortems(path: Path, tmp_path: Path) -> None:
    """Of a bird that had died the day before, too."""
    ok(path, "event", "died", "Juno", "--on", "2026-03-08")
    notes = tmp_path / "dead.txt"
    notes.write_text("2026-03-09\n\nPost mortem. Juno, hen. Crop empty.\n")
    ok(path, "import", str(notes), "--confirm", "all")
    assert [e["kind"] for e in table(path, "bird", "Juno")["exams"]] == ["post-mortem"]


# Lists of birds


def test_a_list_with_a_faulty_line(path: Path, tmp_path: Path) -> None:
    birds = tmp_path / "more.csv"
    birds.write_text("name,leg\nNan,left\nRue,\n")
    assert "line 2" in refused(path, "import", str(birds), status=1)
    assert {b["name"] for b in table(path, "bird")["birds"]} >= {"Rue"}
    assert table(path, "import", str(birds).replace("more", "birds"))["birds"][0]["known_already"] == 4


def test_review_asks_about_what_was_told(path: Path, tmp_path: Path) -> None:
    notes = tmp_path / "told.txt"
    notes.write_text("2026-03-10\n\nJuno. Comb red. Vaccinated her today.\n")
    ok(path, "import", str(notes))
    result = runner.invoke(app, ["--log", str(path), "review"], input="y\ny\n")
    assert result.exit_code == 0, result.output
    assert "Write down: vaccinated on 2026-03-10?" in result.stdout
    assert [e["event"] for e in table(path, "event")["events"]] == ["vaccinated"]
