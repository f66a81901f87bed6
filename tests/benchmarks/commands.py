"""Voice commands told from dictation: false ones an hour of narration, and missed ones.

    python tests/benchmarks/commands.py [MORE.jsonl …] [--hours 12]     text: no recogniser's faults
    python tests/benchmarks/commands.py --spoken                        every command, spoken and heard

Narration is made of the labelled cases, of further files of lines with a "text", and for the rest of the
lexicon's own sentence patterns (without those that are said to the program). It is cut at punctuation and,
since recognisers give none, at random after 1 to 9 words, as people pause. "next bird" and "scratch that"
inside narrations mean what the commands mean; they are counted apart.

--spoken needs the programs flite and espeak-ng; their voices are not people.
"""

from __future__ import annotations

import argparse
import io
import json
import random
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from dictate.live.commands import AROUND, ONLY_ASKED, Commands  # noqa: E402
from dictate.vocabulary import Vocabulary, load_vocabulary  # noqa: E402
from dictate.vocabulary.entries import BLOCKS  # noqa: E402
from dictate.vocabulary.sentences import SentenceMaker  # noqa: E402

WORDS_A_MINUTE = 130
TO_THE_PROGRAM = "to the program"
SAME_MEANING = {"next-bird": "next", "take-back": "withdraw"}
VOICES = (("flite", "rms"), ("flite", "slt"), ("flite", "kal16"), ("espeak-ng", "en-us"), ("espeak-ng", "en-gb"))


def texts(paths: Iterable[Path]) -> Iterator[str]:
    for path in sorted((ROOT / "tests" / "cases").rglob("*.toml")):
        for case in tomllib.loads(path.read_text(encoding="utf-8")).get("case", []):
            yield case["text"]
    for path in paths:
        for line in path.read_text(encoding="utf-8").splitlines():
            yield json.loads(line)["text"]


def phrases(text: str, chance: random.Random) -> Iterator[str]:
    """As it would be heard: cut at punctuation and at random."""
    for piece in re.split(r"[.,;:!?\n]+", text):
        words = piece.split()
        while words:
            length = chance.randint(1, 9)
            yield " ".join(words[:length])
            words = words[length:]


def own_sentences(vocabulary: Vocabulary, seed: int) -> Iterator[str]:
    """Endless exam talk from the lexicon's patterns, without what is said to the program."""
    entries = {kind: list(vocabulary.entries(kind).values()) for kind in BLOCKS}
    entries["sentence"] = [entry for entry in entries["sentence"] if entry.id != TO_THE_PROGRAM]
    maker = SentenceMaker(Vocabulary(entries, "without commands"), seed)
    while True:
        for words in maker.sentences(5000):
            yield " ".join(words)


def false_commands(hours: float, paths: list[Path]) -> None:
    vocabulary = load_vocabulary()
    commands = Commands.of(vocabulary)
    chance = random.Random(1)
    wanted = hours * 60 * WORDS_A_MINUTE
    words = {"labelled": 0, "patterns": 0}
    found: Counter[tuple[str, str, str]] = Counter()

    def count(source: str, phrase: str) -> None:
        words[source] += len(phrase.split())
        command = commands.match(phrase)
        if command and command not in ONLY_ASKED:
            found[source, command, phrase] += 1

    labelled = list(texts(paths))
    for text in labelled:
        for phrase in phrases(text, chance):
            count("labelled", phrase)
    for sentence in own_sentences(vocabulary, 1):
        if sum(words.values()) >= wanted:
            break
        for phrase in [sentence] if chance.random() < 0.5 else phrases(sentence, chance):
            count("patterns", phrase)
    for source, number in words.items():
        length = number / WORDS_A_MINUTE / 60
        false = sum(n for (s, command, _), n in found.items() if s == source and command not in SAME_MEANING)
        same = sum(n for (s, command, _), n in found.items() if s == source and command in SAME_MEANING)
        print(f"{source}: {number} words, {length:.1f} hours at {WORDS_A_MINUTE} a minute; false commands {false} "
              f"({false / length:.2f} an hour); next bird and taking back {same}")
    for (source, command, phrase), number in found.most_common():
        print(f"  {source:<9} {command:<12} {number:>4}  {phrase}")
    around = vocabulary.entries("command")[AROUND].around
    tried = missed = 0
    for name, entry in vocabulary.entries("command").items():
        for way in entry.say:
            for _ in range(5):
                before = " ".join(chance.choices(around, k=chance.randint(0, 2)))
                after = chance.choice(["", "", "please", "then"])
                tried += 1
                missed += commands.match(f"{before} {way} {after}") != name
    print(f"text: of {tried} commands with small words around them {missed} missed ({missed / tried:.1%})")


def sound_of(voice: tuple[str, str], text: str) -> bytes:
    """16-bit samples at 16 kHz with a second of quiet on both sides."""
    import numpy as np
    import soundfile
    import soxr

    program, name = voice
    if program == "flite":
        with tempfile.NamedTemporaryFile(suffix=".wav") as file:
            subprocess.run(["flite", "-voice", name, "-t", text, "-o", file.name], check=True)
            samples, rate = soundfile.read(file.name, dtype="float32")
    else:
        done = subprocess.run(["espeak-ng", "-v", name, "--stdout", text], check=True, capture_output=True)
        with tempfile.NamedTemporaryFile(suffix=".wav") as file:
            Path(file.name).write_bytes(done.stdout)
            samples, rate = soundfile.read(io.BytesIO(done.stdout), dtype="float32")
    samples = soxr.resample(samples, rate, 16000)
    quiet = np.random.default_rng(1).standard_normal(16000) * 0.001
    whole = np.concatenate([quiet, samples, quiet])
    return bytes((whole * 20000).clip(-32768, 32767).astype(np.int16).tobytes())


def spoken(seed: int) -> None:
    from dictate.speech.listener import ListenerOptions, begin_live, open_listener

    vocabulary = load_vocabulary()
    commands = Commands.of(vocabulary)
    voices = [voice for voice in VOICES if shutil.which(voice[0])]
    ear = open_listener("pocketsphinx", vocabulary, ListenerOptions())
    tried: Counter[str] = Counter()
    missed: Counter[str] = Counter()
    by_voice: Counter[tuple[str, str]] = Counter()
    wrong = 0
    for name, entry in vocabulary.entries("command").items():
        for way in entry.say:
            for voice in voices:
                data = sound_of(voice, way)
                hearing = begin_live(ear)
                heard = []
                for at in range(0, len(data), 1920):
                    heard += hearing.feed(data[at : at + 1920])
                heard += hearing.finish()
                texts_ = [utterance.text for utterance in heard]
                got = [command for text in texts_ if (command := commands.match(text))]
                tried[name] += 1
                if name not in got:
                    missed[name] += 1
                    by_voice[voice] += 1
                    wrong += bool(got)
                    print(f"  missed  {' '.join(voice):<16} {name:<12} “{way}” heard as {texts_}")
    total, lost = sum(tried.values()), sum(missed.values())
    print(f"spoken: of {total} commands by {len(voices)} voices {lost} missed ({lost / total:.1%}), {wrong} of these "
          "taken for another command")
    for name, number in tried.items():
        print(f"  {name:<12} {missed[name]:>3} of {number:>3} missed")
    print("  by voice:", {" ".join(voice): by_voice[voice] for voice in voices})


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--hours", type=float, default=12.0)
    parser.add_argument("--spoken", action="store_true")
    given = parser.parse_args()
    spoken(1) if given.spoken else false_commands(given.hours, given.files)
