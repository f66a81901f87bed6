"""Review in a terminal: the keyboard only, one key for each decision, no meaning by colour alone."""

from __future__ import annotations

from collections.abc import Callable
from textwrap import shorten
from typing import TYPE_CHECKING, Any

from dictate.errors import UsageError
from dictate.model import Bird, Finding, Measurement
from dictate.record import Said, StoredExam
from dictate.review.changes import choices_for, fields_of
from dictate.review.steps import Act, Reply, Step
from dictate.review.wording import (
    action_words,
    bird_words,
    finding_words,
    in_sentence,
    measurement_words,
    number_words,
    penalty_words,
    printable,
)

if TYPE_CHECKING:
    from rich.console import Console

    from dictate.vocabulary import Vocabulary

__all__ = ["KEYS", "TerminalFront", "thing_words"]

# The key for each decision, and what it is called beside its key.
KEYS: dict[Act, tuple[str, str]] = {
    "confirm": ("y", "confirm this bird"),
    "keep": ("k", "keep"),
    "change": ("c", "change"),
    "drop": ("d", "drop"),
    "answer": ("t", "type the answer"),
    "add": ("a", "add"),
    "later": ("l", "later"),
    "confirm-sure": ("s", "confirm all that are sure"),
    "undo": ("u", "undo"),
    "withdraw": ("w", "withdraw this bird's record"),
    "stop": ("q", "stop for now"),
}
MANY = 9
"""More choices than this are typed and not numbered."""
WIDE = 150
"""Characters of what was said, where no part of it is to be marked."""


def thing_words(value: Said) -> str:
    """A finding, measurement or action in plain words."""
    if isinstance(value, Finding):
        return finding_words(value)
    return measurement_words(value) if isinstance(value, Measurement) else action_words(value)


