"""Two years of an invented holding, made from a script with a seed: the same at every run.

The words of each exam are understood by the parser as any others and then confirmed whole, so that every
question has an answer to look at. What happens stands in invented_flock.toml.
"""

from __future__ import annotations

import random
import struct
import tempfile
import tomllib
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, time, timedelta
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast, get_args

from dictate.keeping import Course
from dictate.model import Draft, Observation
from dictate.record import ExamKind, Leaving, Source

if TYPE_CHECKING:
    from dictate.log import FlockLog

__all__ = ["Script", "Visit", "fill", "script"]

SPREAD = 0.03
"""Weights lie about so far from what a bird ought to weigh, as a share of it (standard deviation)."""
GROWN = 200
"""Days from hatching to her grown weight."""


@dataclass(frozen=True, slots=True)
class Visit:
    """One exam as it is spoken."""

    on: date
    at: time
    text: str
    kind: ExamKind = "live"


class Script:
    """The story with its days worked out. `weeks`: only the last so many of it (None: all)."""

    def __init__(self, told: dict[str, Any], weeks: int | None = None) -> None:
        self.told = told
        self.says: str = told["says"]
        self.first: date = told["first"]
        self.until: date = self.first + timedelta(weeks=told["weeks"])
        self.since = self.until - timedelta(weeks=weeks) if weeks is not None else self.first

    def day(self, text: str) -> date:
        """ "12+3" is day 3 of week 12."""
        weeks, days = text.split("+")
        return self.first + timedelta(weeks=int(weeks), days=int(days))

    def visits(self) -> list[Visit]:
        """All exams in the order of days: the stories, and rounds of those birds that have none near."""
        chance = random.Random(self.told["seed"])
        birds = {bird["name"]: bird for bird in self.told["bird"]}
        ends = self._ends()
        found: list[Visit] = []
        busy: dict[str, list[date]] = {}
        for story in self.told["story"]:
            on = self.day(story["on"])
            bird = next(bird for name, bird in birds.items() if name in story["text"])
            busy.setdefault(bird["name"], []).append(on)
            text = story["text"].format(name=bird["name"], weight=self._weight(bird, on, chance))
            found.append(Visit(on, time.fromisoformat(story["at"]), text, story.get("kind", "live")))
        pens = list(dict.fromkeys(bird["pen"] for bird in birds.values()))
        for bird in birds.values():
            for week in range(2 * pens.index(bird["pen"]), self.told["weeks"], self.told["every_weeks"]):
                on = self.first + timedelta(weeks=week, days=1)
                near = any(abs((on - day).days) <= 10 for day in busy.get(bird["name"], ()))
                here = week >= bird.get("from_week", 0) and on < ends.get(bird["name"], date.max)
                weight, text = self._weight(bird, on, chance), chance.choice(self.told["routine"]["texts"])
                if here and not near:
                    at = time(9 + chance.randrange(2), chance.randrange(60))
                    found.append(Visit(on, at, text.format(name=bird["name"], weight=weight)))
        return sorted((v for v in found if v.on >= self.since), key=lambda v: (v.on, v.at))

    def _ends(self) -> dict[str, date]:
        """The day on which each of those that leave leaves."""
        return {e["bird"]: self.day(e["on"]) for e in self.told["event"] if e["what"] in get_args(Leaving)}

    def _weight(self, bird: dict[str, Any], on: date, chance: random.Random) -> str:
        """What she weighs that day, as a keeper says it."""
        grown: float = bird["weight"] * min(1.0, 0.35 + 0.65 * (on - bird["hatched"]).days / GROWN)
        lost_weeks = max(0.0, (on - self.first).days / 7 - bird.get("loses_from_week", 10_000))
        grams = grown - lost_weeks * bird.get("loses_each_week", 0)
        return f"{grams * chance.gauss(1, SPREAD) / 1000:.2f} kilos"

    def counts(self) -> Iterator[tuple[date, Observation]]:
        """Eggs and water of each pen and day, and deaths."""
        chance = random.Random(self.told["seed"] + 1)
        ends = self._ends()
        for number in range((self.until - self.first).days):
            on, week = self.first + timedelta(days=number), number / 7
            for pen in self.told["pen"]:
                share = min([fall for a, b, fall in pen["falls"] if a <= week < b], default=1.0)
                birds = [
                    b for b in self.told["bird"] if b["pen"] == pen["name"] and week >= b.get("from_week", 0)
                    and on < ends.get(b["name"], date.max)
                ]
                hens = sum(b["sex"] != "rooster" and (on - b["hatched"]).days > 150 for b in birds)
                eggs = max(0, round(hens * pen["lay"] * share + chance.gauss(0, 0.4)))
                water = round(len(birds) * pen["water"] * (1 + share) / 2 * chance.gauss(1, 0.05), 1)
                if on >= self.since:
                    yield on, Observation("eggs", pen["name"], eggs, "1")
                    yield on, Observation("water", pen["name"], water, "L")
        for death in self.told["death"]:
            if self.day(death["on"]) >= self.since:
                yield self.day(death["on"]), Observation("deaths", death["pen"], death["count"], "1")


