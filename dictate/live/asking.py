"""Which questions matter while the bird is in hand, and what counts as an answer. No time, no sound here.

Asked are: the side of a sign that is there on a paired part; which bird it is; a number outside what
is usual; a sign that is called there and not there. Everything else waits for the review. An answer is
a whole phrase between two pauses, as a command is: "left", "the left one", "blue nineteen", "two point one
kilos", "yes". Whatever else is said meanwhile is dictation.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from dictate.live.commands import Commands, in_words
from dictate.live.hand import Edit, Target, known_bird, target_of
from dictate.model import Draft, Exam, Finding, Measurement, Question, Utterance, Word

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

__all__ = ["Ask", "Asker", "with_questions"]

OUT_OF_RANGE = "out of the usual range"
YES, NO = "yes", "no"
ANSWER = "answer"
"""The entry of the commands whose `around` may stand about an answer, and `before` before a bird's name."""
SIDES = ("left", "right", "both")
MOST_WORDS = 8


@dataclass(frozen=True, slots=True)
class Ask:
    """A question about the bird in hand. `lead` are words that an answer is understood after."""

    kind: Literal["side", "band", "number", "presence"]
    target: Target
    text: str
    choices: tuple[str, ...] = ()
    lead: str = ""

    @property
    def key(self) -> tuple[str, Target]:
        return self.kind, self.target


class Asker:
    """Finds questions and reads answers. `sides`: words → left, right or both; `around`: words that may
    stand about an answer; `before`: words put before a bird's bare name; `regions`: words of regions."""

    def __init__(
        self, understand: Callable[[Sequence[Utterance]], Draft], commands: Commands, *,
        sides: Mapping[str, str], around: Collection[str] = (), before: Sequence[str] = (),
        regions: Mapping[str, Collection[str]] | None = None,
    ) -> None:
        self._understand, self._commands = understand, commands
        self._sides = {in_words(said): side for said, side in sides.items()}
        self._around = frozenset(word for said in around for word in in_words(said))
        self._before = tuple(before)
        self._regions = {
            region: frozenset(word for said in ways for word in in_words(said))
            for region, ways in (regions or {}).items()
        }

    @classmethod
    def of(
        cls, vocabulary: Vocabulary, understand: Callable[[Sequence[Utterance]], Draft], commands: Commands
    ) -> Asker:
        sides = {
            said: side for side in SIDES for said in vocabulary.sides[side].say
        }
        entry = vocabulary.entries("command").get(ANSWER)
        regions = {r.id: (r.id, *r.say, *r.weak) for r in vocabulary.regions.values()}
        return cls(
            understand, commands, sides=sides, around=entry.around if entry else (),
            before=entry.before if entry else (), regions=regions,
        )

    def questions(self, exam: Exam) -> list[Ask]:
        """What is to be asked of this bird, in the order in which it was said; which bird comes last."""
        asks: list[Ask] = []
        for question, finding in _about_findings(exam):
            if _matters(finding) and finding.region not in [ask.lead for ask in asks]:
                asks.append(Ask("side", target_of(finding), question.text, question.choices, finding.region))
        asks += [
            Ask("number", target_of(m), f"{m.quote}: is that right?", (YES, NO), m.kind)
            for m in exam.measurements if _out_of_range(m)
        ]
        asks += [
            Ask("presence", target_of(found), f"{_where(found)}: {found.sign}, or no {found.sign}?", (YES, NO),
                f"{found.side or ''} {found.region}".strip())
            for found, _ in _contradictions(exam)
        ]
        if not exam.bird.known and (exam.findings or exam.measurements):
            asks.append(Ask("band", ("bird",), "Which bird is this?"))
        return asks

    def answer(self, ask: Ask, utterance: Utterance, exam: Exam) -> list[Edit] | None:
        """What an utterance settles as an answer to `ask`; None where it is no answer to it."""
        words = in_words(utterance.text)
        if not words or len(words) > MOST_WORDS:
            return None
        match ask.kind:
            case "side":
                return self._side(ask, words, exam)
            case "band":
                return self._bird(utterance)
            case "number":
                return self._number(ask, utterance, exam)
            case "presence":
                return self._presence(ask, utterance, exam)

    def _side(self, ask: Ask, words: tuple[str, ...], exam: Exam) -> list[Edit] | None:
        """All that was said of the part without a side is meant: a hardened pad with a scab is one pad."""
        idle = self._around | self._regions.get(ask.lead, frozenset(ask.lead.split()))
        side = _only_in(words, self._sides, idle)
        if side is None:
            return None
        return [
            Edit(target_of(finding), (("side", side),), settles=frozenset({"side not said"}))
            for _, finding in _about_findings(exam) if finding.region == ask.lead
        ]

    def _bird(self, utterance: Utterance) -> list[Edit] | None:
        for before in ("", *self._before):
            exam = self._alone(before, utterance)
            if exam is not None and exam.bird.known and not (exam.findings or exam.measurements or exam.actions):
                return [known_bird(exam.bird)]
        return None

    def _number(self, ask: Ask, utterance: Utterance, exam: Exam) -> list[Edit] | None:
        settles = frozenset({OUT_OF_RANGE})
        said = self._commands.match(utterance.text)
        if said == YES:
            return [Edit(ask.target, settles=settles)]
        if said == NO:
            return [Edit(ask.target, drop=True)]
        before = next((m for m in exam.measurements if target_of(m) == ask.target), None)
        for lead in ("", ask.lead):
            understood = self._alone(lead, utterance)
            found = understood.measurements if understood and not understood.findings else ()
            if before is not None and len(found) == 1 and found[0].kind == before.kind:
                new = found[0]
                names = ("value", "unit", "low", "high", "approximate", "scheme")
                return [Edit(ask.target, tuple((name, getattr(new, name)) for name in names), settles=settles)]
        return None

    def _presence(self, ask: Ask, utterance: Utterance, exam: Exam) -> list[Edit] | None:
        pair = next((pair for pair in _contradictions(exam) if target_of(pair[0]) == ask.target), None)
        if pair is None:
            return None
        said = self._commands.match(utterance.text)
        presence = {YES: "present", NO: "absent"}.get(said or "")
        if presence is None:
            understood = self._alone(ask.lead, utterance)
            found = understood.findings if understood else ()
            if len(found) != 1 or found[0].sign != pair[0].sign:
                return None
            presence = found[0].presence
        settles = frozenset({"there and not there"})
        return [
            Edit(target_of(f), settles=settles) if f.presence == presence else Edit(target_of(f), drop=True)
            for f in pair
        ]

    def _alone(self, before: str, utterance: Utterance) -> Exam | None:
        """One exam understood from these words alone, after the words `before`."""
        words = (*(Word(word) for word in before.split()), *(Word(w.text) for w in utterance.words))
        exams = self._understand((Utterance(words, utterance.listener),)).exams
        return exams[0] if len(exams) == 1 else None


