"""Random stable ids (UUID version 7, RFC 9562 section 5.7) and times as text."""

from __future__ import annotations

import os
import time
from datetime import UTC, datetime

__all__ = ["new_id", "now_text", "utc_text"]


def new_id() -> str:
    """A UUIDv7: 48 bits of milliseconds, then 74 random bits, so that ids sort by time made."""
    value = (time.time_ns() // 1_000_000) << 80 | int.from_bytes(os.urandom(10))
    value = value & ~(0xF << 76) | 0x7 << 76  # version 7
    value = value & ~(0x3 << 62) | 0x2 << 62  # variant of RFC 9562
    text = f"{value:032x}"
    return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"


def utc_text(moment: datetime) -> str:
    """A moment as ISO 8601 in UTC to the millisecond; one without zone is taken as local time."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds")


def now_text() -> str:
    return utc_text(datetime.now(UTC))
