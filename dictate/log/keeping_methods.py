"""The part of the flock log that is about what goes on over weeks: events, treatment courses, photos."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

from dictate.keeping import Course, Photo
from dictate.log import courses, happenings, photos
from dictate.log.database import Database
from dictate.log.trail import apply
from dictate.record import BirdEvent, Leaving

__all__ = ["KeepingMethods"]


class KeepingMethods:
    """Methods of FlockLog; see there for what all of them promise."""

    _db: Database

    # Events

    def end_bird(
        self, bird_id: str, how: Leaving, on: date, *, detail: str = "", batch: str | None = None
    ) -> str:
        """A bird leaves the flock: from that day she is neither due nor counted; her bands end. The
        event's id. Raises UsageError where she has left already."""
        return happenings.end_bird(self._db, bird_id, how, on, detail=detail, batch=batch)

    def add_event(
        self, bird_id: str, kind: str, on: date, *, until: date | None = None, detail: str | None = None,
        pen: str | None = None, batch: str | None = None,
    ) -> str:
        """Something else that happened to a bird; its id. With `pen` she lives there from that day on."""
        return happenings.add_event(
            self._db, bird_id, kind, on, until=until, detail=detail, pen=pen, batch=batch
        )

    def withdraw_event(self, event_id: str, *, reason: str = "") -> None:
        """Take an event back: who had left is here again, who had moved lives where she lived."""
        happenings.withdraw_event(self._db, event_id, reason=reason)

    def events(self, bird_id: str) -> list[BirdEvent]:
        """Events of one bird in the order of their days."""
        return happenings.events(self._db, bird_id)

    def all_events(self) -> dict[str, list[BirdEvent]]:
        """Events of all birds by the bird's id."""
        return happenings.all_events(self._db)

    def answered(self, exam_id: str, what: str, item: str, *, by: str | None = None) -> None:
        """Keep in the trail that a person was asked about something told in an exam, and what they said."""
        apply(self._db, what, [], exam=self._db.the("exam", exam_id, "exam"), item=item, by=by)

    # Treatment courses

    def add_course(self, course: Course, *, batch: str | None = None) -> str:
        """Keep a treatment course; its id (that of `course` is not used). Raises UsageError where it
        makes no sense (of no bird and no pen, ended before it began)."""
        return courses.add_course(self._db, course, batch=batch)

    def change_course(self, course_id: str, changes: dict[str, Any], *, reason: str = "") -> Course:
        """Change what is known of a course, for instance its last day."""
        return courses.change_course(self._db, course_id, changes, reason=reason)

    def withdraw_course(self, course_id: str, *, reason: str = "") -> None:
        """Take a course back: it holds nothing any more."""
        courses.withdraw_course(self._db, course_id, reason=reason)

    def courses(self, *, until: date | None = None) -> list[Course]:
        """Treatment courses; with `until` those begun by that day or on no known day."""
        return courses.courses(self._db, until=until)

    # Photos

    def keep_photo(
        self, source: Path, exam_id: str, finding_id: str | None = None, *, taken: datetime | None = None,
        batch: str | None = None,
    ) -> tuple[Photo, bool]:
        """Copy a file beside the log and keep it with an exam or finding; False where it was there.

        Raises LogError where the file cannot be read or the copy differs from it.
        """
        return photos.keep_photo(self._db, source, exam_id, finding_id, taken=taken, batch=batch)

    def check_photos(self) -> tuple[int, list[str]]:
        """How many photos are kept, and a sentence for each that is missing or changed."""
        return photos.check_photos(self._db)

    def withdraw_photo(self, photo_id: str, *, reason: str = "") -> None:
        """Show a photo no more; its file stays."""
        photos.withdraw_photo(self._db, photo_id, reason=reason)