def with_questions(exam: Exam) -> Exam:
    """The exam with what was to be asked and was not answered, so that the review asks it."""
    number = {target_of(m): n for n, m in enumerate(exam.measurements)}
    place = {target_of(f): n for n, f in enumerate(exam.findings)}
    more = [
        Question("number", f"{m.quote}: is that right?", "value", number[target_of(m)], span=m.span)
        for m in exam.measurements if _out_of_range(m)
    ]
    more += [
        Question("sign", f"{_where(f)}: {f.sign}, or no {f.sign}?", "presence", place[target_of(f)],
                 ("present", "absent"), f.span)
        for f, _ in _contradictions(exam)
    ]
    return replace(exam, questions=(*exam.questions, *more)) if more else exam


def _about_findings(exam: Exam) -> list[tuple[Question, Finding]]:
    return [
        (question, exam.findings[question.item]) for question in exam.questions
        if question.field == "side" and question.item is not None and question.item < len(exam.findings)
    ]


def _matters(finding: Finding) -> bool:
    """A side is worth a question where something is wrong now."""
    return finding.presence == "present" and finding.when == "now" and finding.sign != "normal"


def _out_of_range(measurement: Measurement) -> bool:
    return any(penalty.name == OUT_OF_RANGE for penalty in measurement.penalties)


def _contradictions(exam: Exam) -> list[tuple[Finding, Finding]]:
    """Findings that say of one place, now, that the same sign is there and is not."""
    found: dict[tuple[str, str | None, str], Finding] = {}
    pairs = []
    for finding in exam.findings:
        if finding.when != "now" or finding.sign == "normal":
            continue
        first = found.setdefault((finding.region, finding.side, finding.sign), finding)
        if first.presence != finding.presence:
            pairs.append((first, finding))
    return pairs


def _where(finding: Finding) -> str:
    side = "" if finding.side in (None, "both") else f"{finding.side} "
    return f"{side}{finding.region}"


def _only_in(
    words: tuple[str, ...], meanings: Mapping[tuple[str, ...], str], idle: Collection[str]
) -> str | None:
    """The one meaning among the words, where all the others are idle."""
    found: set[str] = set()
    at = 0
    while at < len(words):
        for end in range(len(words), at, -1):
            if (meaning := meanings.get(words[at:end])) is not None:
                found.add(meaning)
                at = end
                break
        else:
            if words[at] not in idle:
                return None
            at += 1
    return found.pop() if len(found) == 1 else None
