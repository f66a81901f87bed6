"""Settings: defaults as data, the user's file, the environment, what was given; all faults at once."""

from __future__ import annotations

import tomllib
from dataclasses import fields
from pathlib import Path

import pytest

from dictate.errors import SettingsError
from dictate.settings import Settings, default_settings, load_settings, settings_path


@pytest.fixture
def own_file(tmp_path: Path) -> Path:
    return tmp_path / "mine" / "settings.toml"


def write(file: Path, text: str) -> Path:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return file


def test_every_setting_has_a_default_and_every_default_is_a_setting() -> None:
    import dictate.settings

    shipped = Path(dictate.settings.__file__).with_name("settings_default.toml")
    assert set(tomllib.loads(shipped.read_text(encoding="utf-8"))) == {f.name for f in fields(Settings)}


def test_the_log_lies_in_the_users_data_folder(own_home: Path) -> None:
    settings = default_settings()
    assert settings.log.is_relative_to(own_home)
    assert settings.log_is_default
    assert not load_settings(environment={}, log="/elsewhere/flock.db").log_is_default


def test_file_then_environment_then_given(own_file: Path) -> None:
    write(own_file, 'holding = "file"\nexaminer = "file"\nvet_phone = "file"')
    variables = {"DICTATE_EXAMINER": "variable", "DICTATE_VET_PHONE": "variable"}
    settings = load_settings(own_file, variables, vet_phone="given", log=None)
    assert (settings.holding, settings.examiner, settings.vet_phone) == ("file", "variable", "given")


def test_the_users_own_file_is_read_where_it_lies(own_home: Path) -> None:
    write(settings_path(), 'holding = "Mossy Gate"')
    assert load_settings().holding == "Mossy Gate"
    assert default_settings().holding == ""


def test_a_variable_may_name_the_file(own_file: Path) -> None:
    write(own_file, 'date_order = "year-month-day"')
    assert load_settings(environment={"DICTATE_SETTINGS": str(own_file)}).date_order == "year-month-day"


def test_a_list_in_a_variable_has_commas() -> None:
    settings = load_settings(environment={"DICTATE_LISTENERS": "pocketsphinx, whisper"})
    assert settings.listeners == ("pocketsphinx", "whisper")


def test_a_path_in_the_file_counts_from_the_files_folder(own_file: Path) -> None:
    write(own_file, 'vosk_model = "english"\nwhisper_model = ""')
    settings = load_settings(own_file)
    assert settings.vosk_model == own_file.parent / "english"
    assert settings.whisper_model is None


@pytest.mark.parametrize(
    ("variable", "text", "value"),
    [
        ("SURE_AT", "0.95", 0.95), ("BACKUP_BEFORE_MIGRATION", "false", False),
        ("KEEP_RECORDINGS", "never", "never"),
    ],
)
def test_text_of_a_variable_becomes_the_right_kind(variable: str, text: str, value: object) -> None:
    settings = load_settings(environment={f"DICTATE_{variable}": text})
    assert getattr(settings, variable.lower()) == value


def test_all_faults_are_told_at_once(own_file: Path) -> None:
    write(own_file, 'keep_recordings = "sometimes"\nexaminr = "A"\nlisteners = [3]')
    with pytest.raises(SettingsError) as caught:
        load_settings(own_file, {"DICTATE_SURE_AT": "high"})
    text = caught.value.sentence()
    assert "4 fault(s)" in text
    assert "perhaps 'examiner'?" in text
    for word in ("keep_recordings", "listeners", "DICTATE_SURE_AT", "always", str(own_file)):
        assert word in text


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("sure_at = 1.2", "between 0 and 1"),
        ("sure_at = 0.5\ncheck_at = 0.7", "above sure_at"),
        ("listeners = []", "at least one"),
        ("log = 3", "log"),
        ("log = [", "not TOML"),
    ],
)
def test_what_makes_no_sense_is_refused(own_file: Path, text: str, word: str) -> None:
    with pytest.raises(SettingsError, match=word):
        load_settings(write(own_file, text))


def test_a_file_that_was_named_must_be_there(own_file: Path) -> None:
    with pytest.raises(SettingsError, match="no such file"):
        load_settings(own_file)
    with pytest.raises(SettingsError, match="no such file"):
        load_settings(environment={"DICTATE_SETTINGS": str(own_file)})
