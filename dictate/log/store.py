"""The flock log as one object. Each method says what it promises; the work is in the modules beside.

A FlockLog belongs to the thread that opened it; open another for another thread or program.
Every method that writes does so in one transaction that is on the disk when it returns
(inside `transaction()`: when that block ends). Ids are text. Nothing is ever deleted by
these methods: what no longer counts is marked with time and reason.
Any method may raise LogError (LogBusyError where another program holds the log) and, where it
takes an id, NotFoundError.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import date, datetime, time
from pathlib import Path
from types import TracebackType
from typing import Any, Literal

from dictate.log import (
    batches,
    deciding,
    drafts,
    export,
    identity,
    observing,
    queries,
    reading,
    register,
    reparse,
    sources,
    trail,
)
from dictate.log.database import Database, open_database
from dictate.log.keeping_methods import KeepingMethods
from dictate.model import Draft, Observation, Utterance
from dictate.record import (
    BirdMatch,
    BirdRecord,
    Choice,
    Confirmed,
    Decision,
    ExamKind,
    NoteRef,
    Recording,
    Said,
    SaidHit,
    Source,
    Status,
    StoredExam,
    StoredObservation,
)

__all__ = ["FlockLog"]


class FlockLog(KeepingMethods):
    """An open flock log. Use as a context manager: `with FlockLog.open(path) as log:`."""

    def __init__(self, database: Database) -> None:
        """Use `open`."""
        self._db = database

    @classmethod
    def open(
        cls, path: Path, *, create: bool = True, make_folder: bool = False, backup: bool = True,
        busy_seconds: float = 5.0,
    ) -> FlockLog:
        """Open the log at `path`, bringing an older one up to date.

        The file is made (0600) where `create`; its folder only where `make_folder` (0700).
        Before an older log is changed it is copied beside itself unless `backup` is False.
        Raises LogError (missing, not a flock log, damaged, not readable), LogBusyError,
        LogNewerError.
        """
        return cls(open_database(
            path, create=create, make_folder=make_folder, backup=backup, busy_seconds=busy_seconds
        ))

    def close(self) -> None:
        self._db.close()

    def __enter__(self) -> FlockLog:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def path(self) -> Path:
        return self._db.path

    def transaction(self) -> AbstractContextManager[None]:
        """Many writes as one, all or none: for bringing in many notes quickly."""
        return self._db.transaction()

    def check(self) -> list[str]:
        """Faults of the file (integrity, references), a sentence each; empty when sound."""
        return self._db.check()

    # Sound and notes: stored before they are understood

    def add_recording(
        self, path: Path | str, *, started: datetime | None = None, seconds: float | None = None,
        sample_rate: int | None = None, sha256: str | None = None, examiner: str | None = None,
        device: str | None = None, batch: str | None = None,
    ) -> str:
        """Note that sound lies (or is about to lie) at `path`; its id."""
        return sources.add_recording(
            self._db, path, started=started, seconds=seconds, sample_rate=sample_rate, sha256=sha256,
            examiner=examiner, device=device, batch=batch,
        )

    def finish_recording(
        self, recording_id: str, *, seconds: float | None = None, sha256: str | None = None,
    ) -> None:
        """Mark a recording as ended in good order."""
        sources.finish_recording(self._db, recording_id, seconds=seconds, sha256=sha256)

    def recording(self, recording_id: str) -> Recording:
        """A recording with all its utterances in the order they were added."""
        return sources.recording(self._db, recording_id)

    def recordings(self, *, without_draft: bool = False) -> list[Recording]:
        """All recordings, oldest first, without utterances; `without_draft`: only those whose words
        were never made into a draft (a session that was cut off)."""
        return sources.recordings(self._db, without_draft=without_draft)

    def add_utterances(self, recording_id: str, utterances: Iterable[Utterance]) -> None:
        """Keep words as they were heard; may be called many times as a session goes on."""
        sources.add_utterances(self._db, recording_id, utterances)

    def add_note(
        self, text: str, *, file: str | None = None, line: int | None = None, on: date | None = None,
        bird: str = "", key: str | None = None, batch: str | None = None,
    ) -> NoteRef:
        """Keep a typed or imported note.

        The same words (spaces and capitals aside) of the same day and bird are the same note:
        then nothing is added and `new` is False. A note without a day is only ever the same
        as the one from the same file and line. `key` replaces this reckoning by the caller's.
        """
        return sources.add_note(
            self._db, text, file=file, line=line, on=on, bird=bird, key=key, batch=batch
        )

    # Drafts

    def save_draft(
        self, draft: Draft, source: Source | None = None, *, on: date | None = None,
        at: time | None = None, date_problem: str | None = None, kind: ExamKind = "live",
        examiner: str | None = None, batch: str | None = None, parser: str = "",
    ) -> list[str]:
        """Keep what was understood, whole or not at all; ids of its exams, all drafts.

        Without a recording or note id in `source` the draft's text is kept as a note. `parser`
        tells which version of program and lexicon understood it. Observations are kept as drafts
        too (see `observations`).
        """
        return drafts.save_draft(
            self._db, draft, source, on=on, at=at, date_problem=date_problem, kind=kind,
            examiner=examiner, batch=batch, parser=parser,
        )

    def replace_draft(self, draft_id: str, draft: Draft, *, parser: str = "", reason: str = "") -> list[str]:
        """Put a new understanding of the same words in place of an old one; the exams' ids.

        Whatever a person decided (kept, changed, dropped, added, confirmed) stays as decided;
        the rest is replaced. Exams that correspond keep their ids.
        """
        return reparse.replace_draft(self._db, draft_id, draft, parser=parser, reason=reason)

    def draft(self, draft_id: str) -> Draft:
        """The draft as it was understood last: text, words, what was left out, exams as they stand."""
        return reading.draft(self._db, draft_id)

    def drafts(self, *, batch: str | None = None, recording: str | None = None) -> list[StoredExam]:
        """Exams with anything yet to confirm, in the order they were stored."""
        return list(reading.exams(self._db, statuses=("draft",), batch=batch, recording=recording))

    def exam(self, exam_id: str) -> StoredExam:
        """One exam with all its items, also dropped and withdrawn ones."""
        return reading.exam(self._db, exam_id)

    def exams(
        self, *, bird: str | None = None, statuses: Sequence[Status] = ("confirmed",),
        since: date | None = None, until: date | None = None, kind: ExamKind | None = None,
        batch: str | None = None,
    ) -> Iterator[StoredExam]:
        """Exams in the order they were stored, read in small portions.

        "confirmed" includes a draft of which some items are confirmed already; use
        StoredExam.confirmed to see only those. Undated exams come only where neither
        `since` nor `until` is given.
        """
        return reading.exams(
            self._db, bird=bird, statuses=statuses, since=since, until=until, kind=kind, batch=batch
        )

    # Decisions: each kept with its time, and undone in turn

    def decide(
        self, exam_id: str, item: str, choice: Choice, changes: Mapping[str, Any] | None = None, *,
        reason: str = "", by: str | None = None,
    ) -> StoredExam:
        """A person's word on one item (its id, or "bird").

        keep: it is right; change: it is right with these attributes (names as in the model);
        drop: it is wrong; later: asked again. In a draft this becomes fact with confirm_*; in
        what is confirmed already it counts at once.
        """
        return deciding.decide(self._db, exam_id, item, choice, changes, reason=reason, by=by)

    def add_item(self, exam_id: str, item: Said, *, reason: str = "", by: str | None = None) -> str:
        """Add a finding, measurement or action that the parser missed; its id."""
        return deciding.add_item(self._db, exam_id, item, reason=reason, by=by)

    def amend_exam(
        self, exam_id: str, changes: Mapping[str, Any], *, reason: str = "", by: str | None = None,
    ) -> StoredExam:
        """Change on, at, date_problem, kind, rest_normal, examiner (name) or bird_id of an exam."""
        return deciding.amend_exam(self._db, exam_id, changes, reason=reason, by=by)

    def close_question(self, exam_id: str, question_id: str, answer: str = "", by: str | None = None) -> None:
        """Mark a question as answered (the answer itself goes through `decide`)."""
        deciding.close_question(self._db, exam_id, question_id, answer, by)

    def confirm_exam(self, exam_id: str, *, reason: str = "", by: str | None = None) -> Confirmed:
        """All that stands in the exam becomes fact; the bird is found in the register or added to it."""
        return deciding.confirm_exam(self._db, exam_id, reason=reason, by=by)

    def confirm_sure(self, exam_id: str, *, reason: str = "", by: str | None = None) -> Confirmed:
        """Exactly what is sure (or was decided by a person) becomes fact; the rest stays a draft."""
        return deciding.confirm_sure(self._db, exam_id, reason=reason, by=by)

    def withdraw(self, exam_id: str, reason: str, *, by: str | None = None) -> StoredExam:
        """Take a whole exam out of all answers. It is kept with the reason."""
        return deciding.withdraw(self._db, exam_id, reason, by=by)

    def undo_last(self, exam_id: str, *, by: str | None = None) -> Decision | None:
        """Take back the last decision on this exam that still counts; None where there is none."""
        return trail.undo_last(self._db, self._db.the("exam", exam_id, "exam"), by=by)

    def decisions(self, exam_id: str | None = None) -> list[Decision]:
        """The audit trail, oldest first, of one exam or all."""
        return trail.decisions(self._db, exam_id)

    # The register

    def find_birds(
        self, *, band: str | None = None, name: str | None = None, on: date | None = None,
    ) -> BirdMatch:
        """Which birds a mark and a name fit on a day."""
        return identity.find_birds(self._db, band=band, name=name, on=on)

    def register_bird(
        self, *, name: str | None = None, band: str | None = None, colour: str | None = None,
        leg: str | None = None, banded_on: date | None = None, species: str = "chicken",
        breed: str | None = None, sex: str | None = None, hatched: date | None = None,
        pen: str | None = None, source: str | None = None, batch: str | None = None,
    ) -> str:
        """Add a bird; its id. Raises UsageError where neither name nor band is given."""
        return register.register_bird(
            self._db, name=name, band=band, colour=colour, leg=leg, banded_on=banded_on, species=species,
            breed=breed, sex=sex, hatched=hatched, pen=pen, source=source, batch=batch,
        )

    def change_bird(self, bird_id: str, changes: Mapping[str, Any], *, reason: str = "") -> BirdRecord:
        """Change name, species, breed, sex, hatched, pen or source of a bird."""
        return register.change_bird(self._db, bird_id, changes, reason=reason)

    def band_bird(
        self, bird_id: str, mark: str, *, colour: str | None = None, leg: str | None = None,
        since: date | None = None,
    ) -> str:
        """Put a band on a bird from a day on; the band's id. Other bands stay as they are."""
        return register.band_bird(self._db, bird_id, mark, colour=colour, leg=leg, since=since)

    def unband_bird(self, band_id: str, *, until: date) -> None:
        """A band was last worn on this day."""
        register.unband_bird(self._db, band_id, until=until)

    def bird(self, bird_id: str) -> BirdRecord:
        return register.bird(self._db, bird_id)

    def birds(self, *, on: date | None = None) -> list[BirdRecord]:
        """All birds of the register by label; with `on` only those in the flock that day."""
        return register.birds(self._db, on=on)

    def history(self, bird_id: str) -> list[StoredExam]:
        """Confirmed exams of a bird, oldest first, undated ones at the end."""
        return queries.history(self._db, bird_id)

    def examined_regions(self, bird_id: str) -> dict[str, date]:
        """For each region of a bird the last day it was looked at (confirmed, living, dated)."""
        return queries.last_looks(self._db, bird_id)

    def undated_exams(self) -> int:
        """How many confirmed exams have no day, so that no question about a time counts them."""
        return queries.undated(self._db)

    # The flock, batches, search, export

    def add_observation(
        self, observation: Observation, *, on: date | None = None, batch: str | None = None,
    ) -> str:
        """Keep a fact about a pen or the flock that a person typed: confirmed at once; its id."""
        return observing.add_observation(self._db, observation, on=on, batch=batch)

    def observations(
        self, *, statuses: Sequence[Status] = ("confirmed",), pen: str | None = None,
        since: date | None = None, until: date | None = None, draft: str | None = None,
        batch: str | None = None,
    ) -> list[StoredObservation]:
        return observing.observations(
            self._db, statuses=statuses, pen=pen, since=since, until=until, draft=draft, batch=batch
        )

    def settle_observation(self, observation_id: str, status: Status, *, reason: str = "") -> None:
        """Confirm or withdraw an observation."""
        observing.settle_observation(self._db, observation_id, status, reason=reason)

    def start_batch(self, kind: str, about: str = "") -> str:
        """Begin bringing many things in; rows stored with this id can be withdrawn together."""
        return batches.start_batch(self._db, kind, about)

    def undo_batch(self, batch_id: str, reason: str) -> int:
        """Withdraw all that came in with a batch; how many exams. Its notes may come in again."""
        return batches.undo_batch(self._db, batch_id, reason)

    def search(self, words: str, *, limit: int = 50) -> list[SaidHit]:
        """Exams in whose words all of these occur, best first."""
        return queries.search(self._db, words, limit=limit)

    def export_exams(
        self, form: Literal["jsonl", "csv"] = "jsonl", statuses: Sequence[Status] = ("confirmed",),
    ) -> Iterator[str]:
        """Lines (with their line ends) of an export, in the order exams were stored."""
        return export.export_exams(self._db, form, statuses)
