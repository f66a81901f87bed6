"""When a photo was taken, and which exam and finding were being spoken of then. The only file that knows
exifread. Nothing in the picture is looked at."""

from __future__ import annotations

import logging
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from dictate.errors import LogError
from dictate.model import Finding
from dictate.record import Item, Recording, StoredExam

__all__ = ["Place", "place_of", "taken_at"]

_IN_A_NAME = re.compile(
    r"(?<!\d)(20\d\d)[-_.]?(\d\d)[-_.]?(\d\d)[-_ T]+(\d\d)[-_.:h]?(\d\d)[-_.:m]?(\d\d)(?!\d)"
)
SLACK = timedelta(seconds=90)
"""A photo may be taken so long before the first or after the last words of a recording or exam."""
NEAR = 30.0
"""Seconds of sound within which a photo is taken to show the finding that was spoken."""
SAME_EXAM = timedelta(minutes=10)
"""From an exam's clock time, where its sound is not there."""


@dataclass(frozen=True, slots=True)
class Place:
    """The exam that a photo belongs to by its time, and the finding where one was spoken near it. `why` is
    the working in a sentence."""

    exam: StoredExam
    finding: Item | None
    why: str


def taken_at(path: Path) -> tuple[datetime, str] | None:
    """The clock time at which a photo was taken, aware where its zone is told, and where it was read.

    From the picture's own data, else from its name; the date of the file is not believed, since copying
    changes it. Raises LogError where the file cannot be read.
    """
    import exifread

    logging.getLogger("exifread").setLevel(logging.CRITICAL)  # it would write to the screen by itself
    try:
        with path.open("rb") as file:
            tags = exifread.process_file(file, details=False)
    except OSError as error:
        raise LogError("reading the photo", str(path), (error.strerror or str(error)).lower()) from error
    except Exception:  # damaged or foreign data: the library raises many things
        tags = {}
    said = str(tags.get("EXIF DateTimeOriginal", ""))
    zone = str(tags.get("EXIF OffsetTimeOriginal", "")).strip()
    for text, form in ((said + zone, "%Y:%m:%d %H:%M:%S%z"), (said, "%Y:%m:%d %H:%M:%S")):
        try:
            return datetime.strptime(text, form), "the picture's own data"
        except ValueError:
            continue
    found = _IN_A_NAME.search(path.stem)
    if found:
        try:
            return datetime.strptime("".join(found.groups()), "%Y%m%d%H%M%S"), "the name of the file"
        except ValueError:
            return None
    return None


def place_of(taken: datetime, recordings: Iterable[Recording], exams: Iterable[StoredExam]) -> Place | None:
    """The exam under way at a clock time (without zone: that of this machine); None where none, or not
    just one, was. By the seconds of its recording, else by the exam's clock time."""
    exams = [exam for exam in exams if exam.status != "withdrawn"]
    moment = taken.astimezone()
    for recording in recordings:
        if recording.started is None or recording.seconds is None:
            continue
        second = (moment - recording.started.astimezone(UTC)).total_seconds()
        if -SLACK.total_seconds() <= second <= recording.seconds + SLACK.total_seconds():
            place = _in_sound(second, [e for e in exams if e.source.recording == recording.id])
            if place:
                return place
    return _by_clock(moment.replace(tzinfo=None), exams)


def _in_sound(second: float, exams: list[StoredExam]) -> Place | None:
    """The exam being spoken at a second of a recording, and the finding whose words are nearest."""
    begun = [
        (start, exam) for exam in exams
        if (start := min((i.value.start for i in exam.items if i.stands and i.value.start is not None), default=None))
        is not None
    ]
    if not begun:
        return Place(exams[0], None, "the only exam of the recording under way") if len(exams) == 1 else None
    begun.sort(key=lambda one: one[0])
    exam = next((exam for start, exam in reversed(begun) if start <= second + NEAR / 2), begun[0][1])
    spoken = [
        (abs(item.value.start - second), item) for item in exam.items
        if item.stands and isinstance(item.value, Finding) and item.value.start is not None
    ]
    nearest = min(spoken, key=lambda one: one[0], default=None)
    if nearest is None or nearest[0] > NEAR:
        return Place(exam, None, f"taken {second:.0f} s into the recording")
    return Place(exam, nearest[1], f"taken {second:.0f} s into the recording, {nearest[0]:.0f} s from these words")


def _by_clock(moment: datetime, exams: list[StoredExam]) -> Place | None:
    near = [
        (abs(moment - datetime.combine(exam.on, exam.at)), exam)
        for exam in exams if exam.on is not None and exam.at is not None
    ]
    near = sorted((one for one in near if one[0] <= SAME_EXAM), key=lambda one: one[0])
    if not near or (len(near) > 1 and near[0][0] == near[1][0]):
        return None
    minutes = near[0][0].total_seconds() / 60
    return Place(near[0][1], None, f"taken {minutes:.0f} min from the exam's own time")
