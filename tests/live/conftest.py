"""A session on a small made-up language, so that its rules are tested apart from the real parser's.

"bird NAME" begins a bird; "[left|right|both] REGION [no] SIGN" is a finding, the region carried on;
"weigh N" is a measurement, "see" an action, "rest" calls the rest normal. "broken" breaks the parser.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pytest

from dictate.live.asking import Asker
from dictate.live.commands import Commands
from dictate.live.events import Event
from dictate.live.session import Session
from dictate.live.view import Patience
from dictate.model import Action, Bird, Draft, Exam, Finding, HeardWord, Measurement, Question, Span, Utterance, Word

REGIONS = ("eye", "comb", "crop", "foot")
PAIRED = frozenset({"eye", "foot"})
COMMANDS = Commands(
    {
        "next-bird": ["next bird", "now the next bird"], "take-back": ["scratch that"],
        "what-is-left": ["what's left"], "pause": ["pause listening"], "go-on": ["go on"],
        "finish": ["all done for today"], "keep": ["keep this exam"], "examiner": ["change over"],
        "same-bird": ["same bird again"], "yes": ["yes"], "no": ["no"], "later": ["ask me later"],
    },
    ["um", "okay", "now"],
)


def say(text: str, start: float = 0.0) -> Utterance:
    """Words of half a second each."""
    words = tuple(
        Word(word, start + n / 2, start + (n + 1) / 2, 0.9) for n, word in enumerate(text.split())
    )
    return Utterance(words, "replay", words[0].start, words[-1].end)


def understand(utterances: Sequence[Utterance]) -> Draft:
    """The made-up language."""
    heard, at = [], 0
    for utterance in utterances:
        for word in utterance.words:
            heard.append(HeardWord(Span(at, at + len(word.text)), word, utterance.listener))
            at += len(word.text) + 1
    exams: list[dict[str, Any]] = []
    side = region = None
    absent = False
    for n, item in enumerate(heard):
        text, before = item.word.text, heard[n - 1].word.text if n else ""
        if text == "broken":
            raise ValueError("this word breaks the parser")
        if text == "bird" and not exams:
            continue
        if before == "bird" or not exams:
            exams.append({"bird": Bird(), "findings": [], "measurements": [], "actions": []})
            exams[-1]["span"] = item.span
        exam = exams[-1]
        if before == "bird":
            exam["bird"], side, region = Bird(name=text), None, None
        elif text in ("left", "right", "both"):
            side = text
        elif text in REGIONS:
            region = text
        elif text == "no":
            absent = True
        elif text in ("red", "good", "sore"):
            finding = Finding(
                region or "general", {"good": "normal", "red": "redness", "sore": "wound"}[text],
                side=side, presence="absent" if absent else "present",
                span=item.span, quote=text, start=item.word.start, end=item.word.end, verdict="sure",
            )
            exam["findings"].append(finding)
            absent = False
        elif before == "weigh":
            exam["measurements"].append(Measurement("weight", float(text), "g", span=item.span))
        elif text == "see":
            exam["actions"].append(Action("recheck", 7, span=item.span))
        elif text == "rest":
            exam["rest_normal"] = True
        exam["span"] = exam["span"].cover(item.span)
    text = " ".join(item.word.text for item in heard)
    for exam in exams:
        exam["questions"] = tuple(
            Question("side", f"Which {f.region}?", "side", n, ("left", "right", "both"))
            for n, f in enumerate(exam["findings"]) if f.region in PAIRED and f.side is None
        )
    parts = tuple(Exam(**exam) for exam in exams)
    return Draft(text, parts, words=tuple(heard), utterances=tuple(utterances))


@pytest.fixture
def new_session() -> Callable[[], Session]:
    return lambda: Session(understand, COMMANDS, REGIONS, PAIRED)


@pytest.fixture
def session(new_session: Callable[[], Session]) -> Session:
    return new_session()


@pytest.fixture
def spoken() -> Callable[..., list[Utterance]]:
    """Texts as utterances one after the other, with a second between."""
    def speak(*texts: str) -> list[Utterance]:
        said: list[Utterance] = []
        for text in texts:
            said.append(say(text, (said[-1].end or 0.0) + 1.0 if said else 0.0))
        return said

    return speak


@pytest.fixture
def hear_all(
    session: Session, spoken: Callable[..., list[Utterance]]
) -> Callable[..., list[tuple[str, Any]]]:
    """Say these to the session; the names and data of all events but "heard"."""
    def hear(*texts: str) -> list[tuple[str, Any]]:
        events = [event for utterance in spoken(*texts) for event in session.hear(utterance)]
        return [(event.name, event.data) for event in events if event.name != "heard"]

    return hear


class Talk:
    """Somebody talking to a session that asks questions, by the clock."""

    def __init__(self) -> None:
        asker = Asker(
            understand, COMMANDS, sides={"left": "left", "right": "right"}, around=("the", "one"),
            regions={"foot": ("foot",), "eye": ("eye",)},
        )
        self.session = Session(
            understand, COMMANDS, REGIONS, PAIRED, asker=asker, patience=Patience(1.0, 5.0, 60.0),
            examiner="pat", examiners=("pat", "robin"),
        )

    def events(self, text: str, at: float) -> list[Event]:
        return self.session.hear(say(text, at))

    def say(self, text: str, at: float) -> list[str]:
        """Names of what follows from words that begin at second `at`."""
        return [event.name for event in self.events(text, at) if event.name != "heard"]

    def wait(self, until: float, *, speaking: bool = False) -> list[str]:
        return [event.name for event in self.session.pass_time(until, speaking=speaking)]


@pytest.fixture
def talk() -> Talk:
    return Talk()
