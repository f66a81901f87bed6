"""How a command ends: exit statuses, and errors told in a sentence.

0: all done. 1: done, but some input was refused or is faulty, each named on stderr.
2: wrong usage, or nothing could be done. 130: stopped from the keyboard.
"""

from __future__ import annotations

import contextlib
import sys
import traceback
from collections.abc import Collection, Iterator
from datetime import UTC, datetime
from pathlib import Path

import typer

from dictate.errors import DictateError

__all__ = [
    "ALL_DONE", "NOTHING_DONE", "PARTLY_DONE", "Faults", "complain", "save_report", "tell_check", "told_in_a_sentence",
]

ALL_DONE, PARTLY_DONE, NOTHING_DONE = 0, 1, 2


def complain(sentence: object) -> None:
    """Write one complaint to stderr."""
    typer.echo(f"dictate: {sentence}", err=True)


class Faults:
    """Counts what was refused while the rest went on, and tells each at once."""

    def __init__(self) -> None:
        self.count = 0

    def tell(self, sentence: object) -> None:
        self.count += 1
        complain(sentence)

    def leave(self, done: int) -> None:
        """End the command with the status for `done` inputs done and the faults told."""
        if self.count:
            raise typer.Exit(PARTLY_DONE if done else NOTHING_DONE)


def tell_check(faults: Collection[object], counted: str) -> None:
    """End a command that checks: each fault on stderr, then what was counted; status 1 if there are faults."""
    for fault in faults:
        complain(fault)
    typer.echo(counted)
    if faults:
        raise typer.Exit(PARTLY_DONE)


def save_report(error: BaseException) -> Path | None:
    """Save where the fault came up, for whoever mends it; None where nothing can be written.

    The report stays on this machine. It holds no values of variables, but the message of the
    error may quote what was said.
    """
    import platformdirs

    from dictate.settings import APPLICATION

    try:
        folder = platformdirs.user_state_path(APPLICATION, appauthor=False) / "reports"
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        path = folder / f"{datetime.now(UTC):%Y%m%dT%H%M%S%f}.txt"
        path.touch(mode=0o600)
        path.write_text("".join(traceback.format_exception(error)), encoding="utf-8")
    except OSError:
        return None
    return path


@contextlib.contextmanager
def told_in_a_sentence() -> Iterator[None]:
    """Turn every error that leaves a command into a sentence on stderr and an exit status."""
    try:
        yield
        sys.stdout.flush()
    except (typer.Exit, typer.Abort, typer.TyperException, BrokenPipeError):
        raise
    except EOFError:
        complain("the input ended before an answer was given. What was decided until then is kept.")
        raise typer.Exit(NOTHING_DONE) from None
    except DictateError as error:
        complain(error)
        raise typer.Exit(NOTHING_DONE) from error
    except Exception as error:
        path = save_report(error)
        where = f"A report of it was saved in {path}." if path else "No report of it could be saved."
        complain(f"this is a fault of the program, not yours ({type(error).__name__}). {where}")
        raise typer.Exit(NOTHING_DONE) from error
