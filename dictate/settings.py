"""The settings: defaults as data, the user's file over them, the environment over that.

settings_default.toml beside this file lists every setting with its meaning. The user's file
is settings.toml in the user's config folder, or the file that DICTATE_SETTINGS names; each
setting NAME may also be given as DICTATE_NAME.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from importlib.resources import files
from pathlib import Path
from typing import Any, ClassVar, Literal

import platformdirs

from dictate.errors import SettingsError

__all__ = ["Settings", "default_settings", "load_settings", "settings_path"]

PREFIX = "DICTATE_"
FILE_VARIABLE = "DICTATE_SETTINGS"
APPLICATION = "dictate"
PATHS = ("log", "lexicon", "cache", "recordings", "vosk_model", "whisper_model")


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """All settings of a run. Paths are absolute; a model path of None means none was given."""

    log: Path
    lexicon: Path
    cache: Path
    recordings: Path
    holding: str
    examiner: str
    listeners: tuple[str, ...]
    second_listener: bool
    vosk_model: Path | None
    whisper_model: Path | None
    keep_recordings: Literal["always", "until-confirmed", "never"]
    sure_at: float
    check_at: float
    weight_unit: Literal["g", "kg", "lb"]
    temperature_unit: Literal["C", "F"]
    length_unit: Literal["mm", "in"]
    date_order: Literal["day-month-year", "month-day-year", "year-month-day"]
    head_to_tail: tuple[str, ...]
    regime: str
    answers: Literal["silent", "tones", "speech"]
    minutes_in_hand: float
    ask_after_seconds: float
    answer_within_seconds: float
    vet_phone: str
    authority_phone: str
    backup_before_migration: bool

    __pydantic_config__: ClassVar[Any] = {"extra": "forbid"}

    @property
    def log_is_default(self) -> bool:
        """Whether the log lies in the user's data folder (which may then be made)."""
        return self.log == _default_paths()["log"]


def settings_path(environment: Mapping[str, str] | None = None) -> Path:
    """The user's settings file, whether it exists or not."""
    named = (os.environ if environment is None else environment).get(FILE_VARIABLE)
    if named:
        return Path(named).expanduser().absolute()
    return platformdirs.user_config_path(APPLICATION, appauthor=False) / "settings.toml"


def default_settings() -> Settings:
    """The settings of a user who has said nothing."""
    return load_settings(environment={})


def load_settings(
    path: Path | None = None,
    environment: Mapping[str, str] | None = None,
    **given: Any,
) -> Settings:
    """The settings from defaults, file, environment and `given` (command line), last one wins.

    `path` names the file instead of settings_path(); it must exist then, as must one that
    DICTATE_SETTINGS names. `environment` defaults to os.environ; an empty one also leaves out
    the user's file. A `given` value of None counts as not given.
    Raises SettingsError naming every fault at once.
    """
    environment = os.environ if environment is None else environment
    own = dict(_shipped())
    sources = dict.fromkeys(own, "the defaults")
    faults: list[str] = []

    def take(name: str, value: Any, source: str) -> None:
        if name in own:
            own[name], sources[name] = value, source
        else:
            faults.append(f"{source}: there is no setting {name!r}{_like(name, own)}")

    file = path or (settings_path(environment) if environment else None)
    if file is not None:
        must_be = path is not None or bool(environment.get(FILE_VARIABLE))
        for name, value in _read_file(file, must_be).items():
            take(name, _beside(file, name, value), str(file))
    for variable, text in environment.items():
        if variable.startswith(PREFIX) and variable != FILE_VARIABLE:
            name = variable.removeprefix(PREFIX).lower()
            take(name, _from_text(own.get(name), text), variable)
    for name, value in given.items():
        if value is not None:
            take(name, value, "as given")
    settings, more = _checked(own, sources)
    faults += more
    if faults or settings is None:
        raise SettingsError(
            "reading the", "settings", "\n  ".join([f"{len(faults)} fault(s)", *faults]),
            "Put them right; settings_default.toml lists what may be set.",
        )
    return settings


def _shipped() -> dict[str, Any]:
    return tomllib.loads(files("dictate").joinpath("settings_default.toml").read_text(encoding="utf-8"))


def _read_file(file: Path, must_be: bool) -> dict[str, Any]:
    try:
        return tomllib.loads(file.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        if must_be:
            raise SettingsError("reading the settings file", str(file), "there is no such file") from None
        return {}
    except OSError as error:
        raise SettingsError("reading the settings file", str(file), error.strerror or str(error)) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SettingsError("reading the settings file", str(file), f"it is not TOML: {error}") from error


def _beside(file: Path, name: str, value: Any) -> Any:
    """A path in the file counts from the folder of the file."""
    if name in PATHS and isinstance(value, str) and value:
        return str(file.parent / Path(value).expanduser())
    return value


def _from_text(default: Any, text: str) -> Any:
    """A variable's text as the kind of value that the setting has: lists have commas between."""
    if isinstance(default, list):
        return [part.strip() for part in text.split(",") if part.strip()]
    return text


def _checked(own: dict[str, Any], sources: Mapping[str, str]) -> tuple[Settings | None, list[str]]:
    """The settings, or a sentence for each value that is not allowed."""
    from pydantic import TypeAdapter, ValidationError

    values = {name: _path(name, value) if name in PATHS else value for name, value in own.items()}
    faults: list[str] = []
    try:
        settings = TypeAdapter(Settings).validate_python(values)
    except ValidationError as error:
        for fault in error.errors():
            name = str(fault["loc"][0])
            found = "" if isinstance(own[name], list) else f", found {own[name]!r}"
            faults.append(f"{sources[name]}: {name}: {_lowered(fault['msg'])}{found}")
        return None, faults
    for name in ("sure_at", "check_at"):
        if not 0 <= getattr(settings, name) <= 1:
            faults.append(f"{sources[name]}: {name}: a score lies between 0 and 1, found {own[name]!r}")
    for name in ("minutes_in_hand", "ask_after_seconds", "answer_within_seconds"):
        if getattr(settings, name) < 0:
            faults.append(f"{sources[name]}: {name}: it may not be below 0, found {own[name]!r}")
    if settings.check_at > settings.sure_at:
        faults.append(f"{sources['check_at']}: check_at: it may not be above sure_at ({settings.sure_at})")
    if not settings.listeners:
        faults.append(f"{sources['listeners']}: listeners: at least one is needed")
    return settings, faults


def _path(name: str, value: Any) -> Any:
    if value in ("", None):
        return _default_paths().get(name)
    return Path(value).expanduser().absolute() if isinstance(value, str | Path) else value


def _default_paths() -> dict[str, Path]:
    data = platformdirs.user_data_path(APPLICATION, appauthor=False)
    return {
        "log": data / "flock.db",
        "lexicon": platformdirs.user_config_path(APPLICATION, appauthor=False) / "lexicon",
        "cache": platformdirs.user_cache_path(APPLICATION, appauthor=False),
        "recordings": data / "recordings",
    }


def _like(name: str, known: Iterable[str]) -> str:
    close = get_close_matches(name, known, n=1)
    return f"; perhaps {close[0]!r}?" if close else ""


def _lowered(message: str) -> str:
    return message[:1].lower() + message[1:]
