"""The built-in listener: its model follows the lexicon, and it hears the recordings of the demo."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from rapidfuzz.distance import Levenshtein

from dictate.errors import ListenerError
from dictate.speech import RATE, Listener, ListenerOptions, hear, open_listener, pocketsphinx_model, read_sound
from dictate.speech.pocketsphinx_listener import levelled
from dictate.speech.pocketsphinx_model import BuildSettings, ModelFiles, model_files, read_dictionary
from dictate.vocabulary import Vocabulary, load_vocabulary

SAMPLES = Path(__file__).parents[2] / "audio_samples"
QUICK = BuildSettings(sentences=300, general_words=300)


@pytest.fixture(scope="module")
def shipped() -> Vocabulary:
    return load_vocabulary()


@pytest.fixture(scope="module")
def quick(shipped: Vocabulary, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, ModelFiles]:
    cache = tmp_path_factory.mktemp("quick")
    return cache, model_files(shipped, cache, QUICK)


@pytest.fixture
def stub(monkeypatch: pytest.MonkeyPatch) -> None:
    """The keeping of models is tried on small files, without making language models."""

    def write(folder: Path, vocabulary: Vocabulary, settings: BuildSettings, *_: Path) -> list[str]:
        (folder / "language.lm.bin").write_bytes(bytes(range(256)) * 40)
        (folder / "words.dict").write_text(f"hen HH EH N\nseed {settings.seed}\n", encoding="utf-8")
        return ["seed"]

    monkeypatch.setattr(pocketsphinx_model, "_write_model", write)


@pytest.fixture(scope="module")
def listener(shipped: Vocabulary, cache_home: Path) -> Listener:
    return open_listener("pocketsphinx", shipped, ListenerOptions(cache=cache_home / "dictate"))


def test_words_of_the_lexicon_are_in_the_dictionary(quick: tuple[Path, ModelFiles], shipped: Vocabulary) -> None:
    ways = read_dictionary(quick[1].dictionary)
    assert {"wattle", "nares", "rales", "uropygial", "cloaca", "bumblefoot", "preen", "keel"} <= set(ways)
    assert "R AA L Z" in ways["rales"]
    assert {"the", "of", "going"} <= set(ways)


def test_a_word_of_the_keepers_own_is_in_at_the_next_start(tmp_path: Path) -> None:
    (tmp_path / "signs.toml").write_text('[[sign]]\nid = "scab"\nsay = ["glimmety"]\n', encoding="utf-8")
    files = model_files(load_vocabulary(overlay=tmp_path), tmp_path / "cache", QUICK)
    assert read_dictionary(files.dictionary)["glimmety"]
    assert "glimmety" in files.guessed


@pytest.mark.usefixtures("stub")
def test_the_model_is_made_once(shipped: Vocabulary, tmp_path: Path) -> None:
    files = model_files(shipped, tmp_path)
    before = files.language.stat().st_mtime_ns
    assert model_files(shipped, tmp_path) == files
    assert files.language.stat().st_mtime_ns == before


@pytest.mark.parametrize("name", ["language.lm.bin", "words.dict", "made.json"])
@pytest.mark.parametrize("damage", ["cut", "gone", "changed"])
@pytest.mark.usefixtures("stub")
def test_a_damaged_cache_is_made_again(shipped: Vocabulary, tmp_path: Path, name: str, damage: str) -> None:
    files = model_files(shipped, tmp_path)
    path = files.language.with_name(name)
    whole = path.read_bytes()
    if damage == "gone":
        path.unlink()
    else:
        path.write_bytes(whole[: len(whole) // 2] if damage == "cut" else whole[:-9] + b"\0" * 9)
    assert model_files(shipped, tmp_path) == files
    assert path.read_bytes() == whole


@pytest.mark.usefixtures("stub")
def test_old_models_do_not_pile_up(shipped: Vocabulary, tmp_path: Path) -> None:
    for seed in range(7):
        model_files(shipped, tmp_path, BuildSettings(seed=seed))
    kept = [path.read_text(encoding="utf-8")[-2] for path in tmp_path.glob("pocketsphinx/*/words.dict")]
    assert sorted(kept) == ["3", "4", "5", "6"]


def test_a_cache_that_cannot_be_written_is_a_sentence(shipped: Vocabulary, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder", encoding="utf-8")
    with pytest.raises(ListenerError, match="another cache folder"):
        model_files(shipped, tmp_path / "file", QUICK)


def test_phrases_are_brought_to_one_loudness_over_a_hiss() -> None:
    quiet = (100 * np.sin(np.arange(16000) / 10)).astype(np.int16)
    assert 2900 <= np.abs(levelled(quiet)).max() <= 3300  # thirty times as loud and no more
    loud = (30000 * np.sin(np.arange(16000) / 10)).astype(np.int16)
    assert np.abs(levelled(loud)).max() == pytest.approx(16000, abs=150)
    assert np.array_equal(levelled(loud), levelled(loud))
    assert levelled(np.zeros(16000, np.int16)).std() == pytest.approx(25, abs=2)
    assert len(levelled(np.zeros(0, np.int16))) == 0


@pytest.mark.slow
def test_the_sample_recordings_are_heard(listener: Listener) -> None:
    """Word error over two recordings in clean sound; .06 when this was written."""
    errors = total = 0
    for name in ("2026-03-07_1_juniper", "2026-03-07_2_red_seven"):
        heard = hear(SAMPLES / f"{name}.flac", [listener])
        wanted = json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))["text"].split()
        errors += Levenshtein.distance(wanted, heard.text("pocketsphinx").split())
        total += len(wanted)
        words = heard.words("pocketsphinx")
        assert all(0 <= w.start < w.end <= heard.seconds + 0.1 for w in words)  # type: ignore[operator]
        assert all(a.end <= b.start + 0.02 for a, b in pairwise(words))  # type: ignore[operator]
        assert all(0 <= w.confidence <= 1 for w in words)  # type: ignore[operator]
    assert errors / total <= 0.3


@pytest.mark.slow
def test_live_blocks_and_whole_files_give_the_same_words(listener: Listener) -> None:
    samples = read_sound(SAMPLES / "2026-03-07_2_red_seven.flac")[: 12 * RATE]
    hearing = listener.begin()
    live = [u for at in range(0, len(samples), 800) for u in hearing.feed(samples[at : at + 800].tobytes())]
    live += hearing.finish()
    whole = list(listener.hear([samples]))
    assert len(live) >= 2
    assert [u.text for u in live] == [u.text for u in whole]
    for ours, theirs in zip(live, whole, strict=True):  # the decoder keeps a trace of what it did last
        for a, b in zip(ours.words, theirs.words, strict=True):
            assert (a.start, a.end) == pytest.approx((b.start, b.end), abs=0.05)
            assert a.confidence == pytest.approx(b.confidence, abs=0.1)


@pytest.mark.slow
def test_silence_says_nothing(listener: Listener) -> None:
    assert list(listener.hear([np.zeros(3 * RATE, np.int16)])) == []
