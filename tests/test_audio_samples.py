"""The recordings are what their README says, and texts and records belong together."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

SAMPLES = Path(__file__).parents[1] / "audio_samples"


def _make() -> Any:
    spec = importlib.util.spec_from_file_location("make_samples", SAMPLES / "make.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


RECORDINGS = {row["id"]: row for row in _make().recordings()}
RECORDS = {p.stem: json.loads(p.read_text(encoding="utf-8")) for p in sorted(SAMPLES.glob("*.json"))}


def _loudness(samples: np.ndarray) -> np.ndarray:
    """Root mean square of each 20 ms, in decibels."""
    frames = samples[: len(samples) // 320 * 320].reshape(-1, 320)
    return 20 * np.log10(np.sqrt((frames**2).mean(axis=1)) + 1e-9)


def test_each_recording_has_sound_text_and_record() -> None:
    assert set(RECORDINGS) == set(RECORDS) == {p.stem for p in SAMPLES.glob("*.flac")}
    assert len(RECORDINGS) == 11
    assert sum(p.stat().st_size for p in SAMPLES.glob("*.flac")) < 6_000_000


@pytest.mark.parametrize("name", sorted(RECORDINGS))
def test_sound_is_16_khz_mono_16_bit_and_as_long_as_its_words(name: str) -> None:
    info = soundfile.info(SAMPLES / f"{name}.flac")
    assert (info.samplerate, info.channels, info.subtype) == (16_000, 1, "PCM_16")
    words = len(RECORDINGS[name]["text"].split())
    assert 1.2 < words / info.duration < 3.5, "words a second"


@pytest.mark.parametrize("name", sorted(RECORDINGS))
def test_record_belongs_to_the_text(name: str) -> None:
    record, row = RECORDS[name], RECORDINGS[name]
    assert record["text"] == row["text"]
    assert record["date"] == row["date"].isoformat() == name[:10]
    for exam in record["exams"]:
        assert exam["findings"]
        assert exam["bird"]["band"] or exam["bird"]["name"] in row["text"]


def test_one_recording_is_in_noise_15_db_below_the_voice() -> None:
    gaps = {}
    for name in RECORDINGS:
        samples, _ = soundfile.read(SAMPLES / f"{name}.flac")
        level = _loudness(samples)
        # The voice with the noise in it against the noise in the pauses.
        gaps[name] = float(np.percentile(level, 85) - np.percentile(level, 10))
    noisy = [name for name, row in RECORDINGS.items() if row.get("noise")]
    assert noisy == ["2026-03-07_5_pepper"]
    assert 12 < gaps.pop(noisy[0]) < 22
    assert min(gaps.values()) > 35


def test_the_two_dates_have_something_to_show() -> None:
    """Birds seen twice, a foot that gets better, a weight lost and a recheck that nobody kept."""
    seen: dict[str, list[str]] = {}
    weights: dict[str, list[float]] = {}
    for record in RECORDS.values():
        for exam in record["exams"]:
            bird = exam["bird"]["band"] or exam["bird"]["name"]
            seen.setdefault(bird, []).append(record["date"])
            weights.setdefault(bird, []).extend(
                m["value"] for m in exam["measurements"] if m["kind"] == "weight"
            )
    assert {bird for bird, dates in seen.items() if len(set(dates)) == 2} == {
        "blue 14", "red 7", "yellow 30", "green 21", "hazel",
    }
    assert weights["red 7"] == [2300, 1950]
    assert seen["white 5"] == ["2026-03-07"]
