"""The language model and dictionary for pocketsphinx, made from the lexicon and kept in a cache.

The cache folder is named by a digest of the words, the code that makes the model and the version of
pocketsphinx, so a changed word or program makes a new one. It is written aside and renamed when
whole; every file's checksum is in made.json, and a folder that does not agree is made again.
"""

from __future__ import annotations

import hashlib
import json
import math
import shutil
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dictate.errors import ListenerError

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

__all__ = ["BuildSettings", "ModelFiles", "english_dictionary", "language_cost", "model_files"]

MADE = "made.json"
LOG_BASE = 1.0001  # pocketsphinx counts in logarithms to this base
KEPT = 4  # folders of earlier words that stay, so that going back and forth costs nothing


@dataclass(frozen=True, slots=True)
class BuildSettings:
    """How the model is made; the figures behind the choices are in DEVELOPERS.md.

    `sentences` made from the patterns; `share` of them in the mixture, the rest general English over
    `general_words` commonest words; `threshold` below which a general n-gram is left out.
    """

    sentences: int = 60000
    share: float = 0.85
    general_words: int = 4000
    threshold: float = 3e-7
    seed: int = 1


@dataclass(frozen=True, slots=True)
class ModelFiles:
    """Where pocketsphinx finds its parts; `guessed` are words whose sound is only guessed by rule."""

    acoustic: Path
    language: Path
    dictionary: Path
    guessed: tuple[str, ...]


def model_files(vocabulary: Vocabulary, cache: Path, settings: BuildSettings | None = None) -> ModelFiles:
    """The files for this vocabulary, from the cache or made now (some seconds).

    Raises ListenerError when pocketsphinx's own model is missing or the cache cannot be written.
    """
    settings = settings or BuildSettings()
    acoustic, general, dictionary = _wheel_files()
    folder = cache / "pocketsphinx" / _key(vocabulary, settings)
    made = _sound_folder(folder)
    if made is None:
        try:
            _make_folder(folder, vocabulary, settings, general, dictionary)
        except OSError as error:
            raise ListenerError(
                "keeping the language model in", str(folder), error.strerror or str(error),
                "Make room or choose another cache folder in the settings.",
            ) from error
        made = _sound_folder(folder)
        if made is None:
            raise ListenerError(
                "keeping the language model in", str(folder), "what was written does not read back",
                "Check the disk.",
            )
        _tidy(folder)
    return ModelFiles(acoustic, folder / "language.lm.bin", folder / "words.dict", tuple(made["guessed"]))


def _wheel_files() -> tuple[Path, Path, Path]:
    """Acoustic model, general language model and dictionary that come with pocketsphinx."""
    try:
        import pocketsphinx
    except ImportError as error:
        raise ListenerError(
            "opening the listener", "pocketsphinx", "the package is not installed",
            "Install this program again with its dependencies.",
        ) from error
    home = Path(pocketsphinx.get_model_path("en-us"))
    acoustic, general, words = home / "en-us", home / "en-us.lm.bin", home / "cmudict-en-us.dict"
    for path in (acoustic / "mdef", words):
        if not path.exists():
            raise ListenerError(
                "opening the listener", "pocketsphinx", f"its English model lacks {path}",
                "Install the package pocketsphinx again from its wheel.",
            )
    return acoustic, general, words


def _key(vocabulary: Vocabulary, settings: BuildSettings) -> str:
    from dictate.speech import general_english, language_model
    from dictate.vocabulary import letter_sounds, patterns, pronunciations, sentences, spoken_numbers

    digest = hashlib.sha256()
    digest.update(f"{vocabulary.digest} {version('pocketsphinx')} {asdict(settings)}".encode())
    code = (
        general_english, language_model, letter_sounds, patterns, pronunciations, sentences, spoken_numbers,
    )
    for path in (__file__, *(module.__file__ for module in code)):
        digest.update(Path(str(path)).read_bytes())
    return digest.hexdigest()[:24]


def _sound_folder(folder: Path) -> dict[str, Any] | None:
    """What made.json says if all files are there as they were written, else None."""
    try:
        made: dict[str, Any] = json.loads((folder / MADE).read_text(encoding="utf-8"))
        for name, checksum in made["files"].items():
            if _checksum(folder / name) != checksum:
                return None
        if not isinstance(made["guessed"], list) or not made["files"]:
            return None
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    return made


