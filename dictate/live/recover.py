"""What a session that was cut off has left: its sound made whole, its words understood, a draft.

A session writes its sound to disk and its words to the log as it goes. Whatever ended it (power,
kill, a fault), the next start finds its recording unfinished in the log and goes the rest of
the way: the header is put right, sound after the last words is heard, and what was said of the bird
that was then in hand becomes a draft like any other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from dictate.errors import SoundError
from dictate.live.capture import HEADER, WIDTH, held, repair
from dictate.live.events import Event
from dictate.live.keep import TAKEN_BACK, Keeper
from dictate.live.listen import take
from dictate.live.own_voice import OwnVoice
from dictate.live.session import Session
from dictate.model import Bird, Utterance
from dictate.speech.sound import RATE

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.record import Recording
    from dictate.speech.listener import Listener

__all__ = ["Recovered", "recover"]

BLOCK_SECONDS = 0.5


@dataclass(frozen=True, slots=True)
class Recovered:
    """What was brought back of one session: its sound, the words heard only now, ids of new drafts.

    `problem` is a sentence where the sound could not be used; the words kept are understood all the same.
    `bird` was in hand at the end.
    """

    path: Path
    seconds: float
    heard: int
    exams: tuple[str, ...]
    started: datetime | None = None
    problem: str = ""
    bird: Bird | None = None


def recover(
    log: FlockLog, folder: Path, listener: Listener, new_session: Callable[[], Session], *, parser: str = ""
) -> Iterator[Recovered]:
    """Bring back every session that was cut off; those still going on are left alone.

    Only sound in `folder` is touched: what else the log holds was not recorded here.
    """
    for recording in log.recordings():
        path = Path(recording.path)
        if recording.finished or path.parent != folder or (path.exists() and held(path)):
            continue
        yield _recover(log, log.recording(recording.id), path, listener, new_session(), parser)


def _recover(
    log: FlockLog, recording: Recording, path: Path, listener: Listener, session: Session, parser: str
) -> Recovered:
    seconds, problem = 0.0, ""
    tail: list[Utterance] = []
    known = max((u.end for u in recording.utterances if u.end is not None), default=0.0)
    own = OwnVoice.read(path)
    try:
        seconds = repair(path)
        heard = (_later(u, known) for u in listener.hear(_sound(path, known)))
        tail = [mine for utterance in heard if (mine := own.without(utterance)[0]) is not None]
    except (SoundError, OSError) as error:
        problem = str(error)
    keeper = Keeper(
        log, recording.id, recording.started or datetime.now(), examiner=recording.examiner, parser=parser
    )
    done = _drafted_until(log, recording.id)
    session.examiner = recording.examiner
    nothing: Callable[[Event], None] = lambda event: None  # noqa: E731 nobody is there to be told
    for utterance in recording.utterances:
        if utterance.start is None or utterance.start >= done:
            _keep_all(session.hear(utterance), keeper)
        else:
            session.pass_by(utterance)
    take(tail, session, keeper, nothing)
    bird = session.view.exam.bird if session.state != "ended" else Bird()
    _keep_all(session.finish(), keeper)
    keeper.finish(seconds or known)
    return Recovered(
        path, seconds, len(tail), tuple(keeper.exams), recording.started, problem,
        bird if bird.known else _last_bird(log, recording.id),
    )


def _keep_all(events: Iterable[Event], keeper: Keeper) -> None:
    for event in events:
        keeper.take(event)


def _last_bird(log: FlockLog, recording_id: str) -> Bird | None:
    """The bird of the recording's last draft: where the round ended by a fault, she was in hand."""
    exams = log.drafts(recording=recording_id)
    return exams[-1].bird if exams and exams[-1].bird.known else None


def _drafted_until(log: FlockLog, recording_id: str) -> float:
    """The second up to which the words of a recording have been made into drafts."""
    drafts = {
        exam.draft_id
        for exam in log.exams(statuses=("draft", "confirmed", "withdrawn"))
        if exam.source.recording == recording_id and exam.withdrawn_why != TAKEN_BACK
    }
    ends = [heard.word.end for draft in drafts for heard in log.draft(draft).words]
    return max((end for end in ends if end is not None), default=0.0)


def _sound(path: Path, seconds: float) -> Iterator[bytes]:
    """The sound of a repaired file from a second on."""
    with path.open("rb") as file:
        file.seek(HEADER + int(seconds * RATE) * WIDTH)
        while data := file.read(int(BLOCK_SECONDS * RATE) * WIDTH):
            yield data


def _later(utterance: Utterance, seconds: float) -> Utterance:
    """The same words so much later."""
    def moved(time: float | None) -> float | None:
        return None if time is None else round(time + seconds, 3)

    words = tuple(replace(w, start=moved(w.start), end=moved(w.end)) for w in utterance.words)
    return replace(utterance, words=words, start=moved(utterance.start), end=moved(utterance.end))
