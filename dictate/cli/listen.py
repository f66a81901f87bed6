"""`dictate listen`: a round with both hands on the birds; sound and words kept as they come."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TextIO

import typer

from dictate.cli.given import Given, given, parser_id
from dictate.cli.options import OnDate, new_app
from dictate.errors import DictateError, UsageError

if TYPE_CHECKING:
    from dictate.live.answering import Answerer, Level
    from dictate.live.capture import Capture, Source
    from dictate.live.events import Event, Said
    from dictate.live.mouth import Mouth
    from dictate.live.recover import Recovered
    from dictate.live.screen import Screen, Wording
    from dictate.live.session import Session
    from dictate.log import FlockLog
    from dictate.model import Bird
    from dictate.settings import Settings
    from dictate.speech import Listener
    from dictate.vocabulary import Vocabulary

OFFER_WITHIN = timedelta(hours=1)
"""How long after a round was cut off its bird is offered again."""

app = new_app()


@app.command()
def listen(
    ctx: typer.Context,
    source: Annotated[
        Path | None,
        typer.Option("--from", metavar="FILE", help="Play a recording in as if it were spoken now."),
    ] = None,
    speed: Annotated[
        str, typer.Option(metavar="1|full", help="How fast: 1 as it was spoken, full as fast as it goes.")
    ] = "1",
    events: Annotated[
        str | None, typer.Option(metavar="FILE|-", help="Write what happens as JSON lines; - for stdout.")
    ] = None,
    listener: Annotated[str | None, typer.Option(metavar="NAME", help="Who listens.")] = None,
    replay: Annotated[
        Path | None, typer.Option(metavar="FILE", help="The words for the listener replay.")
    ] = None,
    device: Annotated[
        str | None, typer.Option(metavar="NAME", help="The microphone; dictate check lists them.")
    ] = None,
    examiner: Annotated[str | None, typer.Option(metavar="NAME", help="Who examines the birds.")] = None,
    answers: Annotated[
        str | None,
        typer.Option(metavar="silent|tones|speech", help="How it answers; without --from as the settings say."),
    ] = None,
    lines: Annotated[
        bool, typer.Option("--lines", help="Each thing on a line instead of the full screen.")
    ] = False,
    on: OnDate = None,
) -> None:
    """Listen while you examine birds, and keep everything.

    Say "next bird" when you put one down, "scratch that" to take back the last thing, "read it back",
    "what is left" for what you have not looked at, "keep this exam" to confirm what is sure of it, "stop
    listening" and "go on" for a pause, "who am I", "change examiner", "all done for today" or Ctrl-C at
    the end. A question is answered in a word or two ("left"), or left: silence puts it off. What was
    understood waits as drafts: dictate review. dictate words show command lists all that can be said.
    """
    from dictate.live.capture import Source
    from dictate.speech import ListenerOptions, open_listener

    pace, level = _pace(speed), _level(answers)
    if source is not None and not source.is_file():
        raise UsageError("playing in", str(source), "there is no such file")
    asked = given(ctx)
    settings, vocabulary = asked.settings, asked.vocabulary()
    with ExitStack() as stack:
        log = stack.enter_context(asked.flock_log(create=True))
        stream, lines_to = _streams(events, stack)
        name = listener or settings.listeners[0]
        _say(f"Getting the recogniser {name} ready …")
        ear = open_listener(
            name, vocabulary,
            ListenerOptions(cache=settings.cache, replay=replay, vosk_model=settings.vosk_model,
                            whisper_model=settings.whisper_model),
        )
        stack.callback(ear.close)
        level = level or ("silent" if source is not None else settings.answers)
        _Round(asked, vocabulary, log, ear, examiner or settings.examiner or None, stream, level).run(
            Source(source, pace, device), on, _screen(lines or stream is sys.stdout, lines_to)
        )


def sound_folder(settings: Settings) -> Path:
    """Where sound is kept: as the settings say; of a log that lies elsewhere, beside that log."""
    from dictate.settings import default_settings

    if settings.log_is_default or settings.recordings != default_settings().recordings:
        return settings.recordings
    return settings.log.parent / f"{settings.log.stem}-recordings"


def _pace(speed: str) -> float:
    if speed == "full":
        return 0.0
    try:
        pace = float(speed)
    except ValueError:
        pace = 0.0
    if not 0 < pace <= 100:
        raise UsageError("--speed", speed, 'it must be a number above 0, or "full"')
    return pace


def _level(answers: str | None) -> Level | None:
    from dictate.live.answering import LEVELS

    for level in LEVELS:
        if answers == level:
            return level
    if answers is not None:
        raise UsageError("--answers", answers, f"it must be one of {', '.join(LEVELS)}")
    return None


def _mouth(level: Level) -> Mouth | None:
    """What answers can be heard through; where there is nothing, says so once."""
    from dictate.live.mouth import Loudspeaker, find_voice

    if level == "silent":
        return None
    voice = find_voice()
    try:
        mouth = Loudspeaker(voice[1] if voice else None)
    except DictateError as error:
        _say(f"Answers come on the screen only: {error}")
        return None
    if level == "speech" and voice is not None:
        _say(f"Getting the voice {voice[0]} ready …")
        with suppress(DictateError):  # then it is tones, as with any voice that fails
            voice[1]("Ready.")  # what it loads, it loads now, and not while somebody waits for an answer
    if level == "speech" and voice is None:
        _say("There is no voice on this machine (extra [speech], or the program espeak-ng): tones instead.")
    return mouth


def _streams(events: str | None, stack: ExitStack) -> tuple[TextIO | None, TextIO]:
    """Where events go, and where lines for a person go: not both to stdout."""
    if events is None:
        return None, sys.stdout
    if events == "-":
        return sys.stdout, sys.stderr
    try:
        return stack.enter_context(Path(events).open("w", encoding="utf-8")), sys.stdout
    except OSError as error:
        raise UsageError("writing events to", events, error.strerror or str(error)) from error


def _say(sentence: str) -> None:
    typer.echo(sentence, err=True)


def _wording() -> Wording:
    from dictate.live.screen import Wording
    from dictate.model import Finding, Measurement
    from dictate.review.wording import action_words, bird_words, finding_words, measurement_words

    def said(item: Said) -> str:
        if isinstance(item, Finding):
            return finding_words(item)
        return measurement_words(item) if isinstance(item, Measurement) else action_words(item)

    return Wording(said, bird_words)


def _screen(plain: bool, lines_to: TextIO) -> Screen:
    from dictate.live.screen import FullScreen, Lines

    if plain or not sys.stdout.isatty():
        return Lines(lambda line: typer.echo(line, file=lines_to), _wording())
    from rich.console import Console

    return FullScreen(Console(), _wording())


class _Round:
    """One run of the command, from what an earlier one left to the summary."""

    def __init__(
        self, asked: Given, vocabulary: Vocabulary, log: FlockLog, ear: Listener, examiner: str | None,
        stream: TextIO | None, level: Level = "silent",
    ) -> None:
        self._settings, self._vocabulary = asked.settings, vocabulary
        self._log, self._ear, self._examiner, self._stream = log, ear, examiner, stream
        self._parser, self._folder = parser_id(vocabulary), sound_folder(asked.settings)
        self._closed: list[Any] = []
        self._level = level
        self._offer: Bird | None = None

    def session(self) -> Session:
        from dictate.live.listen import new_session
        from dictate.live.view import Patience

        own = self._settings
        patience = Patience(own.ask_after_seconds, own.answer_within_seconds, own.minutes_in_hand * 60)
        return new_session(
            self._vocabulary, own.head_to_tail, patience=patience, examiner=self._examiner
        )

    def run(self, source: Source, on: datetime | None, screen: Screen) -> None:
        from dictate.live.capture import Capture
        from dictate.live.clocks import Clocks
        from dictate.live.keep import Keeper
        from dictate.live.listen import listen as listen_to

        self._recover()
        now = datetime.now()
        path = self._folder / f"{now:%Y-%m-%d_%H%M%S_%f}.wav"
        started = datetime.combine(on.date(), now.time()) if on else now
        recording = self._log.add_recording(
            path, started=started, sample_rate=16_000, examiner=self._examiner, device=source.device
        )
        session = self.session()
        keeper = Keeper(self._log, recording, started, examiner=self._examiner, parser=self._parser)
        capture = Capture(path, source)
        answerer = self._answerer(session, path)
        clocks = Clocks() if source.path is None else None
        with ExitStack() as stack:
            try:
                stack.enter_context(capture)
            except DictateError:
                self._log.finish_recording(recording, seconds=0.0)
                raise
            stack.enter_context(_stopped_by_keyboard(capture))
            stack.enter_context(screen)
            tell = self._teller(session, screen)
            if self._offer is not None:
                offered = session.offer(self._offer)
                tell(offered, 0.0)
            listen_to(capture, self._ear, session, keeper, tell, answerer, clocks)
        self._summary(capture, keeper.exams)

    def _answerer(self, session: Session, sound: Path) -> Answerer:
        """Answers by voice, tone or screen, and keeps them as text beside the sound."""
        from dictate.live.answering import Answerer, Transcript

        transcript = Transcript(sound)

        def note(row: dict[str, Any]) -> None:
            with suppress(OSError):  # what was said counts, what was answered does not
                transcript.write(row)

        return Answerer(session, _wording(), self._level, _mouth(self._level), note)

    def _teller(self, session: Session, screen: Screen) -> Callable[[Event, float], None]:
        """Tells each event to the screen and, where asked for, to the stream of events."""
        from dictate.live.events import EventWriter

        began = time.monotonic()
        writer = EventWriter(self._stream, lambda: time.monotonic() - began) if self._stream else None

        def tell(event: Event, seconds: float) -> None:
            if writer is not None:
                writer.write(event, seconds)
            if event.name == "bird-closed":
                self._closed.append(event.data)
            elif event.name == "reopened":
                del self._closed[len(self._closed) - event.data["birds"] :]
            screen.show(event, session.view, seconds)

        return tell

    def _recover(self) -> None:
        """Bring back what a session that was cut off has left, and say so."""
        from dictate.live.recover import recover
        from dictate.live.screen import clock

        for found in recover(
            self._log, self._folder, self._ear, self.session, parser=self._parser
        ):
            when = f"{found.started:%Y-%m-%d %H:%M}" if found.started else "at an unknown time"
            _say(f"A session begun {when} was cut off.")
            _say(f"  {clock(found.seconds)} of sound is kept in {found.path}.")
            if found.exams:
                _say(f"  What was said at its end is now a draft ({_birds(len(found.exams))}).")
            if found.problem:
                _say(f"  {found.problem}")
            if found.bird is not None and _lately(found):
                self._offer = found.bird
                _say(f"  {found.bird.label} was in hand. Say \"same bird again\" to go on with her.")

    def _summary(self, capture: Capture, exams: list[str]) -> None:
        from dictate.live.own_voice import transcript_path
        from dictate.live.screen import clock, closed_words, listed

        if not self._closed:
            _say(f"No bird was spoken of in {clock(capture.seconds)} of sound.")
        for data in self._closed:
            _say(f"{closed_words(data)}")
            if data["not_looked_at"]:
                _say(f"  not looked at: {listed(data['not_looked_at'])}")
        if self._settings.keep_recordings == "never":
            capture.path.unlink(missing_ok=True)
            transcript_path(capture.path).unlink(missing_ok=True)
            _say("The sound is not kept, as the settings say.")
        else:
            _say(f"The sound ({clock(capture.seconds)}) is kept in {capture.path}.")
        if exams:
            _say(f"{_birds(len(exams))} waiting as drafts. Next: dictate review")


def _lately(found: Recovered) -> bool:
    """Whether a round was cut off so lately that its bird may still be in hand."""
    if found.started is None:
        return False
    return datetime.now(found.started.tzinfo) - found.started - timedelta(seconds=found.seconds) < OFFER_WITHIN


def _birds(count: int) -> str:
    return "1 bird" if count == 1 else f"{count} birds"


@contextmanager
def _stopped_by_keyboard(capture: Capture) -> Iterator[None]:
    """Ctrl-C (or the terminal going away) ends the round in good order; a second time ends it at once."""
    asked = False

    def stop(number: int, frame: Any) -> None:
        nonlocal asked
        if asked:
            raise KeyboardInterrupt
        asked = True
        capture.stop()

    before: list[tuple[signal.Signals, Callable[..., Any] | int | None]] = []
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if (number := getattr(signal, name, None)) is not None:
            before.append((number, signal.signal(number, stop)))
    try:
        yield
    finally:
        for number, handler in before:
            signal.signal(number, handler)
