"""`dictate demo`: the real recogniser on the recordings of an invented flock, into a log of its own."""

from __future__ import annotations

import json
import os
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from dictate.cli.given import given, parser_id
from dictate.cli.hear import RecordingKeeper
from dictate.cli.options import new_app
from dictate.cli.show import items
from dictate.errors import NotFoundError
from dictate.model import Draft, Exam, exam_record
from dictate.review.wording import bird_words

if TYPE_CHECKING:
    from rich.console import Console

    from dictate.log import FlockLog
    from dictate.speech import Heard
    from dictate.vocabulary import Vocabulary

app = new_app()

Words = tuple[Path | None, Path]
"""Folders of the words in force: those given instead of the shipped ones, and the keeper's own."""

LISTENER = "pocketsphinx"
"""The listener that every installation has."""
TODAY = date(2026, 4, 11)
"""The day on which the story of the recordings is looked back upon."""
QUESTIONS = {
    "What is known of one bird": ["bird", "blue 14"],
    "What is due a week later": ["due", "--on", TODAY.isoformat()],
    "How common a sign is, among the birds examined for it": [
        "flock", "bumblefoot", "--region", "foot pad", "--region", "foot", "--on", TODAY.isoformat(),
    ],
}
"""What is asked of the log at the end: commands as a user would type them."""
WIDEST = 100
STYLES = {"sure": "green", "check": "yellow", "ask": "bold red"}


@app.command()
def demo(
    ctx: typer.Context,
    few: Annotated[
        int | None, typer.Option("--first", metavar="N", min=1, help="Only the first N recordings.")
    ] = None,
    flock: Annotated[
        bool, typer.Option("--flock", help="No recordings: two years of an invented flock, to ask questions of.")
    ] = False,
) -> None:
    """Hear the recordings of an invented flock, and see what becomes of them.

    Everything goes into a new log in a temporary folder; yours is not touched.
    """
    from rich.console import Console

    if flock:
        from dictate.cli.demo_flock import show_flock

        show_flock(given(ctx).lexicon)
        return

    samples = find_samples()
    paths = sorted(samples.glob("*.flac"))[:few]
    folder = Path(tempfile.mkdtemp(prefix="dictate-demo-"))
    console = Console(highlight=False)
    if not console.is_terminal:
        console = Console(highlight=False, width=WIDEST)
    show = _Show(console)
    show.opening(len(paths))
    from dictate.vocabulary import load_vocabulary

    # The names of the birds are words that this keeper has given the program.
    words = (given(ctx).lexicon, samples / "words")
    vocabulary = load_vocabulary(*words)
    tally = _Tally()
    with _log_in(folder) as log:
        keeper = RecordingKeeper(log, None, parser_id(vocabulary), None)
        for number, heard in enumerate(_hear_all(paths, words, given(ctx).settings.cache, show), 1):
            draft, exams = _keep(heard, keeper, vocabulary)
            show.recording(number, len(paths), heard, draft)
            done = [log.confirm_sure(exam, reason="sure, confirmed by the demo") for exam in exams]
            show.confirmed(sum(d.confirmed for d in done), sum(d.left for d in done))
            tally.add(draft, heard.path.with_suffix(".json"))
        log_path = log.path
    show.against_the_truth(tally)
    for title, command in QUESTIONS.items():
        show.heading(title)
        _ask(console, log_path, command)
    show.closing(log_path)


def find_samples() -> Path:
    """The folder of recordings: in the current folder, or beside the package. Raises NotFoundError."""
    places = [Path.cwd() / "audio_samples", Path(str(files("dictate"))).parent / "audio_samples"]
    for place in places:
        if any(place.glob("*.flac")):
            return place
    raise NotFoundError(
        "looking for the recordings of the demo", "", f"they are not in {' or in '.join(map(str, places))}",
        "They come with the source, not with the installed program: get the source and start the demo in "
        "its folder, or hear a recording of your own: dictate hear FILE",
    )


