"""What is due as a calendar (RFC 5545) that any calendar program reads: the only file that knows icalendar."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta

from dictate.care.duties import Duty
from dictate.care.held_back import HeldBack

__all__ = ["calendar_of"]

PRODUCT = "-//comb-to-vent//dictate//EN"
LAST_DAY = "last day held back"


def calendar_of(
    duties: Iterable[Duty], held: Iterable[HeldBack] = (), *, stamp: datetime | None = None
) -> bytes:
    """A calendar with an all-day entry for each duty that has a day, and for the last day of each hold.

    An entry has the same UID whenever it is written, so that reading a newer file in replaces it. `stamp` is
    the moment of writing (now).
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    stamp = stamp or datetime.now(UTC)
    for uid, day, summary, description, category in _entries(duties, held):
        entry = Event()
        entry.add("uid", uid)
        entry.add("dtstamp", stamp.astimezone(UTC).replace(microsecond=0))
        entry.add("dtstart", day)
        entry.add("dtend", day + timedelta(days=1))
        entry.add("summary", summary)
        entry.add("description", description)
        entry.add("categories", [category])
        entry.add("transp", "TRANSPARENT")
        calendar.add_component(entry)
    return bytes(calendar.to_ical())


def _entries(
    duties: Iterable[Duty], held: Iterable[HeldBack]
) -> Iterable[tuple[str, date, str, str, str]]:
    """(UID, day, one line, more lines, category) of each."""
    for duty in duties:
        if duty.due_on is None:
            continue
        about = [duty.because, f'"{duty.quote}"' if duty.quote else "", f"pen {duty.pen}" if duty.pen else ""]
        about.append(f"source: {duty.source}" if duty.source else "")
        yield _uid(duty.key), duty.due_on, duty.summary, "\n".join(a for a in about if a), duty.kind
    for one in held:
        if one.until is None:
            continue
        about = [reason.why for reason in one.reasons]
        uid = _uid(f"held-{one.produce}-{one.bird_id or one.pen}-{one.until}")
        yield uid, one.until, f"{one.what}: {LAST_DAY}", "\n".join(about), "held back"


def _uid(key: str) -> str:
    return "".join(c if c.isalnum() or c in "-+." else "_" for c in key)
