"""Text → tokens with their places in the text.

Recogniser words and written notes go through the same cuts: clitics are split off (she|'s, is|n't),
a hyphen inside a word separates without a token of its own, letters and digits part (10d → 10 d),
runs of + stay together. Filler sounds and struck-out text give no token; the next one is marked `gap`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

__all__ = ["Token", "tokenise", "words_of"]

FILLERS = frozenset("um uh er erm ah uhm hmm mm mmm eh hm umm uhh".split())

# General English, not trade words: contractions that recognisers and notes write without their mark.
BARE_CONTRACTIONS = {
    "isnt": ("is", "n't"),
    "arent": ("are", "n't"),
    "doesnt": ("does", "n't"),
    "dont": ("do", "n't"),
    "didnt": ("did", "n't"),
    "hasnt": ("has", "n't"),
    "havent": ("have", "n't"),
    "wasnt": ("was", "n't"),
    "werent": ("were", "n't"),
    "cant": ("ca", "n't"),
    "wont": ("wo", "n't"),
    "couldnt": ("could", "n't"),
    "wouldnt": ("would", "n't"),
    "shouldnt": ("should", "n't"),
    "aint": ("ai", "n't"),
    "shes": ("she", "'s"),
    "hes": ("he", "'s"),
    "theres": ("there", "'s"),
    "thats": ("that", "'s"),
    "youd": ("you", "'d"),
    "youll": ("you", "'ll"),
    "ive": ("i", "'ve"),
    "im": ("i", "'m"),
    "theyre": ("they", "'re"),
    "theyve": ("they", "'ve"),
    "weve": ("we", "'ve"),
    "whats": ("what", "'s"),
    "heres": ("here", "'s"),
    "cannot": ("can", "not"),
}

TOKEN = re.compile(
    r"""
    (?P<strike>~~.*?~~)
  | (?P<date>\d{1,2}/\d{1,2}/\d{2,4}|\d{4}-\d\d-\d\d)
  | (?P<number>\d+(?:,\d{3})+(?:\.\d+)?|\d+\.\d+|\.\d+|\d+)
  | (?P<plus>\++)
  | (?P<clitic>n't\b|'(?:s|d|ll|ve|re|m)\b)
  | (?P<fraction>[½¼¾⅓⅔])
  | (?P<word>[^\W\d_½¼¾⅓⅔]+?(?=n't\b)|[^\W\d_½¼¾⅓⅔]+(?:'[^\W\d_]{3,})?)
  | (?P<newline>\n)
  | (?P<dots>\.{2,}|…)
  | (?P<dash>--+|[–—-])
  | (?P<sign>[^\s\w]|_)
    """,
    re.X | re.S | re.I,
)


@dataclass(slots=True)
class Token:
    """One token: `low` is its form for matching, `kind` word, number, plus, punct, newline or date."""

    low: str
    start: int
    end: int
    kind: str
    gap: bool = False


PLAIN = str.maketrans({"’": "'", "\u2018": "'", "`": "'", "“": '"', "”": '"', "\u00a0": " ", "\u2212": "-"})


CHUNK = re.compile(r"\S+|\n")
LONGEST_KEPT = 40  # characters of a chunk whose cuts are kept

_Piece = tuple[str, int, int, str]


def tokenise(text: str, fillers: frozenset[str] = FILLERS) -> list[Token]:
    """All tokens of `text`, spans in its characters. Never fails; takes time linear in the text."""
    tokens: list[Token] = []
    gap = False
    plain = text.translate(PLAIN)
    if "~~" in plain:  # struck out over blanks: cut as one
        chunks = [(0, _cut(plain))]
    else:
        chunks = [
            (m.start(), _kept_cut(m.group()) if m.end() - m.start() <= LONGEST_KEPT else _cut(m.group()))
            for m in CHUNK.finditer(plain)
        ]
    for at, pieces in chunks:
        for low, start, end, kind in pieces:
            if kind == "strike" or (
                kind == "word" and low in fillers and not (low == "mm" and tokens and tokens[-1].kind == "number")
            ):
                gap = True
                continue
            tokens.append(Token(low, at + start, at + end, kind, gap))
            gap = False
    return tokens


def _cut(plain: str) -> tuple[_Piece, ...]:
    """The tokens of a stretch that begins and ends at a blank: form for matching, start, end, kind."""
    pieces: list[_Piece] = []
    size = len(plain)
    for match in TOKEN.finditer(plain):
        kind = match.lastgroup or "sign"
        start, end = match.span()
        low = match.group().lower()
        if kind == "word":
            parts = BARE_CONTRACTIONS.get(low)
            if parts:
                cut = start + len(parts[0]) if len(parts[0]) < end - start else end
                pieces += [(parts[0], start, cut, "word"), (parts[1], cut, end, "word")]
                continue
        elif kind == "clitic":
            kind = "word"
        elif kind == "dash":
            before = plain[start - 1] if start else " "
            after = plain[end] if end < size else " "
            inside = before.isalnum() and after.isalnum() and end - start == 1
            if inside and not (before.isdigit() and after.isdigit()):
                continue
            kind, low = "punct", "-"
        elif kind == "fraction":
            kind = "number"
        elif kind in ("sign", "dots"):
            kind = "punct"
            low = "." if low in ("…", "...", "..") else low
        pieces.append((low, start, end, kind))
    return tuple(pieces)


_kept_cut = lru_cache(maxsize=16_384)(_cut)


PLAIN_PHRASE = re.compile(r"[a-z]+(?: [a-z]+)*")


def words_of(phrase: str) -> tuple[str, ...]:
    """The phrase cut as running text is cut, for phrase tables."""
    if PLAIN_PHRASE.fullmatch(phrase):  # most are plain words: no need to look for marks
        words = tuple(phrase.split())
        if not any(word in BARE_CONTRACTIONS or word in FILLERS for word in words):
            return words
    return tuple(token.low for token in tokenise(phrase, frozenset()))
