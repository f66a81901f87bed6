"""Everything that can go wrong in a way a person can put right.

    DictateError
    ├── LexiconError        a word file is faulty (carries every fault found)
    ├── SettingsError       the settings file or the environment is faulty
    ├── SoundError          a recording or the microphone cannot be used
    ├── ListenerError       a recogniser is missing, faulty or not installed
    ├── NotesError          a file of old notes cannot be read
    ├── LogError            the flock log cannot be opened, read or written
    │   ├── LogBusyError    another program holds the log
    │   └── LogNewerError   the log was written by a later version
    ├── NotFoundError       a bird, exam or finding that was asked for is not in the log
    └── UsageError          the request itself makes no sense (exit status 2)

This file imports nothing, so that every other file may import it.
Each message says what was being done, to which file or entry, what was found,
what is allowed and what to do next.
"""

from __future__ import annotations

__all__ = [
    "DictateError",
    "LexiconError",
    "ListenerError",
    "LogBusyError",
    "LogError",
    "LogNewerError",
    "NotFoundError",
    "NotesError",
    "SettingsError",
    "SoundError",
    "UsageError",
]


class DictateError(Exception):
    """Base of all errors that are told in a sentence and never as a traceback.

    `doing` is what was under way, `about` the file or entry, `found` what was wrong,
    `remedy` what the person can do. Any but `doing` may be empty.
    """

    def __init__(self, doing: str, about: str = "", found: str = "", remedy: str = "") -> None:
        self.doing, self.about, self.found, self.remedy = doing, about, found, remedy
        super().__init__(self.sentence())

    def sentence(self) -> str:
        """The whole message: "doing about: found. remedy"."""
        head = f"{self.doing} {self.about}".strip()
        text = f"{head}: {self.found}" if self.found else head
        return f"{text.rstrip('.')}. {self.remedy}".strip() if self.remedy else text


class LexiconError(DictateError):
    """One or more entries of the lexicon are faulty; `faults` has a sentence for each."""

    def __init__(self, about: str, faults: list[str]) -> None:
        self.faults = list(faults)
        super().__init__(
            "reading the words in", about, "\n  ".join([f"{len(faults)} fault(s)", *faults]),
            "Put them right, then run: dictate words check",
        )


class SettingsError(DictateError):
    """The settings file or a DICTATE_… variable holds something not allowed."""


class SoundError(DictateError):
    """A recording is missing, broken, empty, silent or not sound, or there is no microphone."""


class ListenerError(DictateError):
    """A recogniser cannot be used: not installed, its model missing or damaged."""


class NotesError(DictateError):
    """A file of old notes cannot be read."""


class LogError(DictateError):
    """The flock log cannot be opened, read or written."""


class LogBusyError(LogError):
    """Another program has held the log for too long."""


class LogNewerError(LogError):
    """The log was written by a later version of this program."""


class NotFoundError(DictateError):
    """A bird, exam, finding or recording that was asked for is not there."""


class UsageError(DictateError):
    """The request makes no sense as given (exit status 2)."""
