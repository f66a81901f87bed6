"""Sound reaches the disk within a second, in a file that is good whatever ends the process."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
import soundfile

from dictate.errors import SoundError
from dictate.live.capture import HEADER, Capture, Source, WavWriter, held, repair
from dictate.speech.sound import RATE, open_sound


def tone(seconds: float) -> np.ndarray:
    return (8000 * np.sin(np.arange(int(seconds * RATE)) * 0.1)).astype(np.int16)


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    path = tmp_path / "played.wav"
    soundfile.write(path, tone(3.0), RATE, subtype="PCM_16")
    return path


def test_file_is_whole_after_each_second_without_being_closed(tmp_path: Path) -> None:
    now = 0.0
    writer = WavWriter(tmp_path / "a.wav", clock=lambda: now)
    for _ in range(25):
        now += 0.1
        writer.write(tone(0.1))
    assert open_sound(tmp_path / "a.wav").seconds > 2.5 - 1.0
    assert (tmp_path / "a.wav").stat().st_mode & 0o777 == 0o600
    writer.close()
    assert open_sound(tmp_path / "a.wav").seconds == pytest.approx(2.5)


def test_an_existing_file_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "a.wav").write_bytes(b"precious")
    with pytest.raises(SoundError, match="keeping the sound"):
        WavWriter(tmp_path / "a.wav")
    assert (tmp_path / "a.wav").read_bytes() == b"precious"


@pytest.mark.parametrize("cut", [0, 10, HEADER, HEADER + 1, HEADER + 31_999])
def test_repair_keeps_all_whole_samples(tmp_path: Path, cut: int) -> None:
    path = tmp_path / "a.wav"
    writer = WavWriter(path)
    writer.write(tone(1.0))
    writer.close()
    path.write_bytes(path.read_bytes()[:cut])
    seconds = repair(path)
    assert seconds == max(0, cut - HEADER) // 2 / RATE
    assert soundfile.info(path).frames == int(seconds * RATE)
    assert repair(path) == seconds


def test_repair_takes_in_what_was_written_after_the_last_header(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    writer = WavWriter(path)
    writer.close()
    with path.open("ab") as file:
        file.write(tone(0.5).tobytes())
    assert repair(path) == 0.5
    assert np.array_equal(soundfile.read(path, dtype="int16")[0], tone(0.5))


def test_repair_leaves_other_files_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(b"x" * 100)
    with pytest.raises(SoundError):
        repair(path)
    assert path.read_bytes() == b"x" * 100


def test_a_file_being_written_is_known_as_such(tmp_path: Path) -> None:
    writer = WavWriter(tmp_path / "a.wav")
    assert held(tmp_path / "a.wav")
    writer.close()
    assert not held(tmp_path / "a.wav")


def test_capture_gives_every_sample_and_keeps_it(tmp_path: Path, recording: Path) -> None:
    with Capture(tmp_path / "new" / "a.wav", Source(recording, speed=0)) as capture:
        sound = b"".join(capture.follow())
    assert sound == tone(3.0).tobytes()
    assert capture.seconds == 3.0
    assert np.array_equal(soundfile.read(tmp_path / "new" / "a.wav", dtype="int16")[0], tone(3.0))


def test_capture_at_real_speed_takes_its_time(tmp_path: Path, recording: Path) -> None:
    with Capture(tmp_path / "a.wav", Source(recording, speed=2.0)) as capture:
        began = time.monotonic()
        for _ in capture.follow():
            pass
    assert 1.2 < time.monotonic() - began < 3.0


def test_a_slow_taker_loses_nothing(tmp_path: Path, recording: Path) -> None:
    with Capture(tmp_path / "a.wav", Source(recording, speed=0)) as capture:
        blocks = capture.follow()
        first = next(blocks)
        time.sleep(0.5)
        assert open_sound(tmp_path / "a.wav").seconds == 3.0, "kept though nobody took it"
        assert first + b"".join(blocks) == tone(3.0).tobytes()


def test_stop_ends_the_sound_and_keeps_what_came(tmp_path: Path, recording: Path) -> None:
    with Capture(tmp_path / "a.wav", Source(recording, speed=1.0)) as capture:
        blocks = capture.follow()
        for _ in range(8):
            next(blocks)
        capture.stop()
        rest = list(blocks)
    assert 0.4 < capture.seconds < 2.0
    assert len(rest) < 15
    assert open_sound(tmp_path / "a.wav").seconds == capture.seconds


def test_a_source_that_cannot_be_opened_is_told_at_once(tmp_path: Path) -> None:
    with (
        pytest.raises(SoundError, match="no such file"),
        Capture(tmp_path / "a.wav", Source(tmp_path / "none.wav")),
    ):
        pass


SESSION = """
import sys, time
from pathlib import Path
from dictate.live.capture import Capture, Source
if __name__ == "__main__":
    with Capture(Path(sys.argv[1]), Source(Path(sys.argv[2]), speed=1.0)) as capture:
        for block in capture.follow():
            print(capture.seconds, capture._process.pid, flush=True)
"""


@pytest.mark.parametrize("all_of_it", [True, False], ids=["both processes", "session only"])
def test_kill_9_loses_less_than_a_second(tmp_path: Path, recording: Path, all_of_it: bool) -> None:
    script = tmp_path / "session.py"
    script.write_text(SESSION)
    path = tmp_path / "a.wav"
    root = Path(__file__).parents[2]
    with subprocess.Popen(
        [sys.executable, str(script), str(path), str(recording)],
        stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": str(root)},
    ) as process:
        assert process.stdout
        seconds, child = 0.0, 0
        while seconds < 1.5:
            seconds, child = (float(part) for part in process.stdout.readline().split())
        process.send_signal(signal.SIGKILL)
        if all_of_it:
            os.kill(int(child), signal.SIGKILL)
    assert open_sound(path).seconds > seconds - 1.0, "as it lies there, before any repair"
    deadline = time.monotonic() + 5
    while held(path) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not held(path), "the other process notices that the session is gone"
    assert repair(path) >= seconds
