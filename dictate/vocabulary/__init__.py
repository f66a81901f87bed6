"""The lexicon: find, read, check and merge its files into an immutable Vocabulary."""

from dictate.vocabulary.load import find_lexicon, load_vocabulary
from dictate.vocabulary.words import Meaning, Vocabulary

__all__ = ["Meaning", "Vocabulary", "find_lexicon", "load_vocabulary"]
