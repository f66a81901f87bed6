"""Which sign and which regions the words of a command mean."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dictate.errors import UsageError

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

__all__ = ["sign_and_regions"]


def sign_and_regions(sign: str, region: Sequence[str] | None, vocabulary: Vocabulary) -> tuple[str, list[str]]:
    """The id of the sign, and of the regions where birds count as examined for it. Raises UsageError."""
    name = _meaning(sign, "sign", vocabulary)
    return name, [_meaning(word, "region", vocabulary) for word in region or ()] or _usual(name, vocabulary)


def _meaning(word: str, kind: str, vocabulary: Vocabulary) -> str:
    """The entry that a word means: its id or any way of saying it. Raises UsageError."""
    wanted = " ".join(word.lower().split())
    known = vocabulary.entries(kind)
    if wanted in known:
        return wanted
    meant = {m.id for phrase, m in vocabulary.phrases() if m.kind == kind and phrase.lower() == wanted}
    if len(meant) == 1:
        return meant.pop()
    found = f"it may mean {', '.join(sorted(meant))}" if meant else "the lexicon does not have it"
    raise UsageError(f"looking for the {kind}", f'"{word}"', found, "See: dictate words show")


def _usual(sign: str, vocabulary: Vocabulary) -> list[str]:
    """The region that a sign belongs to. Raises UsageError where it may be on several."""
    entry = vocabulary.signs[sign]
    if entry.home:
        return [entry.home]
    if len(entry.usual) == 1:
        return list(entry.usual)
    seen = f"it may be on {', '.join(entry.usual)}" if entry.usual else "it may be anywhere"
    raise UsageError("counting", sign, seen, "Say which birds count as examined for it, with --region.")