def _checksum(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _make_folder(
    folder: Path, vocabulary: Vocabulary, settings: BuildSettings, general: Path, dictionary: Path
) -> None:
    folder.parent.mkdir(parents=True, exist_ok=True)
    aside = Path(tempfile.mkdtemp(prefix=".making-", dir=folder.parent))
    try:
        guessed = _write_model(aside, vocabulary, settings, general, dictionary)
        names = ("language.lm.bin", "words.dict")
        made = {"files": {name: _checksum(aside / name) for name in names}, "guessed": guessed}
        (aside / MADE).write_text(json.dumps(made, indent=1), encoding="utf-8")
        if folder.exists() and _sound_folder(folder) is None:
            shutil.rmtree(folder)
        if not folder.exists():
            try:
                aside.rename(folder)
            except OSError:
                if _sound_folder(folder) is None:  # else another process was quicker
                    raise
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def _tidy(folder: Path) -> None:
    """Remove all but the newest folders of earlier words, and what a killed process left."""
    import time

    others = [path for path in folder.parent.iterdir() if path != folder and path.is_dir()]
    others.sort(key=lambda path: path.stat().st_mtime, reverse=True)
    old = time.time() - 3600
    for path in [p for p in others if not p.name.startswith(".")][KEPT - 1 :]:
        shutil.rmtree(path, ignore_errors=True)
    for path in others:
        if path.name.startswith(".making-") and path.stat().st_mtime < old:
            shutil.rmtree(path, ignore_errors=True)


def _write_model(
    folder: Path, vocabulary: Vocabulary, settings: BuildSettings, general: Path, dictionary: Path
) -> list[str]:
    """Write language.lm.bin and words.dict; return the words whose sound is only guessed."""
    import pocketsphinx

    from dictate.speech.general_english import read_general
    from dictate.speech.language_model import START, STOP, count_trigrams, mix, prune, write_arpa
    from dictate.vocabulary.pronunciations import Pronouncer
    from dictate.vocabulary.sentences import make_sentences

    known = read_dictionary(dictionary)
    config, logs = pocketsphinx.Config(), pocketsphinx.LogMath()
    english = None
    if general.exists():
        english = read_general(general, pocketsphinx.NGramModel(config, logs, str(general)).prob)
    common = english.commonness() if english is not None else {}
    said = list(make_sentences(vocabulary, settings.sentences, settings.seed, lambda word: common.get(word, 0.0)))
    ours = {word for sentence in said for word in sentence if word in known or _sayable(word)}
    words = set(ours)
    if english is not None:
        words |= {word for word in english.commonest(settings.general_words) if word in known}
    listed = [START, STOP, *sorted(words)]
    model = count_trigrams(said, listed)
    if english is not None:
        model = mix(model, prune(english.limited(listed), settings.threshold), settings.share)
    arpa = folder / "language.arpa"
    write_arpa(model, arpa)
    pocketsphinx.NGramModel(config, logs, str(arpa)).write(str(folder / "language.lm.bin"))
    arpa.unlink()
    return _write_dictionary(folder / "words.dict", listed[2:], Pronouncer(known, vocabulary))


def english_dictionary() -> dict[str, tuple[str, ...]]:
    """Word → ways of saying it, from the dictionary of American English in pocketsphinx's wheel."""
    return read_dictionary(_wheel_files()[2])


def language_cost(files: ModelFiles) -> tuple[Callable[[str, str, str], float], dict[str, tuple[str, ...]]]:
    """What a word costs after two others (minus the natural logarithm of its odds) by the model made from
    the lexicon, and the words it knows with their ways of being said."""
    import pocketsphinx

    known = read_dictionary(files.dictionary)
    model = pocketsphinx.NGramModel(pocketsphinx.Config(), pocketsphinx.LogMath(), str(files.language))
    base = -math.log(LOG_BASE)
    listed = {*known, "<s>", "</s>"}

    def cost(before: str, last: str, word: str) -> float:
        if last not in listed:
            history: list[str] = []
        elif before not in listed or last == "<s>":
            history = [last]
        else:
            history = [last, before]
        return float(model.prob([word, *history]) * base)

    return cost, known


def read_dictionary(path: Path) -> dict[str, tuple[str, ...]]:
    """A CMU dictionary as word → ways of saying it; "read(2)" is a second way of "read"."""
    ways: dict[str, list[str]] = {}
    with path.open(encoding="utf-8") as file:
        for line in file:
            word, _, phones = line.strip().partition(" ")
            if phones:
                ways.setdefault(word.partition("(")[0], []).append(phones.strip())
    return {word: tuple(said) for word, said in ways.items()}


def _sayable(word: str) -> bool:
    """Whether a word that no dictionary knows can be spelled out: "n't" and "bcs" cannot."""
    return len(word) > 1 and any(letter in "aeiouy" for letter in word)


def _write_dictionary(path: Path, words: Iterable[str], pronouncer: Any) -> list[str]:
    guessed = []
    with path.open("w", encoding="utf-8") as out:
        for word in words:
            if not pronouncer.known(word):
                guessed.append(word)
            for number, way in enumerate(pronouncer.ways(word), 1):
                out.write(f"{word} {way}\n" if number == 1 else f"{word}({number}) {way}\n")
    return guessed