def _log_in(folder: Path) -> FlockLog:
    from dictate.log import FlockLog

    return FlockLog.open(folder / "flock.db")


def _keep(heard: Heard, keeper: RecordingKeeper, vocabulary: Vocabulary) -> tuple[Draft, list[str]]:
    """Words into the log, then what they mean."""
    from dictate.extraction import extract

    recording = keeper.words(heard)
    draft = extract(heard.utterances[LISTENER], vocabulary)
    return draft, keeper.draft(heard, recording, draft) if recording else []


# ---------------------------------------------------------------- hearing, on two cores where there are two

_ear: Any = None


def _open_ear(words: Words, cache: Path) -> None:
    """In each process: the recogniser with these words."""
    global _ear
    from dictate.speech import ListenerOptions, open_listener
    from dictate.vocabulary import load_vocabulary

    _ear = open_listener(LISTENER, load_vocabulary(*words), ListenerOptions(cache=cache))


def _hear(path: Path) -> Heard:
    from dictate import speech

    return speech.hear(path, [_ear])


def _hear_all(paths: Sequence[Path], words: Words, cache: Path, show: _Show) -> Iterator[Heard]:
    """Each recording in its turn, while the next ones are being heard."""
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    with show.busy("Teaching the recogniser its words (only the first time takes long) …"):
        _open_ear(words, cache)
    workers = min(2, os.cpu_count() or 1, len(paths))
    if workers < 2:
        yield from map(_hear, paths)
        return
    with ProcessPoolExecutor(
        workers, get_context("spawn"), initializer=_open_ear, initargs=(words, cache)
    ) as pool:
        coming = [pool.submit(_hear, path) for path in paths]
        for number, one in enumerate(coming, 1):
            with show.busy(f"Hearing recording {number} of {len(paths)} …", quietly=True):
                heard = one.result()
            yield heard


# ---------------------------------------------------------------- how near the truth it came

@dataclass(slots=True)
class _Tally:
    """Findings counted against the records written by hand: said, understood, right, sure, sure and right."""

    said: int = 0
    understood: int = 0
    right: int = 0
    sure: int = 0
    sure_right: int = 0

    def add(self, draft: Draft, truth: Path) -> None:
        """Compare a draft with the record beside the recording; without one nothing is counted."""
        if not truth.is_file():
            return
        wanted = _findings(json.loads(truth.read_text(encoding="utf-8"))["exams"])
        exams = [exam_record(exam) for exam in draft.exams]
        found = _findings(exams)
        sure = _findings(exams, lambda finding: finding["verdict"] == "sure")
        self.said += wanted.total()
        self.understood += found.total()
        self.right += (wanted & found).total()
        self.sure += sure.total()
        self.sure_right += (wanted & sure).total()


def _findings(
    exams: Sequence[dict[str, Any]], which: Callable[[dict[str, Any]], bool] = lambda finding: True
) -> Counter[tuple[Any, ...]]:
    """Findings by region, side, sign, presence and time; one of both sides is one on each."""
    return Counter(
        (finding["region"], side, finding["sign"], finding["presence"], finding["when"])
        for exam in exams
        for finding in exam["findings"]
        if which(finding)
        for side in (("left", "right") if finding["side"] == "both" else (finding["side"],))
    )


# ---------------------------------------------------------------- what is shown

