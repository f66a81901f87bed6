"""What several listeners heard of one recording → one Draft.

The words come from the listener that hears best; where it does not know the trade's words they are sought
anew (rehear.py), and what the others heard at the same time speaks for a word. These words are understood.
Then each listener's words are understood for themselves, and what they give decides how sure each thing is
(agree.py).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from dictate.extraction import extract
from dictate.fusion.agree import judged
from dictate.fusion.doubt import doubted
from dictate.fusion.mend import mender, weights
from dictate.model import Draft, Utterance

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

__all__ = ["fuse", "in_order"]


def fuse(heard: Mapping[str, Sequence[Utterance]], vocabulary: Vocabulary, cache: Path) -> Draft:
    """One draft of what each listener (by name) heard of the same sound, in order of time.

    `cache` is the folder for the language model made from the lexicon. Draft.utterances are the words that
    were understood. With one listener its verdicts are stricter. Raises ListenerError without that model.
    """
    names = [name for name in in_order(heard) if heard[name]]
    if not names:
        return extract((), vocabulary)
    first, *others = names
    given = weights()
    rehears = given["listeners"]["rehear"]
    apart = [*others, *([first] if others and first in rehears else [])]
    drafts = {name: extract(_words(name, heard[name], (), vocabulary, cache), vocabulary) for name in apart}
    beside = [utterance for name in others for utterance in heard[name]]
    draft = extract(_words(first, heard[first], beside, vocabulary, cache), vocabulary)
    if not others:
        return doubted(draft, given["alone"].get(first, given["alone"]["other"]))
    return judged(draft, drafts, given["together"], given["listeners"]["ask_at"])


def in_order(names: Mapping[str, object] | Sequence[str]) -> list[str]:
    """Names of listeners, the one whose words are taken first."""
    order = weights()["listeners"]["order"]
    return sorted(names, key=lambda name: order.index(name) if name in order else len(order))


def _words(
    name: str, utterances: Sequence[Utterance], beside: Sequence[Utterance], vocabulary: Vocabulary, cache: Path
) -> Sequence[Utterance]:
    if name not in weights()["listeners"]["rehear"]:
        return utterances
    return mender(vocabulary, cache).mend(utterances, beside)
