"""Rules of care as data: faults are told, a keeper's own are added, each phrase means one thing."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import get_args

import pytest

from dictate.errors import LexiconError
from dictate.record import Leaving
from dictate.vocabulary import load_vocabulary

RULE = """
[[look_again]]
id = "mine"
signs = ["SIGN"]
regions = ["REGION"]
species = ["chicken"]
by = 3
because = "I want to see it"
source = "myself"
standing = "own"
"""
LAW = """
[[regime]]
id = "island"
place = "island"
called = "the island"
since = SINCE
factor = FACTOR
source = "its own law"
standing = "memory"
"""


def test_a_keepers_own_rule_is_added(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text(
        RULE.replace("SIGN", "blister").replace("REGION", "breast")
        + LAW.replace("SINCE", "2030-01-01").replace("FACTOR", "2.0")
    )
    words = load_vocabulary(overlay=tmp_path)
    assert words.entries("look_again")["mine"].by == 3
    assert words.entries("regime")["island"].factor == 2
    assert "mites" in words.entries("look_again")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (RULE.replace("SIGN", "grumpy").replace("REGION", "breast"), '"grumpy" is not a sign'),
        (RULE.replace("SIGN", "blister").replace("REGION", "elbow"), '"elbow" is not a region'),
        (RULE.replace("SIGN", "blister").replace("REGION", "breast").replace("by = 3", "by = 0"), "key by"),
        (RULE.replace("SIGN", "blister").replace("REGION", "breast").replace('"own"', '"rumour"'), "key standing"),
        (LAW.replace("SINCE", '"soon"').replace("FACTOR", "2.0"), "key since"),
        (LAW.replace("SINCE", "2030-01-01").replace("FACTOR", "0.5"), "key factor"),
    ],
)
def test_a_faulty_rule_is_told(tmp_path: Path, text: str, told: str) -> None:
    (tmp_path / "own.toml").write_text(text)
    with pytest.raises(LexiconError, match=told):
        load_vocabulary(overlay=tmp_path)


def test_each_word_of_an_event_means_one() -> None:
    events = load_vocabulary().entries("event")
    for form in ("say", "told"):
        said = Counter(phrase.casefold() for event in events.values() for phrase in getattr(event, form))
        assert max(said.values()) == 1
    assert {name for name, event in events.items() if event.leaves} == set(get_args(Leaving))
    assert all(event.ends in events for event in events.values() if event.ends)


def test_rules_are_no_words_of_dictation() -> None:
    """The parser and the recogniser know nothing of them."""
    assert not {meaning.kind for _, meaning in load_vocabulary().phrases()} & {
        "look_again", "regime", "event", "exam_kind", "course_word",
    }
