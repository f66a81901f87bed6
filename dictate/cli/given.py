"""What was given before the command, and the things that every command gets by it."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.settings import Settings
    from dictate.vocabulary import Vocabulary

__all__ = ["Given", "given", "parser_id"]


@dataclass(slots=True)
class Given:
    """The options before the command; None where the settings decide."""

    log: Path | None = None
    lexicon: Path | None = None
    _settings: Settings | None = field(default=None, repr=False)

    @property
    def settings(self) -> Settings:
        """All settings, with what was given over them. Raises SettingsError."""
        if self._settings is None:
            from dictate.settings import load_settings

            self._settings = load_settings(log=self.log)
        return self._settings

    def vocabulary(self) -> Vocabulary:
        """The words in force: those given or shipped, and the user's own over them. Raises LexiconError."""
        from dictate.vocabulary import load_vocabulary

        return load_vocabulary(self.lexicon, self.settings.lexicon, cache=self.settings.cache)

    def flock_log(self, *, create: bool = False) -> FlockLog:
        """The open log; made where `create` says so. Raises LogError."""
        from dictate.log import FlockLog

        return FlockLog.open(
            self.settings.log, create=create, make_folder=create and self.settings.log_is_default,
            backup=self.settings.backup_before_migration,
        )


def given(ctx: typer.Context) -> Given:
    """What was given before the command that runs in `ctx`."""
    return ctx.obj if isinstance(ctx.obj, Given) else Given()


def parser_id(vocabulary: Vocabulary) -> str:
    """Which program and which words understood something: kept with every draft."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        release = version("comb-to-vent")
    except PackageNotFoundError:
        release = "checkout"
    return f"dictate {release}, words {vocabulary.digest[:12]}"
