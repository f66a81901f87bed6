"""The settings: defaults as data, the user's file over them, the environment over that.

settings_default.toml beside this file lists every setting with its meaning. The user's file
is settings.toml in the user's config folder, or the file that DICTATE_SETTINGS names; each
setting NAME may also be given as DICTATE_NAME.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from importlib.resources import files
from pathlib import Path
from typing import Any, ClassVar, Literal

from dictate.errors import SettingsError

__all__ = ["Settings", "default_settings", "load_settings", "settings_path"]

PREFIX = "DICTATE_"
FILE_VARIABLE = "DICTATE_SETTINGS"


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
    raise NotImplementedError


def default_settings() -> Settings:
    """The settings of a user who has said nothing."""
    raise NotImplementedError


def load_settings(
    path: Path | None = None,
    environment: Mapping[str, str] | None = None,
    **given: Any,
) -> Settings:
    """The settings from defaults, file, environment and `given` (command line), last one wins.

    `path` names the file instead of settings_path(); it must exist then. `environment`
    defaults to os.environ. A `given` value of None counts as not given.
    Raises SettingsError naming every fault at once.
    """
    raise NotImplementedError


def _default_paths() -> dict[str, Path]:
    raise NotImplementedError


_ = (os, tomllib, fields, files, SettingsError)
