"""When a photo was taken, and what was being spoken of then."""

from __future__ import annotations

import struct
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest
from stored_exams import exam

from dictate.errors import LogError
from dictate.intake.photos import place_of, taken_at
from dictate.model import Finding
from dictate.record import Recording, Source, StoredExam

TAKEN = datetime(2031, 5, 1, 10, 15, 30)


def jpeg(when: bytes = b"2031:05:01 10:15:30\0", zone: bytes = b"") -> bytes:
    """The smallest JPEG that says when it was taken: Exif 2.32, tags 0x9003 and 0x9011 in the Exif IFD."""
    entries = [(0x9003, when)] + ([(0x9011, zone)] if zone else [])
    ifd = struct.pack("<H", len(entries))
    data, place = b"", 26 + 2 + 12 * len(entries) + 4
    for tag, text in entries:
        ifd += struct.pack("<HHII", tag, 2, len(text), place + len(data))
        data += text
    tiff = b"II*\0" + struct.pack("<I", 8) + struct.pack("<HHHIII", 1, 0x8769, 4, 1, 26, 0) + ifd + b"\0" * 4 + data
    body = b"Exif\0\0" + tiff
    return b"\xff\xd8\xff\xe1" + struct.pack(">H", len(body) + 2) + body + b"\xff\xd9"


def test_the_picture_says_when_it_was_taken(tmp_path: Path) -> None:
    path = tmp_path / "IMG_20200101_000000.jpg"
    path.write_bytes(jpeg())
    assert taken_at(path) == (TAKEN, "the picture's own data")
    path.write_bytes(jpeg(zone=b"+02:00\0"))
    found = taken_at(path)
    assert found is not None
    assert found[0].astimezone(UTC) == datetime(2031, 5, 1, 8, 15, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    "name",
    [
        "IMG_20310501_101530.jpg", "2031-05-01 10.15.30.png", "photo 2031-05-01_10-15-30 edited.heic",
        "20310501T101530.jpg",
    ],
)
def test_or_its_name_does(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(b"no picture at all")
    assert taken_at(path) == (TAKEN, "the name of the file")


@pytest.mark.parametrize("name", ["hen.jpg", "2031-05-01.jpg", "20319901_101530.jpg", "12345678901234567890.jpg"])
def test_or_nobody_does(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(jpeg(b"0000:00:00 00:00:00\0"))
    assert taken_at(path) is None


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(LogError, match="reading the photo"):
        taken_at(tmp_path / "none.jpg")


# Where it belongs


STARTED = datetime(2031, 5, 1, 10, 0, tzinfo=UTC)
SOUND = Recording("r", "round.wav", STARTED, 600.0)


def spoken(*starts: tuple[float, Finding], recording: str = "r") -> StoredExam:
    findings = [Finding(f.region, f.sign, start=start, end=start + 2) for start, f in starts]
    return exam(date(2031, 5, 1), *findings, source=Source(recording=recording))


EYE, PAD, COMB = Finding("eye", "foam"), Finding("foot pad", "scab"), Finding("comb", "pallor")
FIRST, SECOND = spoken((20, COMB), (60, EYE)), spoken((200, PAD), (320, COMB))


def at(seconds: float) -> datetime:
    return STARTED + timedelta(seconds=seconds)


@pytest.mark.parametrize(
    ("second", "place", "sign"),
    [
        (62, FIRST, "foam"), (22, FIRST, "pallor"), (150, FIRST, None), (-30, FIRST, None), (205, SECOND, "scab"),
        (193, SECOND, "scab"), (250, SECOND, None), (640, SECOND, None),
    ],
)
def test_by_the_second_of_the_sound(second: float, place: StoredExam, sign: str | None) -> None:
    found = place_of(at(second), [SOUND], [FIRST, SECOND])
    assert found is not None
    assert found.exam is place
    value = found.finding.value if found.finding else None
    assert (value.sign if isinstance(value, Finding) else None) == sign
    assert "into the recording" in found.why


@pytest.mark.parametrize("second", [-100, 700, 86_400])
def test_outside_of_the_sound_nothing_is_guessed(second: float) -> None:
    assert place_of(at(second), [SOUND], [FIRST, SECOND]) is None


def test_a_clock_without_zone_is_this_machines(monkeypatch: pytest.MonkeyPatch) -> None:
    local = at(62).astimezone().replace(tzinfo=None)
    found = place_of(local, [SOUND], [FIRST, SECOND])
    assert found is not None
    assert found.exam is FIRST


def test_without_sound_by_the_clock_of_the_exam() -> None:
    early, late = (exam(date(2031, 5, 1), EYE, at=time(10, minute)) for minute in (10, 16))
    found = place_of(TAKEN, [], [early, late])
    assert found is not None
    assert (found.exam, found.finding) == (late, None)
    assert place_of(TAKEN + timedelta(minutes=20), [], [early, late]) is None
    twin = exam(date(2031, 5, 1), PAD, at=time(10, 16))
    assert place_of(TAKEN, [], [late, twin]) is None, "two exams at once: a person decides"


def test_a_withdrawn_exam_gets_no_photo() -> None:
    gone = exam(date(2031, 5, 1), EYE, at=time(10, 15), status="withdrawn")
    assert place_of(TAKEN, [], [gone]) is None
