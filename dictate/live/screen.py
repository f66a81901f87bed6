"""What a keeper sees while listening: large and plain, to be read from two metres.

Words and marks carry everything; colour only repeats them. `FullScreen` is for a terminal, `Lines`
for everything else: each thing on a line as it comes.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from types import TracebackType
from typing import TYPE_CHECKING, Any, Protocol

from dictate.live.events import Event, Said
from dictate.live.view import View
from dictate.model import Bird

if TYPE_CHECKING:
    from rich.console import Console, RenderableType
    from rich.text import Text

__all__ = ["FullScreen", "Lines", "Screen", "Wording", "draw"]

# How sure, in the words of the review; the mark says the same to whoever sees no colour.
MARKS = {"sure": "sure", "check": "check?", "ask": "ASK"}
STYLES = {"sure": "green", "check": "yellow", "ask": "bold red"}
STATES = {
    "idle": ("READY", "bold"), "listening": ("LISTENING", "bold green"),
    "exam-open": ("BIRD IN HAND", "bold green"), "question-open": ("QUESTION", "bold reverse"),
    "paused": ("PAUSED: say \"go on\"", "bold reverse yellow"), "ended": ("ENDED", "bold"),
}
TOLD = (
    "bird-closed", "warning", "nothing-to-take-back", "reopened", "kept", "examiner", "too-long", "put-off",
    "answer", "own-voice", "question-closed", "answering", "offered",
)
"""Events that the last line of the screen tells."""
REFRESH = 0.2
"""Seconds of sound between two drawings of the clock at most."""


@dataclass(frozen=True, slots=True)
class Wording:
    """How things are put in words; the same functions serve the review."""

    said: Callable[[Said], str]
    bird: Callable[[Bird], str]


class Screen(Protocol):
    """Something that shows a session."""

    def __enter__(self) -> Screen: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...

    def show(self, event: Event, view: View, seconds: float) -> None:
        """Something happened at this second of sound; `view` is how things stand after it."""
        ...


def clock(seconds: float) -> str:
    """0:07, 12:30, 1:02:03."""
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


class Lines:
    """Each thing on a line of its own, for a pipe, a log or a plain terminal."""

    def __init__(self, write: Callable[[str], None], wording: Wording) -> None:
        self._write, self._wording = write, wording

    def __enter__(self) -> Lines:
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def show(self, event: Event, view: View, seconds: float) -> None:
        if line := told(event, self._wording):
            self._write(f"{clock(seconds):>7}  {line}")


def told(event: Event, wording: Wording) -> str:
    """An event as one line; empty for what a person need not be told."""
    data: Any = event.data
    if (asked := _asked(event, wording)) is not None:
        return f"   {asked}"
    if event.said is not None:
        words = wording.said(event.said)
        if event.name == "withdrawn":
            return f"   not so     {words} ({data['why']})"
        return f"   {MARKS[event.said.verdict]:<9}  {words}"
    match event.name:
        case "heard":
            return f"\"{data['text']}\""
        case "bird":
            row = {key: value for key, value in data["bird"].items() if key != "verdict"}
            return f"   bird       {wording.bird(Bird(**row))}"
        case "rest-normal":
            return "   the rest   called normal"
        case "command":
            return f"   command    {data['command'].replace('-', ' ')}"
        case "nothing-to-take-back":
            return "   there is nothing to take back"
        case "left":
            return f"   not looked at yet: {listed(data['regions'])}"
        case "bird-closed":
            return f"   put down: {closed_words(data)}"
        case "warning":
            return f"   {data['text']}"
        case "paused":
            return "   paused: sound and words are kept, nothing is understood until \"go on\""
        case "resumed":
            return "   going on"
    return ""


def _asked(event: Event, wording: Wording) -> str | None:
    """What was asked, answered or settled, as a sentence; None for all other events."""
    data: Any = event.data
    match event.name:
        case "question":
            choices = f" ({', '.join(data['choices'])})" if data["choices"] else ""
            return f"QUESTION   {data['text']}{choices}"
        case "answer":
            return f"answered   {data['question']} “{data['text']}”"
        case "put-off" | "question-closed":
            return f"question   {data['text']} ({data['why']})"
        case "examiner":
            return f"examiner   {data['examiner'] or 'nobody by name'}"
        case "too-long":
            return f"LONG       this bird has been in hand for {data['minutes']:g} minutes"
        case "reopened" | "offered":
            row = {key: value for key, value in data["bird"].items() if key != "verdict"}
            who = wording.bird(Bird(**row))
            if event.name == "reopened":
                return f"in hand    {who}, again"
            return f"cut off    {who} was in hand; say \"same bird again\" to go on with her"
        case "kept":
            return f"kept       {data['confirmed']} confirmed, {data['left']} left for the review"
        case "own-voice":
            return f"not taken  “{data['text']}” (heard while the program spoke)"
        case "answering":
            return f"answers    {data['level']}"
        case "said":
            return None if data["how"] == "shown" else f"{data['how']:<9}  {data['text']}"
    return None


def listed(regions: list[str] | tuple[str, ...]) -> str:
    return " · ".join(regions) if regions else "nothing: all parts were spoken of"


def closed_words(data: Any) -> str:
    """A bird that was put down, in a line."""
    bird = data["bird"]
    who = bird["name"] or bird["band"] or "bird without a mark"
    if bird["name"] and bird["band"]:
        who = f"{bird['name']} ({bird['band']})"
    said = [(len(data[kind]), kind[:-1]) for kind in ("findings", "measurements", "actions")]
    parts = [f"{count} {kind}{'' if count == 1 else 's'}" for count, kind in said if count]
    parts += ["the rest called normal"] if data["rest_normal"] else []
    return f"{who}: {', '.join(parts) or 'nothing found'}"


class FullScreen:
    """The whole terminal. Left as it was found when the session ends."""

    def __init__(self, console: Console, wording: Wording) -> None:
        from rich.live import Live

        self._console, self._wording = console, wording
        self._live = Live(console=console, screen=True, auto_refresh=False, redirect_stderr=False)
        self._last = ""
        self._drawn = 0.0

    def __enter__(self) -> FullScreen:
        self._live.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._live.stop()

    def show(self, event: Event, view: View, seconds: float) -> None:
        if event.name in TOLD or (event.name == "withdrawn" and not event.data.get("early")):
            self._last = " ".join(told(event, self._wording).split())
        elif event.name == "command":
            self._last = f"command: {event.data['command'].replace('-', ' ')}"
        elif event.name == "read-back":
            self._last = "read back above"
        now = time.monotonic()
        if event.name != "tick" or now - self._drawn >= REFRESH:
            self._drawn = now
            self._live.update(
                draw(view, seconds, self._wording, self._last, self._console.size), refresh=True
            )


def draw(view: View, seconds: float, wording: Wording, last: str, size: tuple[int, int]) -> RenderableType:
    """The screen for a state, within `size` columns and rows; the newest findings stay in sight.

    It keeps its sense down to 40 columns and 12 rows: enlarge the letters until it does not.
    """
    from rich.console import Group
    from rich.rule import Rule
    from rich.table import Table
    from rich.text import Text

    width, height = size
    roomy = height >= 20
    state, style = STATES[view.state]
    head = Table.grid(expand=True)
    head.add_column(no_wrap=True)
    head.add_column(justify="right", no_wrap=True)
    times = [f"bird {view.birds + 1}"]
    if view.since is not None:
        times.append(f"{clock(seconds - view.since)} in hand")
    if width >= 60:
        times += [*([view.examiner] if view.examiner else []), clock(seconds)]
    head.add_row(Text(state, style), Text("   ".join(times), "bold"))
    lines: list[RenderableType] = [head]
    if roomy:
        lines.append(Rule(style="dim"))
    who = wording.bird(view.exam.bird) if view.exam.bird.known else "which bird?"
    lines.append(Text(who.upper(), "bold"))
    if view.question:
        lines.append(Text(f"? {view.question}", "bold reverse"))

    heard = _heard(view, 4 if height >= 30 else 2 if roomy else 1)
    left = Text(f"NOT LOOKED AT YET  {listed(view.left)}")
    left_lines: list[Text] = list(left.wrap(_measuring(width), width))
    most = max(2, height // 5)
    if len(left_lines) > most:
        left_lines = left_lines[:most]
        left_lines[-1].truncate(width - 2)
        left_lines[-1].append(" …")
    last_line = [Text(last, "italic", overflow="ellipsis", no_wrap=True)] if last else []
    help_line = Text(
        'say "next bird" · "scratch that" · "what is left" · "read it back"   Ctrl-C ends', "dim",
        overflow="ellipsis", no_wrap=True,
    )
    below: list[RenderableType] = [*left_lines, *last_line, *([help_line] if roomy else [])]
    gap: list[RenderableType] = [Text()] if roomy else []
    used = len(lines) + len(heard) + len(below) + 3 * len(gap) + roomy
    room = max(2, height - used - 1)
    return Group(
        *lines, *gap, *heard, *gap, *([Text("FOUND")] if roomy else []), _found(view, wording, room), *gap, *below,
    )


def _heard(view: View, count: int) -> list[Text]:
    """The last texts, the newest marked; what is being said comes last."""
    from rich.text import Text

    texts = list(view.heard[-count:])
    marks = [(" ", "dim")] * (len(texts) - 1) + [(">", "bold")] * bool(texts)
    if view.hearing:
        texts = [*texts, view.hearing][-count:]
        marks = [*[(" ", "dim")] * (len(texts) - 1), ("…", "bold")]
    shown = [
        Text(f"{mark} “{text}”", style, overflow="ellipsis", no_wrap=True)
        for text, (mark, style) in zip(texts, marks, strict=True)
    ]
    return shown or [Text("nothing heard yet", "dim")]


def _found(view: View, wording: Wording, room: int) -> RenderableType:
    """As many of the newest things as there is room for."""
    from rich.table import Table
    from rich.text import Text

    found = Table.grid(padding=(0, 2))
    found.add_column(width=6, no_wrap=True)
    found.add_column(overflow="ellipsis", no_wrap=True)
    items = view.items
    room -= view.exam.rest_normal
    if len(items) > room:
        found.add_row("", Text(f"… {len(items) - room + 1} more above", "dim"))
        items = items[max(0, len(items) - room + 1) :]
    for item in items:
        found.add_row(Text(MARKS[item.verdict], STYLES[item.verdict]), Text(wording.said(item), "bold"))
    if view.exam.rest_normal:
        found.add_row("", Text("everything else was called normal"))
    return found


def _measuring(width: int) -> Console:
    from rich.console import Console

    return Console(width=width)
