"""Questions of care with all that they need from log, words and settings, for the commands that ask them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from dictate.keeping import Course
from dictate.record import BirdEvent, BirdRecord, StoredExam

if TYPE_CHECKING:
    from dictate.care.duties import Agenda
    from dictate.care.held_back import HeldBack
    from dictate.log import FlockLog
    from dictate.vocabulary import Vocabulary

__all__ = ["Flock", "held_row"]


@dataclass(frozen=True, slots=True)
class Flock:
    """The confirmed part of a log, read once, and the words in force."""

    birds: list[BirdRecord]
    exams: list[StoredExam]
    events: dict[str, list[BirdEvent]]
    courses: list[Course]
    vocabulary: Vocabulary

    @classmethod
    def read(cls, log: FlockLog, vocabulary: Vocabulary, regime: str, *, bird: str | None = None) -> Flock:
        """`regime`: the place of the settings, for treatments with which none was written down."""
        courses = [replace(course, regime=course.regime or regime or None) for course in log.courses()]
        return cls(log.birds(), list(log.exams(bird=bird)), log.all_events(), courses, vocabulary)

    def agenda(self, on: date, within: int = 0) -> Agenda:
        from dictate.care.duties import QUARANTINE, agenda

        words = self.vocabulary.entries("event")
        return agenda(
            self.exams, self.birds, on, within=within, rules=list(self.vocabulary.entries("look_again").values()),
            events=self.events, ends_quarantine=[name for name, word in words.items() if word.ends == QUARANTINE],
        )

    def held_back(self, on: date) -> list[HeldBack]:
        from dictate.care.held_back import held_back

        return held_back(
            self.exams, self.birds, self.courses, list(self.vocabulary.entries("regime").values()), on,
            not_laying=[name for name, word in self.vocabulary.birds.items() if not word.lays],
        )


def held_row(held: HeldBack) -> dict[str, Any]:
    """What is held back as a JSON object, with its working."""
    return {
        "produce": held.produce, "bird": held.bird, "bird_id": held.bird_id, "pen": held.pen,
        "until": held.until, "ask_vet": held.ask_vet,
        "reasons": [
            {"until": r.until, "ask_vet": r.ask_vet, "why": r.why, "quote": r.quote or None,
             "course": r.course_id, "exam": r.exam_id, "source": r.source or None,
             "source_from_memory": r.memory or None}
            for r in held.reasons
        ],
    }
