"""All that mends what was understood before, in one object for the reader."""

from __future__ import annotations

from dictate.extraction.afterthoughts import Afterthoughts
from dictate.extraction.backward import Backward
from dictate.extraction.corrections import Corrections
from dictate.extraction.denials import Denials
from dictate.extraction.repeats import Repeats

__all__ = ["Mender"]


class Mender(Corrections, Repeats, Denials, Backward, Afterthoughts):
    """Changes to what has been understood so far."""
