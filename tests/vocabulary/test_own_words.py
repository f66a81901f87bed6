"""A keeper's own folder is laid over the shipped words: added to, taken from, never in the way of an upgrade."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from dictate.errors import LexiconError, UsageError
from dictate.extraction import extract_text
from dictate.extraction.examples import finding_note
from dictate.vocabulary import Vocabulary, load_vocabulary
from dictate.vocabulary.own_words import add_phrase, meanings_of

Lay = Callable[[str], Vocabulary]


@cache
def shipped_words() -> Vocabulary:
    return load_vocabulary()


@pytest.fixture
def lay(tmp_path: Path) -> Lay:
    """Load the shipped words with a keeper's file over them."""

    def with_file(text: str) -> Vocabulary:
        (tmp_path / "own.toml").write_text(text, encoding="utf-8")
        return load_vocabulary(overlay=tmp_path)

    return with_file


def found(text: str, vocabulary: Vocabulary) -> set[str]:
    return {finding_note(f) for exam in extract_text(text, vocabulary).exams for f in exam.findings}


def test_a_phrase_is_added_and_the_others_stay(lay: Lay) -> None:
    shipped = shipped_words()
    own = lay('[[sign]]\nid = "swelling"\nsay = ["flumpish"]')
    assert own.signs["swelling"].say == (*shipped.signs["swelling"].say, "flumpish")
    assert own.signs["swelling"].noun == shipped.signs["swelling"].noun
    assert own.signs["redness"] == shipped.signs["redness"]
    assert found("The left hock is flumpish.", shipped) == set()
    assert found("The left hock is flumpish.", own) == {"hock left: swelling"}


def test_a_phrase_that_is_there_already_is_not_doubled(lay: Lay) -> None:
    word = shipped_words().signs["swelling"].say[0]
    assert lay(f'[[sign]]\nid = "swelling"\nsay = ["{word}"]').signs["swelling"].say.count(word) == 1


def test_a_phrase_is_dropped(lay: Lay) -> None:
    assert found("The comb is pale.", shipped_words()) == {"comb: pallor"}
    own = lay('[[sign]]\nid = "pallor"\ndrop = ["pale"]')
    assert "pale" not in own.signs["pallor"].say
    assert found("The comb is pale.", own) == set()


def test_dropping_and_adding_at_once(lay: Lay) -> None:
    own = lay('[[sign]]\nid = "pallor"\nsay = ["wan"]\ndrop = ["pale"]')
    assert "wan" in own.signs["pallor"].say
    assert "pale" not in own.signs["pallor"].say


def test_a_phrase_of_one_region_is_dropped(lay: Lay) -> None:
    assert found("The left eye is bloodshot.", shipped_words()) == {"eye left: redness"}
    own = lay('[[sign]]\nid = "redness"\ndrop = ["bloodshot"]')
    assert "bloodshot" not in own.signs["redness"].on["eye"]
    assert own.signs["redness"].on["eye"]
    assert "eye left: redness" not in found("The left eye is bloodshot.", own)


def test_a_phrase_for_one_region_is_added(lay: Lay) -> None:
    shipped = shipped_words()
    own = lay('[[sign]]\nid = "redness"\n[sign.on]\neye = ["flumpish"]')
    assert own.signs["redness"].on["eye"] == (*shipped.signs["redness"].on["eye"], "flumpish")
    assert own.signs["redness"].on["vent"] == shipped.signs["redness"].on["vent"]
    assert found("The left eye is flumpish.", own) == {"eye left: redness"}


def test_a_single_value_is_replaced(lay: Lay) -> None:
    assert lay('[[cue]]\nid = "none-after"\nreach = 3').cues["none-after"].reach == 3


def test_a_new_sign_is_understood_at_once(lay: Lay) -> None:
    own = lay('[[sign]]\nid = "flump"\nnoun = ["flump"]\nusual = ["comb"]')
    assert found("There is no flump on the comb.", own) == {"comb: no flump"}


def test_the_shipped_files_are_not_changed_by_an_overlay(lay: Lay) -> None:
    before = shipped_words()
    lay('[[sign]]\nid = "pallor"\nsay = ["wan"]\ndrop = ["pale"]')
    after = load_vocabulary()
    assert after.digest == before.digest
    assert list(after.phrases()) == list(before.phrases())


def test_any_change_of_a_word_changes_the_digest(lay: Lay) -> None:
    digests = {
        shipped_words().digest, lay('[[sign]]\nid = "pallor"\nsay = ["wan"]').digest,
        lay('[[sign]]\nid = "pallor"\nsay = ["wann"]').digest,
    }
    assert len(digests) == 3


def test_a_missing_folder_is_no_fault(tmp_path: Path) -> None:
    assert load_vocabulary(overlay=tmp_path / "none").digest == shipped_words().digest


# -- words added by command


def test_added_phrases_are_understood_and_stand_in_one_file(tmp_path: Path) -> None:
    folder = tmp_path / "words"
    first = add_phrase(folder, "sign", "swelling", "flumpish")
    second = add_phrase(folder, "sign", "swelling", "well  flumped")
    assert first == second
    assert found("Left hock flumpish, right hock well flumped.", load_vocabulary(overlay=folder)) == {
        "hock left: swelling", "hock right: swelling",
    }


def test_what_a_person_wrote_stays_as_it_is(tmp_path: Path) -> None:
    text = '# mine\n[[sign]]\nid = "swelling"   # puffy\nsay = [\n  "flumpish",  # says Gran\n]\n'
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    path = add_phrase(tmp_path, "sign", "swelling", "flumped")
    assert path == tmp_path / "mine.toml"
    now = path.read_text(encoding="utf-8")
    assert now.replace('"flumped", ', "") == text
    assert load_vocabulary(overlay=tmp_path).signs["swelling"].say[-2:] == ("flumped", "flumpish")


def test_quotes_and_backslashes_in_a_phrase_do_no_harm(tmp_path: Path) -> None:
    add_phrase(tmp_path, "sign", "swelling", 'flump "big" \\ n')
    assert 'flump "big" \\ n' in load_vocabulary(overlay=tmp_path).signs["swelling"].say


def test_an_empty_phrase_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UsageError):
        add_phrase(tmp_path / "words", "sign", "swelling", "   ")
    assert not (tmp_path / "words").exists()


def test_a_faulty_folder_is_told_and_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('[[sign]]\nid = "swelling"\nsays = ["x"]\n', encoding="utf-8")
    with pytest.raises(LexiconError, match="key says"):
        add_phrase(tmp_path, "sign", "redness", "flumpish")
    assert [path.name for path in tmp_path.iterdir()] == ["mine.toml"]


def test_what_a_word_means() -> None:
    vocabulary = shipped_words()
    assert meanings_of("swelling", vocabulary) == [("sign", "swelling")]
    assert ("region", "nare") in meanings_of("nostril", vocabulary)
    assert meanings_of("flumpish", vocabulary) == []
