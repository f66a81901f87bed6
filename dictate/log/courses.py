"""Treatment courses: product and days as the keeper said or typed them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any, get_args

from dictate.errors import NotFoundError, UsageError
from dictate.keeping import Course, Produce, Use
from dictate.log.codec import day_from, day_text
from dictate.log.database import Database, Row
from dictate.log.ids import now_text
from dictate.log.people import batch_key, key_by_name, made
from dictate.log.trail import apply, change, made_change

__all__ = ["add_course", "change_course", "courses", "withdraw_course"]

_COURSES = """
    SELECT treatment_course.*, bird.uid AS bird_uid, pen.name AS pen, exam.uid AS exam_uid
    FROM treatment_course
    LEFT JOIN bird ON bird.id = treatment_course.bird_id
    LEFT JOIN pen ON pen.id = treatment_course.pen_id
    LEFT JOIN exam ON exam.id = treatment_course.exam_id
"""


def add_course(db: Database, course: Course, *, batch: str | None = None) -> str:
    _check(course)
    with db.transaction():
        row = made() | _row(db, course) | {"batch_id": batch_key(db, batch)}
        db.insert("treatment_course", row)
        apply(
            db, "treatment course", [made_change("treatment_course", str(row["uid"]), "withdrawn_at")],
            item=str(row["uid"]),
        )
    return str(row["uid"])


def _check(course: Course) -> None:
    """Raises UsageError for a course that makes no sense."""
    doing = "writing down a treatment"
    if not course.product.strip():
        raise UsageError(doing, found="no word was given for the product", remedy="Say it in your own words.")
    if (course.bird_id is None) == (course.pen is None):
        raise UsageError(doing, course.product, "it is of one bird or of one pen", "Name one of them.")
    if course.first_on and course.last_on and course.last_on < course.first_on:
        raise UsageError(
            doing, course.product, f"the last dose ({course.last_on}) is before the first ({course.first_on})"
        )
    for produce, days in (*course.label_days, *course.vet_days):
        if not 0 <= days <= 1000:
            raise UsageError(doing, course.product, f"{days} days for {produce}", "Give 0 to 1000 days.")
    if course.use not in get_args(Use):
        raise UsageError(
            doing, course.product, f"there is no use {course.use!r}", f"It may be {get_args(Use)}."
        )


def _row(db: Database, course: Course) -> Row:
    bird = db.the("bird", course.bird_id, "bird")["id"] if course.bird_id else None
    exam = db.the("exam", course.exam_id, "exam")["id"] if course.exam_id else None
    return {
        "status": course.status, "bird_id": bird, "pen_id": key_by_name(db, "pen", course.pen), "exam_id": exam,
        "product": course.product.strip(), "product_batch": course.product_batch, "reason": course.reason,
        "first_on": day_text(course.first_on), "last_on": day_text(course.last_on),
        "egg_days": course.label("eggs"), "meat_days": course.label("meat"),
        "vet_egg_days": course.vet("eggs"), "vet_meat_days": course.vet("meat"), "how_used": course.use,
        "regime": course.regime, "prescriber": course.prescriber, "quote": course.quote,
    }


def change_course(db: Database, course_id: str, changes: dict[str, Any], *, reason: str = "") -> Course:
    """Put other values into a course (names as in Course; whose it is stays)."""
    before = _one(db, course_id)
    if before.status == "withdrawn":
        raise UsageError("changing a treatment", course_id, "it was taken back")
    after = replace(before, **changes)
    _check(after)
    with db.transaction():
        row = db.the("treatment_course", course_id, "treatment course")
        apply(
            db, "treatment course changed", [change("treatment_course", row, **_row(db, after))],
            item=course_id, reason=reason,
        )
    return after


def withdraw_course(db: Database, course_id: str, *, reason: str = "") -> None:
    with db.transaction():
        row = db.the("treatment_course", course_id, "treatment course")
        gone = change("treatment_course", row, status="withdrawn", withdrawn_at=now_text())
        apply(db, "treatment course withdrawn", [gone], item=course_id, reason=reason)


def courses(db: Database, *, until: date | None = None) -> list[Course]:
    """Courses that stand, in the order of their first dose."""
    rows = db.rows(
        f"{_COURSES} WHERE treatment_course.status = 'confirmed' AND treatment_course.withdrawn_at IS NULL"
        " AND (? IS NULL OR first_on IS NULL OR first_on <= ?) ORDER BY first_on, treatment_course.id",
        [day_text(until), day_text(until)],
    )
    return [_course(row) for row in rows]


def _one(db: Database, course_id: str) -> Course:
    rows = db.rows(f"{_COURSES} WHERE treatment_course.uid = ?", [course_id])
    if not rows:
        raise NotFoundError("looking in", str(db.path), f"there is no treatment course with the id {course_id!r}")
    return _course(rows[0])


def _course(row: Row) -> Course:
    return Course(
        id=row["uid"], product=row["product"], bird_id=row["bird_uid"], pen=row["pen"], exam_id=row["exam_uid"],
        first_on=day_from(row["first_on"]), last_on=day_from(row["last_on"]),
        label_days=_days(row["egg_days"], row["meat_days"]),
        vet_days=_days(row["vet_egg_days"], row["vet_meat_days"]), use=row["how_used"], regime=row["regime"],
        product_batch=row["product_batch"], prescriber=row["prescriber"], reason=row["reason"],
        quote=row["quote"], status=row["status"],
    )


def _days(eggs: int | None, meat: int | None) -> tuple[tuple[Produce, int], ...]:
    pairs: tuple[tuple[Produce, int | None], ...] = (("eggs", eggs), ("meat", meat))
    return tuple((produce, days) for produce, days in pairs if days is not None)
