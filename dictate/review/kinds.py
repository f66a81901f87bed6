"""Exams whose own words say that the bird was opened after death: a kind of their own."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from dictate.record import StoredExam

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.vocabulary import Vocabulary

__all__ = ["mark_post_mortems", "post_mortem_words"]

POST_MORTEM = "post-mortem"
FIRST_WORDS = 16
"""It is said at the beginning; later in an exam the words are more likely a plan, or of another bird."""
BEFORE, AFTER = 6, 2


def post_mortem_words(text: str, vocabulary: Vocabulary) -> str | None:
    """The words by which an exam says that it is a post-mortem; None where it does not, or only plans,
    wants or denies one."""
    words = re.findall(r"[\w']+|[.!?\n]", text.casefold())[:FIRST_WORDS]
    rule = vocabulary.entries("exam_kind").get(POST_MORTEM)
    if rule is None:
        return None
    for phrase in sorted(rule.say, key=len, reverse=True):
        wanted = re.findall(r"[\w']+", phrase.casefold())
        for place in range(len(words) - len(wanted) + 1):
            if words[place : place + len(wanted)] == wanted:
                after = words[place + len(wanted) :][:AFTER]
                near = {*_since_the_stop(words[max(0, place - BEFORE) : place]), *after}
                if not near & {word.casefold() for word in rule.before_not}:
                    return str(phrase)
    return None


def _since_the_stop(words: list[str]) -> list[str]:
    """The words after the last full stop among these."""
    stops = [place for place, word in enumerate(words) if not word[0].isalnum()]
    return words[stops[-1] + 1 :] if stops else words


def mark_post_mortems(
    log: FlockLog, vocabulary: Vocabulary, exams: Iterable[StoredExam], *, by: str | None = None
) -> list[str]:
    """Make those exams post-mortems whose words say so and of whose kind no person has decided; their ids."""
    marked = []
    for exam in exams:
        words = post_mortem_words(exam.said, vocabulary)
        if exam.kind != "live" or words is None or exam.status == "withdrawn" or _decided(log, exam.id):
            continue
        log.amend_exam(exam.id, {"kind": POST_MORTEM}, reason=f'the words say "{words}"', by=by)
        marked.append(exam.id)
    return marked


def _decided(log: FlockLog, exam_id: str) -> bool:
    """Whether its kind was ever changed, undone or not."""
    return any("kind" in (after or {}) for d in log.decisions(exam_id) for after in (d.after or {}).values())