class TerminalFront:
    """Shows steps on a console and reads keys.

    `read_key` waits for one key, `read_line` shows a question and waits for a line; both may
    raise EOFError where the input has ended, which counts as "stop".
    """

    def __init__(
        self,
        console: Console,
        read_key: Callable[[], str],
        read_line: Callable[[str], str],
        vocabulary: Vocabulary,
    ) -> None:
        self.console, self.vocabulary = console, vocabulary
        self.read_key, self.read_line = read_key, read_line

    def tell(self, sentence: str) -> None:
        self._say(sentence)

    def ask(self, step: Step) -> Reply:
        self._show(step)
        while True:
            try:
                reply = self._reply(step, self.read_key().strip().lower()[:1])
            except EOFError:
                return Reply("stop")
            except UsageError as error:
                self._say(str(error))
                continue
            if reply is not None:
                return reply
            self._say("The keys are:")
            self._say_all(self._menu(step))

    # What is shown

    def _say(self, line: str, style: str = "") -> None:
        self.console.print(printable(line), style=style or None, markup=False, highlight=False)

    def _show(self, step: Step) -> None:
        self._say("")
        exam = step.exam
        if exam is not None:
            day = exam.on.isoformat() if exam.on else "no day known"
            kind = " · post-mortem" if exam.kind == "post-mortem" else ""
            self._say(f"{bird_words(exam.bird)} · {day}{kind} · {step.left} to check", "bold")
            for photo in exam.photos:
                if step.item is None or photo.finding_id in (None, step.item.id):
                    self._say(f"  photo {photo.name}: {photo.path}")
        getattr(self, f"_show_{step.kind}")(step)
        if step.question is not None:
            self._say(f"  {step.question.text}")
        if step.choices:
            self._say_all(_numbered(step.choices))
        self._say_all(self._menu(step))

    def _show_bird(self, step: Step) -> None:
        assert step.exam is not None
        span = step.exam.bird.span
        if span is not None and span.end:
            self._say(f"  {in_sentence(step.exam.text, span.start, span.end)}")
        else:
            self._show_date(step)

    def _show_date(self, step: Step) -> None:
        assert step.exam is not None
        self._say(f"  {shorten(' '.join(step.exam.said.split()), WIDE, placeholder=' …')}")

    def _show_question(self, step: Step) -> None:
        assert step.exam is not None
        span = step.question.span if step.question else None
        if span is not None:
            self._say(f"  {in_sentence(step.exam.text, span.start, span.end)}")

    def _show_item(self, step: Step) -> None:
        assert step.exam is not None
        assert step.item is not None
        value = step.item.value
        if value.span.end:
            self._say(f"  {in_sentence(step.exam.text, value.span.start, value.span.end)}")
        self._say(f"  {thing_words(value)}", "bold")
        score = max(0.0, 1 - sum(penalty.amount for penalty in value.penalties))
        because = f": {penalty_words(value.penalties)}" if value.penalties else ""
        self._say(f"  {value.verdict}, score {score:.2f}{because}")

    def _show_exam(self, step: Step) -> None:
        assert step.exam is not None
        for number, item in enumerate(_standing(step.exam), 1):
            mark = "put off" if item.choice == "later" else item.choice or item.value.verdict
            self._say(f"  {number:>2}  {mark:<7}  {thing_words(item.value)}")
        if step.exam.rest_normal:
            self._say("      everything else was called normal")

    def _show_observation(self, step: Step) -> None:
        said = step.observation
        assert said is not None
        value = "" if said.value is None else f" {number_words(said.value)}"
        self._say(f"{said.pen or 'flock'} · {said.on or 'no day known'} · {step.left} to check", "bold")
        self._say(f"  {said.kind}:{value} {said.detail or ''}".rstrip())
        if said.quote:
            self._say(f'  "{said.quote}"')

    def _menu(self, step: Step) -> list[str]:
        return [f"{key} {label}" for act, (key, label) in KEYS.items() if act in step.acts]

    def _say_all(self, parts: list[str]) -> None:
        """Short things side by side, none of them broken at the end of a line."""
        line = ""
        for part in parts:
            if line and len(line) + len(part) + 3 > self.console.width:
                self._say(line)
                line = ""
            line = f"{line}   {part}" if line else f"  {part}"
        self._say(line)

    # What is replied

    def _reply(self, step: Step, key: str) -> Reply | None:
        if key.isdigit() and "answer" in step.acts and 1 <= int(key) <= min(MANY, len(step.choices)):
            return Reply("answer", text=step.choices[int(key) - 1])
        act = next((act for act, (own, _) in KEYS.items() if own == key and act in step.acts), None)
        if act == "answer":
            return Reply("answer", text=self.read_line("Answer"))
        if act == "add":
            return Reply("add", text=self.read_line("What is to be added, as you would say it"))
        if act == "withdraw":
            return Reply("withdraw", text=self.read_line("Why"))
        if act in ("change", "drop") and step.kind == "exam":
            return self._other_item(step, act)
        if act == "change":
            value = step.item.value if step.item else step.exam.bird if step.exam else None
            return None if value is None else Reply("change", changes=self._changes(value))
        return None if act is None else Reply(act)

    def _other_item(self, step: Step, act: Act) -> Reply | None:
        """A finding of the whole exam that was not doubtful, by its number in the list."""
        assert step.exam is not None
        items = _standing(step.exam)
        typed = self.read_line("Which number")
        if not typed.strip().isdigit() or not 1 <= int(typed) <= len(items):
            raise UsageError("choosing", f'"{typed}"', f"give a number from 1 to {len(items)}")
        item = items[int(typed) - 1]
        changes = self._changes(item.value) if act == "change" else {}
        return Reply(act, changes=changes, item=item.id)

    def _changes(self, value: Said | Bird) -> dict[str, Any]:
        """One attribute and its new value, each by number or by its first letters."""
        field = self._pick("What", fields_of(value))
        allowed = choices_for(value, field, self.vocabulary)
        now = getattr(value, field)
        if allowed:
            return {field: self._pick(f"{field} (now: {now if now is not None else 'not said'})", allowed)}
        return {field: self.read_line(f"{field} (now: {now if now is not None else 'not said'})")}

    def _pick(self, what: str, choices: tuple[str, ...]) -> str:
        self._say_all(_numbered(choices))
        typed = self.read_line(what).strip().lower()
        if typed.isdigit() and len(choices) <= MANY and 1 <= int(typed) <= len(choices):
            return choices[int(typed) - 1]
        if typed in choices:
            return typed
        near = [choice for choice in choices if typed and choice.startswith(typed)]
        if len(near) == 1:
            return near[0]
        found = f"it fits {', '.join(near)}" if near else "it is none of these"
        raise UsageError("choosing", f'"{typed}"', found, "Nothing was changed.")


def _numbered(choices: tuple[str, ...]) -> list[str]:
    if len(choices) > MANY:
        return list(choices)
    return [f"{number} {choice}" for number, choice in enumerate(choices, 1)]


def _standing(exam: StoredExam) -> list[Any]:
    return [item for item in exam.items if item.stands]
