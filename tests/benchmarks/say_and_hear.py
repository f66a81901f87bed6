"""Have synthetic voices say labelled texts and the lexicon's phrases, and recognisers write down what they hear.

    python tests/benchmarks/say_and_hear.py say FOLDER [LABELLED.jsonl …] [--words N]
    python tests/benchmarks/say_and_hear.py hear FOLDER --listener NAME

`say` writes FOLDER/index.jsonl and a FLAC file for each text; `hear` writes FOLDER/heard_NAME.jsonl, a line for each
text. Both go on where they were stopped. They are two, for voices and recognisers may live in two environments.

Texts and voices come in two parts, "learn" and "test", that share nothing. learn: tuned cases, the first half
of each LABELLED file, the lexicon's phrases; test: held cases (never to be looked at) and the second halves. A third of
the recordings have the noise of a fan, 15 dB below the voice. Voices: audio_samples/make.py. Seeds are fixed.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import sys
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "audio_samples")]

VOICES = {
    "learn": ("flite:slt", "espeak:en-us", "flite:awb", "espeak:en-us+f3", "flite:kal16"),
    "test": ("piper:joe", "flite:rms", "espeak:en-gb"),
}
SPOKEN = ("narration", "narration-punct", "teaching", "hard")
RATE, LEVEL, SNR = 16_000, 0.06, 15.0
PHRASES_AT_ONCE = 8


def items(files: list[Path], words: int) -> Iterator[dict[str, Any]]:
    """{id, part, text, gold?}; of each part's cases about `words` words, chosen at random."""
    from labelled import cases
    from scoring_of_records import read_labelled

    for part, split, share in (("learn", "tune", 1.0), ("test", "held", 0.4)):
        rows = [item for item in cases(split=split) if item["style"] in SPOKEN]
        random.Random(7).shuffle(rows)
        count = 0
        for item in rows:
            if count < share * words:
                count += len(item["text"].split())
                yield {"id": item["id"], "part": part, "text": item["text"], "gold": item["gold"]}
    for path in files:
        rows = [item for item in read_labelled(path) if item["style"] in SPOKEN]
        for n, item in enumerate(rows):
            part = "learn" if n < len(rows) / 2 else "test"
            yield {"id": item["id"], "part": part, "text": item["text"], "gold": item["gold"]}
    yield from phrases()


def phrases() -> Iterator[dict[str, Any]]:
    """The ways of saying regions, signs, actions and grades, some at a time with a pause between."""
    from dictate.vocabulary import load_vocabulary

    written = ("short", "glued", "nil")  # and never said
    said = {
        phrase.lower() for phrase, meaning in load_vocabulary().phrases()
        if meaning.kind in ("region", "sign", "action", "grade") and not meaning.form.startswith(written)
        and re.fullmatch(r"[a-z' -]+", phrase.lower())
    }
    order = sorted(said)
    random.Random(8).shuffle(order)
    for n in range(0, len(order), PHRASES_AT_ONCE):
        text = ", ".join(order[n : n + PHRASES_AT_ONCE])
        yield {"id": f"phrases-{n // PHRASES_AT_ONCE}", "part": "learn", "text": text}


def breaths(text: str, rng: random.Random) -> list[str]:
    """The text cut where a speaker stops: at its marks, and long stretches without one every few words."""
    out: list[str] = []
    for piece in re.split(r"(?<=[.!?;,\n])\s+|\n", text):
        words = piece.split()
        while words:
            size = len(words) if len(words) <= 14 else rng.randint(6, 12)
            out.append(" ".join(words[:size]))
            words = words[size:]
    return [piece for piece in out if re.search(r"\w", piece)]


def sound(text: str, voice: str, noisy: bool, rng: random.Random) -> Any:
    """All breaths in one voice with pauses, as samples in -1..1."""
    import numpy as np
    import soxr
    from make import ENGINES, fan, trim

    engine, _, name = voice.partition(":")
    track = [np.zeros(RATE // 3)]
    for breath in breaths(text, rng):
        samples, rate = ENGINES[engine](breath, name, 1.0)
        if np.any(samples):
            track += [trim(soxr.resample(samples, rate, RATE)), np.zeros(int(RATE * rng.uniform(0.25, 0.7)))]
    whole = np.concatenate(track)
    loud = np.abs(whole) > 0
    whole *= LEVEL / max(1e-9, whole[loud].std())
    chance = np.random.default_rng(rng.randrange(2**32))
    whole += LEVEL * 10 ** (-50 / 20) * chance.standard_normal(len(whole))
    if noisy:
        noise = fan(len(whole))
        whole += noise * LEVEL / noise.std() * 10 ** (-SNR / 20)
    return np.clip(whole, -1, 1)


def ids(path: Path) -> set[str]:
    """What a file of lines holds already."""
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    return {json.loads(line)["id"] for line in lines}


def say(folder: Path, files: list[Path], words: int) -> None:
    import soundfile

    folder.mkdir(parents=True, exist_ok=True)
    count = {"learn": 0, "test": 0}
    index = folder / "index.jsonl"
    done = ids(index)
    with index.open("a", encoding="utf-8") as out:
        for item in items(files, words):
            n = count[item["part"]]
            count[item["part"]] += 1
            if item["id"] in done:
                continue
            voices = VOICES[item["part"]]
            item |= {"voice": voices[n % len(voices)], "noisy": n % 3 == 2, "file": f"{item['id']}.flac"}
            rng = random.Random(zlib.crc32(item["id"].encode()))
            samples = sound(item["text"], item["voice"], item["noisy"], rng)
            soundfile.write(folder / item["file"], samples, RATE, subtype="PCM_16")
            item["seconds"] = round(len(samples) / RATE, 1)
            out.write(json.dumps(item, ensure_ascii=False) + "\n")
            out.flush()
    print(f"{count}, in {folder}")


def hear_all(folder: Path, name: str) -> None:
    from dictate.speech import ListenerOptions, hear, open_listener
    from dictate.vocabulary import load_vocabulary

    out = folder / f"heard_{name}.jsonl"
    done = ids(out)
    listener = open_listener(name, load_vocabulary(), ListenerOptions(cache=folder / "cache"))
    lines = (folder / "index.jsonl").read_text(encoding="utf-8").splitlines()
    random.Random(5).shuffle(lines)  # a run that is stopped has heard some of everything
    with out.open("a", encoding="utf-8") as file:
        for line in lines:
            item = json.loads(line)
            if item["id"] in done:
                continue
            heard = hear(folder / item["file"], [listener])
            item["heard"] = [
                [[w.text, round(w.start, 2), round(w.end, 2), w.confidence] for w in utterance.words]
                for utterance in heard.utterances[name]
            ]
            file.write(json.dumps(item, ensure_ascii=False) + "\n")
            file.flush()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=("say", "hear"))
    parser.add_argument("folder", type=Path)
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--words", type=int, default=12_000, help="of the tuned cases; 40 %% as many of the held ones")
    parser.add_argument("--listener", default="pocketsphinx")
    wanted = parser.parse_args()
    if wanted.what == "say":
        say(wanted.folder, wanted.files, wanted.words)
    else:
        hear_all(wanted.folder, wanted.listener)


if __name__ == "__main__":
    main()