@dataclass(slots=True)
class _Show:
    """Prints the demo. Widths follow the terminal; marks are words, never colour alone."""

    console: Console
    width: int = field(init=False)

    def __post_init__(self) -> None:
        self.width = min(WIDEST, self.console.width)

    def busy(self, what: str, *, quietly: bool = False) -> AbstractContextManager[Any]:
        """Something that takes a moment, shown while it lasts; `quietly`: only where that leaves no trace."""
        if self.console.is_terminal:
            return self.console.status(what)
        if not quietly:
            typer.echo(what, err=True)
        return nullcontext()

    def text(self, text: str, indent: int = 0, style: str = "") -> None:
        """Wrapped to the width; each further line indented alike."""
        from rich.padding import Padding
        from rich.text import Text

        self.console.print(Padding(Text(text, style), (0, 0, 0, indent)), width=self.width)

    def heading(self, text: str) -> None:
        from rich.rule import Rule

        self.console.print()
        self.console.print(Rule(text, align="left", style="dim"), width=self.width)

    def opening(self, count: int) -> None:
        self.text(
            f"The keeper, the birds and the holding are invented, and the voices in these {count} recordings "
            "are synthetic. What hears them is the real recogniser, on this machine; nothing leaves it. "
            "People in a hen house are harder to hear.", style="bold",
        )

    def recording(self, number: int, of: int, heard: Heard, draft: Draft) -> None:
        self.heading(f"{number} of {of}  {heard.path.stem}  ({heard.seconds:.0f} s)")
        self.text(f"“{' / '.join(u.text for u in heard.utterances[LISTENER])}”", style="italic")
        for warning in heard.warnings:
            self.text(warning)
        if not draft.exams:
            self.text("nothing was understood")
        for exam in draft.exams:
            self.exam(exam)

    def exam(self, exam: Exam) -> None:
        """One bird: each thing with how sure it is and the words it comes from, then what would be asked."""
        from rich.table import Table
        from rich.text import Text

        self.console.print()
        self.text(bird_words(exam.bird), style="bold")
        table = Table.grid(padding=(0, 2), pad_edge=False)
        table.add_column(width=5, no_wrap=True)
        table.add_column(ratio=3)
        table.add_column(ratio=2, style="dim")
        table.expand = True
        for item, words in items(exam):
            quote = " ".join(item.quote.split())
            table.add_row(Text(item.verdict, STYLES[item.verdict]), Text(words), Text(f"“{quote}”"))
        if exam.rest_normal:
            table.add_row("", "everything else was called normal", "")
        for question in exam.questions:
            table.add_row(Text("asks", STYLES["ask"]), Text(question.text), "")
        self.console.print(table, width=self.width)

    def confirmed(self, confirmed: int, left: int) -> None:
        waiting = f"; {left} put aside for you to check" if left else ""
        self.text(f"→ {confirmed} that are sure went into the log{waiting}.", style="bold")

    def against_the_truth(self, tally: _Tally) -> None:
        if not tally.said:
            return
        self.heading("How much of it was right")
        wrong = tally.understood - tally.right
        self.text(
            "These recordings come with records written by hand from what was really said: "
            f"{tally.said} findings. {tally.right} of them were understood, and {wrong} that were not said. "
            f"Of {tally.sure} marked sure {tally.sure_right} were right. The rest is what the review is for."
        )

    def closing(self, log_path: Path) -> None:
        self.heading("Where it lies, and what to try next")
        self.text(f"The log of this demo is {log_path}; yours was not touched.")
        self.text("")
        for what, command in (
            ("check what was put aside", f"dictate --log {log_path} review"),
            ("another bird, who has lost weight", f'dictate --log {log_path} bird "red 7"'),
            ("see how a sentence is understood", 'dictate parse "left eye a bit cloudy, no discharge"'),
            ("play a recording in as if live", "dictate listen --from FILE"),
            ("see what your own machine has", "dictate check"),
        ):
            self.text(f"{what}:")
            self.console.print(f"    {command}", soft_wrap=True)


def _ask(console: Console, log: Path, command: list[str]) -> None:
    """Run a command on the demo's log as a user would, and show it with its answer."""
    from dictate.cli.main import app as dictate

    shown = " ".join(f'"{word}"' if " " in word else word for word in command)
    console.print(f"$ dictate --log {log} {shown}", style="dim", soft_wrap=True)
    try:
        dictate(["--log", str(log), *command], prog_name="dictate", standalone_mode=False)
    except typer.Exit:  # the command has said on stderr what it lacks; the demo goes on
        return
