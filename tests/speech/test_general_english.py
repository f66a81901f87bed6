"""The general model in the recogniser's wheel is unpacked as pocketsphinx itself reads it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pocketsphinx
import pytest

from dictate.speech.general_english import GeneralEnglish, read_general
from dictate.speech.language_model import START, STOP

PACKED = Path(pocketsphinx.get_model_path("en-us/en-us.lm.bin"))


@pytest.fixture(scope="module")
def own() -> pocketsphinx.NGramModel:
    return pocketsphinx.NGramModel(pocketsphinx.Config(), pocketsphinx.LogMath(), str(PACKED))


@pytest.fixture(scope="module")
def general(own: pocketsphinx.NGramModel) -> GeneralEnglish:
    model = read_general(PACKED, own.prob)
    assert model is not None
    return model


@pytest.mark.parametrize("words", [("of", "the"), ("have", "a", "look"), ("in", "a", "week"), ("she", "is")])
def test_it_has_the_probabilities_of_pocketsphinx(
    general: GeneralEnglish, own: pocketsphinx.NGramModel, words: tuple[str, ...]
) -> None:
    listed = [START, STOP, *sorted(set(words))]
    model = general.limited(listed)
    key = 0
    for word in words:
        key = key * len(listed) + listed.index(word)
    look_up = model.prob_two if len(words) == 2 else model.prob_three
    assert np.log(look_up(np.array([key]))[0]) / np.log(1.0001) == pytest.approx(own.prob(list(words)[::-1]), abs=2)


def test_the_commonest_words_are_common(general: GeneralEnglish) -> None:
    common = general.commonest(200)
    assert {"the", "and", "to", "a", "of", "is"} <= set(common)
    assert not {START, STOP} & set(common)


@pytest.mark.parametrize("content", [b"", b"\\data\\\nngram 1=3\n", PACKED.read_bytes()[:5000]])
def test_another_kind_of_file_gives_no_model(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.lm.bin"
    path.write_bytes(content)
    assert read_general(path) is None


def test_a_model_that_disagrees_is_not_used() -> None:
    assert read_general(PACKED, lambda words: -1) is None