def script(weeks: int | None = None) -> Script:
    """The invented flock; `weeks`: only what happens in the last so many weeks."""
    text = files("dictate.cli").joinpath("invented_flock.toml").read_text(encoding="utf-8")
    return Script(tomllib.loads(text), weeks)


def fill(
    log: FlockLog, play: Script, understand: Callable[[str], Draft], *,
    parser: str = "", progress: Callable[[date], None] | None = None,
) -> int:
    """Play the script into an empty log; how many exams it made."""
    batch = log.start_batch("demo", "an invented flock")
    with log.transaction():
        ids = {bird["name"]: _register(log, bird, play, batch) for bird in play.told["bird"]}
    exams = 0
    happenings = sorted(play.told["event"], key=lambda e: play.day(e["on"]))
    for visit in play.visits():
        while happenings and play.day(happenings[0]["on"]) < visit.on:
            _happen(log, happenings.pop(0), play, ids, batch)
        draft = understand(visit.text)
        with log.transaction():
            for exam_id in log.save_draft(
                draft, Source(file="invented flock"), on=visit.on, at=visit.at, kind=visit.kind, batch=batch,
                parser=parser,
            ):
                log.confirm_exam(exam_id, reason="invented, confirmed by the demo")
                exams += 1
        if progress:
            progress(visit.on)
    for event in happenings:
        _happen(log, event, play, ids, batch)
    with log.transaction():
        for course in play.told["course"]:
            _treat(log, course, play, ids, batch)
        for on, said in play.counts():
            log.add_observation(said, on=on, batch=batch)
    _photograph(log, batch)
    return exams


def _register(log: FlockLog, bird: dict[str, Any], play: Script, batch: str) -> str:
    come = play.first + timedelta(weeks=bird.get("from_week", 0))
    return log.register_bird(
        name=bird["name"], band=bird["band"], leg="right", banded_on=come, species=bird.get("species", "chicken"),
        breed=bird["breed"], sex=bird["sex"], hatched=bird["hatched"], pen=bird["pen"], source="invented", batch=batch,
    )


def _happen(log: FlockLog, event: dict[str, Any], play: Script, ids: dict[str, str], batch: str) -> None:
    on, what, note = play.day(event["on"]), event["what"], event.get("note", "")
    until = play.day(event["until"]) if "until" in event else None
    with log.transaction():
        whose = [ids[event["bird"]]] if "bird" in event else [
            bird.id for bird in log.birds(on=on) if bird.pen_on(on) == event["pen"]
        ]
        for bird_id in whose:
            if what in get_args(Leaving):
                log.end_bird(bird_id, cast("Leaving", what), on, detail=note, batch=batch)
            else:
                log.add_event(
                    bird_id, what, on, until=until, detail=note or None, pen=event.get("to"), batch=batch
                )


def _treat(log: FlockLog, course: dict[str, Any], play: Script, ids: dict[str, str], batch: str) -> None:
    days = tuple((produce, course[produce]) for produce in ("eggs", "meat") if produce in course)
    log.add_course(
        Course(
            id="", product=course["product"], bird_id=ids[course["bird"]] if "bird" in course else None,
            pen=course.get("pen"), first_on=play.day(course["first"]), last_on=play.day(course["last"]),
            label_days=days, use="off-label" if course.get("off_label") else "label", regime=play.told["regime"],
            product_batch=course.get("batch"), prescriber=course.get("vet"), reason=course.get("reason"),
        ),
        batch=batch,
    )


def _photograph(log: FlockLog, batch: str) -> None:
    """One picture, a plain square of colour, kept with the last exam in which something was done."""
    for exam in reversed(list(log.exams(batch=batch))):
        item = next((i for i in exam.items if i.kind == "finding" and i.stands), None)
        if item is not None and exam.confirmed.actions:
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / "invented_picture.png"
                path.write_bytes(_png(48, 48, (196, 148, 92)))
                log.keep_photo(path, exam.id, item.id, batch=batch)
            return


def _png(width: int, height: int, colour: tuple[int, int, int]) -> bytes:
    """A picture of one colour (PNG, W3C 2003: signature, IHDR, IDAT, IEND)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = (b"\0" + bytes(colour) * width) * height
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
