"""What was given before the command, and the things that every command gets by it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from dictate.vocabulary import Vocabulary

__all__ = ["Given", "given"]


@dataclass(frozen=True, slots=True)
class Given:
    """The options before the command; None where the settings decide."""

    log: Path | None = None
    lexicon: Path | None = None

    def vocabulary(self) -> Vocabulary:
        """The words in force. Raises LexiconError where they are faulty."""
        from dictate.vocabulary import load_vocabulary

        return load_vocabulary(self.lexicon, None)


def given(ctx: typer.Context) -> Given:
    """What was given before the command that runs in `ctx`."""
    return ctx.obj if isinstance(ctx.obj, Given) else Given()
