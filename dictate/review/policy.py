"""The policy of review: what is asked next, and what a reply does. No input and no output here.

Every decision is in the log when `take` returns, so a session that is stopped half way goes on
where it was: the next session finds what is still open from the log alone.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from dictate.errors import NotFoundError, UsageError
from dictate.model import Draft, Span
from dictate.record import BirdMatch, Item, Said, Status, StoredExam
from dictate.review.agenda import ALWAYS, Open, bird_choices, item_of_question, open_things
from dictate.review.changes import read_changes, read_date
from dictate.review.steps import Act, Front, Reply, Step

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.vocabulary import Vocabulary

__all__ = ["ReviewSession", "review"]

Key = tuple[str, str]


@dataclass(slots=True)
class _Made:
    """One reply as it can be undone: how many decisions it made on which exams."""

    decisions: list[tuple[str, int]] = field(default_factory=list)
    put_off: Key | None = None
    observation: str | None = None


class ReviewSession:
    """All drafts of a log (or of one batch), one doubtful thing at a time.

    `understand` makes a Draft of typed words, for adding what was missed; without it nothing
    can be added. `by` is the examiner who decides.
    """

    def __init__(
        self,
        log: FlockLog,
        vocabulary: Vocabulary,
        *,
        understand: Callable[[str], Draft] | None = None,
        by: str | None = None,
        batch: str | None = None,
    ) -> None:
        self._log, self._vocabulary, self._understand, self._by = log, vocabulary, understand, by
        drafts = log.drafts(batch=batch)
        self._queue = [exam.id for exam in drafts]
        self._waiting = {exam.id: len(list(self._open(exam))) for exam in drafts}
        self._observations = [row.id for row in log.observations(statuses=("draft",), batch=batch)]
        self._put_off: set[Key] = set()
        self._made: list[_Made] = []
        self.decided = 0
        self.confirmed = 0

    # What is asked next

    def next(self) -> Step | None:
        """The next thing to ask; None where nothing is left for this session."""
        while self._queue:
            exam = self._log.exam(self._queue[0])
            step = self._step(exam)
            if step is not None:
                return replace(step, left=self.left)
            self._queue.pop(0)
        for row in self._log.observations(statuses=("draft",)):
            if row.id in self._observations and ("observation", row.id) not in self._put_off:
                acts: tuple[Act, ...] = ("keep", "drop", "later", "undo", "stop")
                return Step("observation", acts, observation=row, left=self.left)
        return None

    @property
    def left(self) -> int:
        """Doubtful things still to be asked in this session."""
        return sum(self._waiting.get(exam_id, 0) for exam_id in self._queue) + len(self._observations)

    def _step(self, exam: StoredExam) -> Step | None:
        if exam.status != "draft" or ("exam", exam.id) in self._put_off:
            self._waiting[exam.id] = 0
            return None
        waiting = [thing for thing in self._open(exam) if thing.key not in self._put_off]
        self._waiting[exam.id] = len(waiting)
        if waiting:
            return waiting[0].step
        if not any(item.status == "draft" for item in exam.items) and exam.bird_status == "confirmed":
            return None
        return Step("exam", ("confirm", "change", "drop", "add", "later", "withdraw", *ALWAYS), exam)

    def _open(self, exam: StoredExam) -> list[Open]:
        decided = ("bird", exam.id) in self._birds_decided(exam)
        return list(open_things(exam, self._match(exam), bird_decided=decided))

    def _birds_decided(self, exam: StoredExam) -> set[Key]:
        return {
            ("bird", exam.id) for decision in self._log.decisions(exam.id)
            if decision.item_id == "bird" and not decision.undone and decision.what in ("keep", "change")
        }

    def _match(self, exam: StoredExam) -> BirdMatch:
        if not exam.bird.known:
            return BirdMatch()
        return self._log.find_birds(band=exam.bird.band, name=exam.bird.name, on=exam.on)

    # What a reply does

    def take(self, step: Step, reply: Reply) -> str:
        """Carry out a reply; a sentence for the person, or "".

        Raises UsageError where the reply makes no sense for the step: nothing was changed then.
        """
        if reply.act not in step.acts:
            allowed = f"Choose of: {', '.join(step.acts)}."
            raise UsageError("replying", reply.act, "that cannot be done here", allowed)
        if reply.act == "undo":
            return self.undo(step.exam.id if step.exam else None)
        if reply.act == "confirm-sure":
            return self.confirm_sure()
        if step.kind == "observation":
            return self._take_observation(step, reply)
        if step.exam is None or reply.act == "stop":
            return ""
        made = _Made()
        before = self._count(step.exam.id)
        try:
            sentence = self._take(step, step.exam, reply, made)
        finally:
            count = self._count(step.exam.id) - before
            if count or made.put_off:
                made.decisions = [(step.exam.id, count)]
                self._made.append(made)
        self.decided += 1
        return sentence

    def _take(self, step: Step, exam: StoredExam, reply: Reply, made: _Made) -> str:
        if reply.act == "withdraw":
            self._log.withdraw(exam.id, reply.text.strip() or "withdrawn in review", by=self._by)
            return f"The record of {exam.bird.label} was withdrawn. It is kept, and counts nowhere."
        if reply.act == "later":
            return self._later(step, exam, made)
        if reply.act == "add":
            return self._add(step, exam, reply.text)
        if step.kind == "exam":
            return self._confirm(exam) if reply.act == "confirm" else self._take_item(step, exam, reply)
        if step.kind == "bird":
            return self._take_bird(step, exam, reply)
        if step.kind == "date":
            return self._take_date(exam, reply, made)
        if step.kind == "question":
            self._close(exam, step.question_id, "nothing to add")
            return ""
        return self._take_item(step, exam, reply)

    def _take_item(self, step: Step, exam: StoredExam, reply: Reply) -> str:
        item = exam.item(reply.item) if reply.item else step.item
        if item is None or not item.stands:
            raise UsageError("replying", reply.act, "no finding was named")
        answer, changes = "", {}
        if reply.act == "answer" and step.question is not None:
            answer = reply.text.strip()
            if step.question.field:
                changes = read_changes(item.value, {step.question.field: answer}, self._vocabulary)
        elif reply.act == "change":
            changes = read_changes(item.value, reply.changes, self._vocabulary)
            if not changes:
                raise UsageError("changing", "the finding", "no change was named")
        self._close_questions_of(exam, item, answer or {"drop": "dropped"}.get(reply.act, "not known"))
        if reply.act == "drop":
            self._log.decide(exam.id, item.id, "drop", by=self._by)
        elif changes:
            self._log.decide(exam.id, item.id, "change", changes, by=self._by)
        else:
            self._log.decide(exam.id, item.id, "keep", by=self._by)
        return ""

    def _take_bird(self, step: Step, exam: StoredExam, reply: Reply) -> str:
        if reply.act == "answer":
            chosen = bird_choices(self._match(exam))
            if reply.text.strip() not in chosen:
                raise UsageError("choosing the bird", f'"{reply.text}"', "it is none of these")
            bird = chosen[reply.text.strip()]
            self._log.amend_exam(exam.id, {"bird_id": bird.id if bird else self._register(exam)}, by=self._by)
        elif reply.act == "change":
            changes = read_changes(exam.bird, reply.changes, self._vocabulary)
            self._log.decide(exam.id, "bird", "change", changes, by=self._by)
        else:
            self._log.decide(exam.id, "bird", "keep", by=self._by)
        self._close(exam, step.question_id, reply.text.strip() or reply.act)
        return ""

    def _register(self, exam: StoredExam) -> str:
        said = exam.bird
        return self._log.register_bird(
            name=said.name, band=said.band, breed=said.breed, sex=said.sex, pen=said.pen, banded_on=exam.on
        )

    def _take_date(self, exam: StoredExam, reply: Reply, made: _Made) -> str:
        if reply.act == "answer":
            day = read_date(reply.text)
            self._log.amend_exam(exam.id, {"on": day, "date_problem": None}, by=self._by)
            return ""
        made.put_off = ("date", exam.id)
        self._put_off.add(made.put_off)
        return "It stays without a day."

    def _later(self, step: Step, exam: StoredExam, made: _Made) -> str:
        if step.kind == "item" and step.item is not None:
            self._log.decide(exam.id, step.item.id, "later", by=self._by)
            made.put_off = ("item", step.item.id)
        elif step.kind == "question" and step.question_id is not None:
            made.put_off = ("question", step.question_id)
        else:
            made.put_off = (step.kind, exam.id)
        self._put_off.add(made.put_off)
        return ""

    def _add(self, step: Step, exam: StoredExam, text: str) -> str:
        draft = self._understand(text) if self._understand else Draft("")
        found: list[Said] = []
        for said in draft.exams:
            found += [*said.findings, *said.measurements, *said.actions]
        if not found:
            raise UsageError("adding", f'"{text}"', "nothing was understood", "Say the part and the sign.")
        for thing in found:
            own = replace(thing, verdict="sure", span=Span(0, 0), quote=text, penalties=())
            self._log.add_item(exam.id, own, by=self._by)
        if step.kind == "question":
            self._close(exam, step.question_id, text)
        return f"{len(found)} added."

    def _confirm(self, exam: StoredExam) -> str:
        put_off = [thing for thing in self._open(exam) if thing.key[0] == "item"]
        if put_off:
            done = self._log.confirm_sure(exam.id, by=self._by)
            self._put_off.add(("exam", exam.id))
        else:
            done = self._log.confirm_exam(exam.id, by=self._by)
        self.confirmed += done.confirmed
        return " ".join(
            part for part in (
                f"{done.confirmed} confirmed for {done.exam.bird.label}.",
                f"{done.left} left for later." if done.left else "",
                "The bird is new in the register." if done.new_bird else "",
                done.question.text if done.question else "",
            ) if part
        )

    def confirm_sure(self) -> str:
        """Confirm exactly what is sure, or was decided, in every draft of the session."""
        made, confirmed, left = _Made(), 0, 0
        for exam_id in list(self._queue):
            before = self._count(exam_id)
            done = self._log.confirm_sure(exam_id, by=self._by)
            confirmed, left = confirmed + done.confirmed, left + done.left
            if (count := self._count(exam_id) - before) > 0:
                made.decisions.append((exam_id, count))
        if made.decisions:
            self._made.append(made)
        self.confirmed += confirmed
        return f"{confirmed} confirmed that were sure; {left} left to check."

    def _take_observation(self, step: Step, reply: Reply) -> str:
        row = step.observation
        if row is None or reply.act == "stop":
            return ""
        if reply.act == "later":
            self._put_off.add(("observation", row.id))
            self._made.append(_Made(put_off=("observation", row.id)))
        else:
            settled: Status = "confirmed" if reply.act == "keep" else "withdrawn"
            self._log.settle_observation(row.id, settled, reason="review")
            self._made.append(_Made(observation=row.id))
            self.confirmed += reply.act == "keep"
        self._observations.remove(row.id)
        self.decided += 1
        return ""

    # Taking back

    def undo(self, exam_id: str | None = None) -> str:
        """Take back the last reply of this session, else the last decision on the exam."""
        if not self._made:
            taken = self._log.undo_last(exam_id, by=self._by) if exam_id else None
            return "Taken back." if taken else "There is nothing to take back."
        made = self._made.pop()
        if made.put_off:
            self._put_off.discard(made.put_off)
            if made.put_off[0] == "observation":
                self._observations.insert(0, made.put_off[1])
        if made.observation:
            self._log.settle_observation(made.observation, "draft", reason="undone")
            self._observations.insert(0, made.observation)
        for changed, count in reversed(made.decisions):
            self._put_off.discard(("exam", changed))
            for _ in range(count):
                self._log.undo_last(changed, by=self._by)
            with suppress(ValueError):
                self._queue.remove(changed)
            self._queue.insert(0, changed)
        return "Taken back."

    # Small things

    def _count(self, exam_id: str) -> int:
        return sum(not decision.undone for decision in self._log.decisions(exam_id))

    def _close(self, exam: StoredExam, question_id: str | None, answer: str) -> None:
        if question_id is not None:
            self._log.close_question(exam.id, question_id, answer, by=self._by)

    def _close_questions_of(self, exam: StoredExam, item: Item, answer: str) -> None:
        for question_id, question in exam.open_questions:
            about = item_of_question(exam, question)
            if about is not None and about.id == item.id:
                self._close(exam, question_id, answer)


def review(session: ReviewSession, front: Front) -> bool:
    """Ask until nothing is left (True) or the person stops (False)."""
    while (step := session.next()) is not None:
        reply = front.ask(step)
        if reply.act == "stop":
            return False
        try:
            sentence = session.take(step, reply)
        except (UsageError, NotFoundError) as error:
            sentence = str(error)
        if sentence:
            front.tell(sentence)
    return True
