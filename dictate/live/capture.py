"""Sound on disk before anything else is done with it.

A process of its own takes sound from the microphone (or from a recording that is played in) and
writes it to a WAV file: a recogniser may hold up everything else in its process for seconds, and
nothing must be lost meanwhile. At least once a second what was written is forced to the disk and
the header put right, so the file is a good one at any moment, whatever ends the process.
The session reads the growing file from behind (`follow`): the disk is the buffer.
"""

from __future__ import annotations

import os
import signal
import struct
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

from dictate.errors import SoundError
from dictate.speech.sound import RATE

if TYPE_CHECKING:
    from dictate.speech.listener import Block

__all__ = ["Capture", "WavWriter", "held", "repair", "sound_source"]

HEADER = 44
WIDTH = 2
BLOCK_SECONDS = 0.06
"""Short, for it is waited for: two frames of the recogniser's pause detection."""
SYNC_SECONDS = 0.9
"""Seconds between two forcings to disk: with a block's length, less than a second."""
STOP_SECONDS = 10.0


@dataclass(frozen=True, slots=True)
class Source:
    """Where sound comes from: a recording played in at `speed` times its own pace (0: as fast as it
    goes), or the microphone `device` (None: the usual one) where `path` is None."""

    path: Path | None = None
    speed: float = 1.0
    device: str | None = None


