"""Small words as they are said in parts of the country, in plain English: "wi' th' owd un", "tha's", "runnin".

English grammar only, no trade word: what the lexicon knows is left as it stands.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import replace

from dictate.extraction.tokens import Token

__all__ = ["in_plain_words"]

PLAIN = {
    "wi": "with", "fae": "from", "frae": "from", "tae": "to", "aff": "off", "oot": "out", "doon": "down",
    "aboot": "about", "roond": "round", "roon": "round", "hauf": "half", "owd": "old", "auld": "old", "ol": "old",
    "lil": "little", "gert": "great", "bout": "about", "cos": "because", "coz": "because", "cuz": "because",
    "ye": "you", "yer": "your", "ya": "you", "yous": "you", "youse": "you", "tha": "you", "thee": "you", "thou": "you",
    "thi": "your", "thy": "your", "allus": "always", "fer": "for", "jus": "just", "dem": "them", "dat": "that",
    "yin": "one", "hae": "have", "hev": "have", "gie": "give", "noo": "now", "nowt'": "nothing", "mebbe": "maybe",
    "aye": "yes", "ower": "over", "abune": "above", "ahint": "behind", "atween": "between", "pret": "pretty",
    "kinda": "kind", "sorta": "sort", "outta": "out", "hisself": "himself", "theirselves": "themselves",
}  # fmt: skip
CUT_SHORT = {"an": "and", "o": "of", "th": "the", "t": "the", "i": "in", "ha": "have", "nowt": "nothing"}
SHORTEST = 5  # letters of a word that may have lost its g


def in_plain_words(tokens: Sequence[Token], known: Container[str]) -> list[Token]:
    """The tokens, with dialect in plain words; places in the text stay. `known`: words of the lexicon."""
    out: list[Token] = []
    for token in tokens:
        before = out[-1] if out else None
        if token.low == "'" and before is not None and before.kind == "word" and before.end == token.start:
            short = CUT_SHORT.get(before.low, PLAIN.get(before.low, ""))
            if short:  # "an'", "th'", "wi'": the mark belongs to the word
                out[-1] = replace(before, low=short, end=token.end)
                continue
        if token.kind == "word":
            low = _plain(token.low, known)
            if low != token.low:
                token = replace(token, low=low)
        out.append(token)
    return out


def _plain(word: str, known: Container[str]) -> str:
    if word in known:
        return word
    if word in PLAIN:
        return PLAIN[word]
    if len(word) >= SHORTEST and word.endswith("in") and f"{word}g" in known:
        return f"{word}g"
    if word.startswith("t'") and len(word) > 3:
        return word[2:]
    return word
