"""One vocabulary and one extractor for all tests of this room."""

from __future__ import annotations

import pytest

from dictate.extraction.assemble import Extractor
from dictate.vocabulary import Vocabulary, load_vocabulary


@pytest.fixture(scope="session")
def vocabulary() -> Vocabulary:
    return load_vocabulary()


@pytest.fixture(scope="session")
def extractor(vocabulary: Vocabulary) -> Extractor:
    return Extractor(vocabulary)
