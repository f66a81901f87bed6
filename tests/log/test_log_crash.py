"""A program that is killed while it writes loses nothing that it was told is stored, and halves nothing."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from pathlib import Path

from dictate.log import FlockLog

# Says on stdout, once a line, the id of each exam that it was told is confirmed.
WRITER = """
import sys
from datetime import date
from pathlib import Path
from dictate.log import FlockLog
from dictate.model import Bird, Draft, Exam, Finding, Utterance, Word
from dictate.record import Source

with FlockLog.open(Path(sys.argv[1])) as log:
    recording = log.add_recording("round.wav")
    print("ready", flush=True)
    number = 0
    while True:
        number += 1
        log.add_utterances(recording, [Utterance((Word("comb"), Word("pale")), "replay")])
        exam = Exam(Bird(band=f"blue {number}", verdict="sure"),
                    tuple(Finding(region, "normal", verdict="sure") for region in ("comb", "eye", "vent")))
        draft = Draft("comb pale", (exam,))
        (exam_id,) = log.save_draft(draft, Source(recording=recording), on=date(2031, 5, 1))
        log.confirm_exam(exam_id)
        sys.stdout.write(exam_id + "\\n")
        sys.stdout.flush()
"""


def test_killed_while_writing(tmp_path: Path) -> None:
    path = tmp_path / "flock.db"
    promised: set[str] = set()
    chance = random.Random(7)
    for _ in range(6):
        with subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True,
            cwd=Path(__file__).resolve().parents[2],
        ) as writer:
            assert writer.stdout is not None
            assert writer.stdout.readline() == "ready\n"
            time.sleep(chance.uniform(0.02, 0.3))
            writer.kill()
            said = writer.stdout.read()
        promised |= {line for line in said.split("\n")[:-1] if line}
        with FlockLog.open(path) as log:
            assert log.check() == []
            stored = list(log.exams(statuses=("draft", "confirmed")))
        confirmed = {exam.id for exam in stored if exam.status == "confirmed"}
        assert promised <= confirmed
        assert len(stored) == len({exam.id for exam in stored})
        for exam in stored:
            assert len(exam.exam.findings) == 3, "no exam is stored by halves"
            assert len(exam.confirmed.findings) in (0, 3)
            assert (exam.bird_id is None) == (exam.status == "draft")
    assert promised, "something was stored before the first kill"
