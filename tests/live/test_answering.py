"""What is said back, at which level, and when: never over a voice, one short thing at a time."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dictate.cli.listen import _wording
from dictate.live.answering import LONGER_SECONDS, PAUSE_SECONDS, Answerer, Level, Transcript
from dictate.live.clocks import Clocks
from dictate.live.events import Event
from dictate.live.mouth import RATE, TONES, _wav_samples, find_voice, tone
from dictate.live.session import Session
from dictate.model import Utterance


class Mouth:
    can_speak = True

    def __init__(self) -> None:
        self.heard: list[str] = []
        self.busy = False

    def tone(self, name: str) -> None:
        self.heard.append(f"<{name}>")
        self.busy = True

    def speak(self, text: str) -> None:
        self.heard.append(text)
        self.busy = True

    def hush(self) -> None:
        self.busy = False


class Play:
    """A session on the made-up language with an answerer; time goes on by tenths."""

    def __init__(self, session: Session, level: Level, mouth: Mouth | None) -> None:
        self.session, self.mouth, self.seconds = session, mouth, 0.0
        self.answerer = Answerer(session, _wording(), level, mouth)
        self.said: list[Event] = []

    def say(self, utterance: Utterance) -> None:
        self.seconds = utterance.end or self.seconds
        for event in self.session.hear(utterance):
            self.answerer.take(event)

    def wait(self, seconds: float, *, speaking: bool = False, behind: float = 0.0) -> None:
        until = self.seconds + seconds
        while self.seconds < until:
            self.seconds += 0.1
            self.said += self.answerer.pass_time(self.seconds, speaking=speaking, behind=behind)

    def tell(self, name: str, **data: Any) -> None:
        self.answerer.take(Event(name, data))


@pytest.fixture
def play(session: Session) -> Callable[..., Play]:
    return lambda level="speech", mouth=None: Play(session, level, mouth)


def test_a_finding_is_read_back_at_a_pause_and_not_before(
    play: Callable[..., Play], spoken: Callable[..., list[Utterance]]
) -> None:
    mouth = Mouth()
    here = play("speech", mouth)
    here.say(spoken("bird ada comb red")[0])
    here.wait(LONGER_SECONDS - 0.3)
    assert mouth.heard == []
    here.wait(5.0, speaking=True)
    assert mouth.heard == [], "never while somebody speaks"
    here.wait(5.0, behind=2.0)
    assert mouth.heard == [], "nor while the recogniser is behind: somebody may be speaking"
    here.wait(0.3)
    assert mouth.heard == ["comb: redness"]


def test_findings_of_one_phrase_are_one_answer_and_many_are_counted(
    play: Callable[..., Play], spoken: Callable[..., list[Utterance]]
) -> None:
    mouth = Mouth()
    here = play("speech", mouth)
    for utterance in spoken("bird ada comb red crop good", "left eye red", "right eye good"):
        here.say(utterance)
    here.wait(2.0)
    assert mouth.heard == ["4 things"]


def test_one_thing_at_a_time(play: Callable[..., Play], spoken: Callable[..., list[Utterance]]) -> None:
    mouth = Mouth()
    here = play("speech", mouth)
    here.say(spoken("bird ada comb red")[0])
    here.tell("too-long", minutes=10.0)
    here.wait(3.0)
    assert len(mouth.heard) == 1
    mouth.busy = False
    here.wait(3.0)
    assert mouth.heard == ["comb: redness", "This bird has been in hand for 10 minutes."]
    assert [event.data["text"] for event in here.said] == ["comb: redness"], "the second is still being said"


def test_what_was_asked_for_comes_first_and_soon(play: Callable[..., Play]) -> None:
    mouth = Mouth()
    here = play("speech", mouth)
    here.tell("bird-closed", bird={"name": "ada", "band": None}, findings=[], measurements=[], actions=[],
              rest_normal=False)
    here.tell("left", regions=["eye", "comb"])
    here.wait(PAUSE_SECONDS + 0.2)
    assert mouth.heard == ["Not looked at: eye, comb"]


def test_tones_need_no_voice_and_silence_needs_no_loudspeaker(
    play: Callable[..., Play], spoken: Callable[..., list[Utterance]]
) -> None:
    mouth = Mouth()
    here = play("tones", mouth)
    here.say(spoken("bird ada comb red")[0])
    here.wait(2.0)
    assert mouth.heard == ["<understood>"]
    quiet = play("silent", mouth)
    quiet.tell("question", text="Which foot?", choices=[])
    quiet.wait(2.0)
    assert mouth.heard == ["<understood>"]
    assert [(e.data["how"], e.data["text"]) for e in quiet.said] == [("shown", "Which foot?")]


def test_without_a_voice_speech_becomes_tones(play: Callable[..., Play]) -> None:
    mouth = Mouth()
    mouth.can_speak = False  # type: ignore[misc]
    here = play("speech", mouth)
    here.tell("question", text="Which foot?", choices=[])
    here.wait(2.0)
    assert mouth.heard == ["<question>"]


def test_the_level_is_changed_by_voice(play: Callable[..., Play]) -> None:
    here = play("silent", Mouth())
    here.tell("answering", level="tones")
    assert here.answerer.how == "tone"


def test_a_question_put_off_before_it_was_asked_is_not_asked(play: Callable[..., Play]) -> None:
    mouth = Mouth()
    here = play("speech", mouth)
    here.tell("question", text="Which foot?", choices=[])
    here.tell("put-off", text="Which foot?", why="the bird was put down")
    here.wait(3.0)
    assert "Which foot?" not in mouth.heard


def test_what_was_shown_early_and_did_not_stand_is_not_said(play: Callable[..., Play]) -> None:
    from dictate.model import Finding

    mouth = Mouth()
    here = play("speech", mouth)
    finding = Finding("comb", "redness")
    here.answerer.take(Event("finding", {"early": True}, said=finding))
    here.answerer.take(Event("withdrawn", {"why": "heard otherwise", "early": True}, said=finding))
    here.wait(3.0)
    assert mouth.heard == []


def test_the_transcript_is_on_disk_line_by_line(tmp_path: Path) -> None:
    transcript = Transcript(tmp_path / "a.wav")
    transcript.write({"how": "shown", "text": "one"})
    transcript.write({"how": "shown", "text": "two"})
    assert transcript.path.read_text().count("\n") == 2
    assert transcript.path.stat().st_mode & 0o777 == 0o600


def test_tones_differ_in_pattern_and_end_softly() -> None:
    lengths = {name: len(tone(name)) for name in TONES}
    assert len(set(lengths.values())) == len(TONES), "told apart without an ear for pitch"
    for name in TONES:
        samples = tone(name)
        assert abs(int(samples[0])) < 100
        assert abs(int(samples[-1])) < 100
        assert len(samples) < RATE


def test_a_header_that_promises_more_sound_than_there_is_is_no_fault() -> None:
    import struct

    body = np.arange(100, dtype="<i2").tobytes()
    header = struct.pack("<4sI4s4sIHHIIHH4sI", b"RIFF", 0x7FFFF024, b"WAVE", b"fmt ", 16, 1, 1, 22050, 44100, 2, 16,
                         b"data", 0x7FFFF000)
    samples, rate = _wav_samples(header + body)
    assert (rate, samples.tolist()) == (22050, list(range(100)))


def test_the_voice_of_this_machine_speaks() -> None:
    found = find_voice()
    if found is None:
        pytest.skip("no voice: neither the extra [speech] nor the program espeak-ng is here")
    samples, rate = found[1]("Which foot pad?")
    assert 0.4 < len(samples) / rate < 3.0
    assert int(np.abs(samples.astype(np.int32)).max()) > 1000


def test_sleep_and_a_clock_put_right_are_noticed_once() -> None:
    now = {"wall": 1000.0, "steady": 5.0}
    clocks = Clocks(lambda: now["wall"], lambda: now["steady"])
    now.update(wall=1010.0, steady=15.2)
    assert clocks.jumped() is None
    now.update(wall=1610.0, steady=16.2)
    assert clocks.jumped() == pytest.approx(598.8)
    assert "10 minutes" in clocks.sentence
    assert clocks.jumped() is None
    now["wall"] -= 3600.0
    assert clocks.jumped() == pytest.approx(598.8 - 3600.0)
    assert "put back" in clocks.sentence