class WavWriter:
    """A 16 kHz mono 16-bit WAV file (0600) that is whole after every sync, locked while it grows."""

    def __init__(self, path: Path, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._synced = clock()
        self._size = 0
        try:
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            self._file = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
            _lock(self._file)
            os.write(self._file, _header(0))
            self.sync()
            _sync_folder(path.parent)
        except OSError as error:
            raise _cannot_write(path, error) from error
        self._path = path

    def write(self, block: Block) -> None:
        """Append samples; SoundError where the disk takes no more (what is there stays good)."""
        data = block if isinstance(block, bytes) else block.astype("<i2", copy=False).tobytes()
        try:
            while data:
                data = data[(done := os.write(self._file, data)) :]
                self._size += done
            if self._clock() - self._synced >= SYNC_SECONDS:
                self.sync()
        except OSError as error:
            raise _cannot_write(self._path, error) from error

    def sync(self) -> None:
        """Put the header right and force everything to the disk."""
        os.pwrite(self._file, _header(self._size // WIDTH * WIDTH), 0)
        os.fsync(self._file)
        self._synced = self._clock()

    def close(self) -> None:
        if self._file >= 0:
            try:
                self.sync()
            finally:
                os.close(self._file)
                self._file = -1


def _header(size: int) -> bytes:
    """Header of a WAV file with `size` bytes of samples (Resource Interchange File Format, PCM)."""
    return (
        struct.pack("<4sI4s", b"RIFF", HEADER - 8 + size, b"WAVE")
        + struct.pack("<4sIHHIIHH", b"fmt ", 16, 1, 1, RATE, RATE * WIDTH, WIDTH, 8 * WIDTH)
        + struct.pack("<4sI", b"data", size)
    )


def _lock(file: int) -> None:
    """Mark a file as being written; the mark goes with the process, however it ends."""
    try:
        import fcntl
    except ImportError:  # no such locks on this system: then a second session must not be started
        return
    fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _sync_folder(folder: Path) -> None:
    """Force a new name to the disk, where the system lets a folder be opened."""
    if os.name == "posix":
        file = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(file)
        finally:
            os.close(file)


def _cannot_write(path: Path, error: OSError) -> SoundError:
    return SoundError(
        "keeping the sound in", str(path), error.strerror or str(error),
        "What was said until then is kept. Make room or name another folder in the settings "
        "(recordings), then start again.",
    )


def held(path: Path) -> bool:
    """Whether a session is still writing the file."""
    try:
        import fcntl

        with path.open("rb") as file:
            fcntl.flock(file, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except (ImportError, OSError):
        return False
    return False


def repair(path: Path) -> float:
    """Make a file that was cut off whole again: all sound that reached the disk; its seconds.

    Raises SoundError where it is not such a file or cannot be changed.
    """
    try:
        size = path.stat().st_size
        with path.open("r+b") as file:
            start = file.read(HEADER)
            whole = max(0, size - HEADER) // WIDTH * WIDTH
            if size >= HEADER and (start[:4] != b"RIFF" or start[36:40] != b"data"):
                raise SoundError("repairing the recording", str(path), "it was not made by dictate listen")
            if start != _header(whole):
                file.seek(0)
                file.write(_header(whole))
                file.truncate(HEADER + whole)
                file.flush()
                os.fsync(file.fileno())
    except OSError as error:
        raise SoundError("repairing the recording", str(path), error.strerror or str(error)) from error
    return whole / WIDTH / RATE


# ---------------------------------------------------------------- the process that takes sound

@contextmanager
def sound_source(source: Source) -> Iterator[Iterable[Block]]:
    """Blocks of int16 samples, 16 kHz mono, as they come. Raises SoundError as the source does."""
    if source.path is None:
        from dictate.speech.microphone import microphone

        with microphone(source.device, BLOCK_SECONDS) as blocks:
            yield blocks
        return
    from dictate.speech.sound import open_sound

    yield _paced(open_sound(source.path).blocks(BLOCK_SECONDS), source.speed)


def _paced(blocks: Iterable[Block], speed: float) -> Iterator[Block]:
    """Each block once its last sample could have been spoken."""
    began, samples = time.monotonic(), 0
    for block in blocks:
        samples += len(block)
        if speed > 0:
            time.sleep(max(0.0, began + samples / RATE / speed - time.monotonic()))
        yield block


def _take(path: Path, source: Source, word: Any) -> None:
    """Write sound until told to stop, until the session is gone, or until there is no more.

    `word` is this process's end of the pipe: anything that comes in, or its end, means stop; what
    goes out is ("begun", None) and ("ended", None or the SoundError's parts).
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the keyboard's interrupt is for the session to act on
    fault = None
    try:
        writer = WavWriter(path)
        try:
            with sound_source(source) as blocks:
                word.send(("begun", None))
                for block in blocks:
                    writer.write(block)
                    if word.poll():
                        break
        finally:
            writer.close()
    except SoundError as error:
        fault = (error.doing, error.about, error.found, error.remedy)
    except OSError as error:
        fault = ("keeping the sound in", str(path), error.strerror or str(error), "")
    try:
        word.send(("ended", fault))
    except OSError:
        return  # the session is gone; the file is whole


class Capture:
    """Sound being taken into a file. Use as a context manager; `follow` gives what was written.

    Leaving the context stops the taking and waits until the file is whole.
    """

    def __init__(self, path: Path, source: Source) -> None:
        self.path, self.source = path, source
        self.samples = 0
        self._ended = False
        self._fault: SoundError | None = None

    def __enter__(self) -> Capture:
        import multiprocessing

        context = multiprocessing.get_context("spawn")
        self._word, theirs = context.Pipe()
        self._process = context.Process(
            target=_take, args=(self.path, self.source, theirs), name="dictate sound", daemon=True
        )
        self._process.start()
        theirs.close()
        self._listen_for(None)
        if self._fault:
            self.__exit__(None, None, None)
            raise self._fault
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()
        self._process.join(STOP_SECONDS)
        if self._process.is_alive():
            self._process.terminate()
            self._process.join()
        self._word.close()

    @property
    def seconds(self) -> float:
        """Seconds of sound that `follow` has given."""
        return self.samples / RATE

    @property
    def behind(self) -> float:
        """Seconds of sound that were taken and not given yet."""
        try:
            taken = (self.path.stat().st_size - HEADER) // WIDTH
        except OSError:
            return 0.0
        return max(0.0, (taken - self.samples) / RATE)

    def stop(self) -> None:
        """Take no more sound; `follow` still gives all that was taken."""
        try:
            self._word.send("stop")
        except OSError:
            self._ended = True

    def follow(self) -> Iterator[bytes]:
        """Sound from its beginning as it comes, until it has ended and all of it was given.

        Raises SoundError at the end where the source failed (unplugged, disk full).
        """
        largest = int(BLOCK_SECONDS * RATE) * WIDTH
        with self.path.open("rb", buffering=0) as file:
            file.seek(HEADER + self.samples * WIDTH)
            rest = b""
            while True:
                ended = self._ended
                data = rest + (file.read(largest - len(rest)) or b"")
                whole = len(data) // WIDTH * WIDTH
                rest = data[whole:]
                if whole:
                    self.samples += whole // WIDTH
                    yield data[:whole]
                    self._listen_for(0)
                elif ended:
                    break
                else:
                    self._listen_for(BLOCK_SECONDS / 3)
        if self._fault:
            raise self._fault

    def _listen_for(self, seconds: float | None) -> None:
        """Take in what the other process says, waiting so long for it (None: as long as it takes)."""
        try:
            if self._ended or not self._word.poll(seconds):
                return
            what, fault = self._word.recv()
        except (EOFError, OSError):
            self._ended = True
            self._fault = SoundError(
                "listening", str(self.path), "the process that takes the sound has stopped",
                "What was said until then is kept; start again.",
            )
            return
        if what == "ended":
            self._ended = True
            self._fault = SoundError(*fault) if fault else None
