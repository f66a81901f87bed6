"""Sound → Utterances: recordings, the microphone, and one file for each recogniser.

    open_sound(path) → Recording → blocks of samples ─┐
    microphone()     →             blocks of samples ─┤
                                                      └→ Listener.begin() → Hearing.feed(block) → Utterances
    hear(path, listeners) → Heard                        does the whole way for a file
"""

from __future__ import annotations

from dictate.speech.hear import Heard, hear
from dictate.speech.listener import (
    LISTENERS,
    Hearing,
    Listener,
    ListenerOptions,
    hear_blocks,
    installed_listeners,
    open_listener,
)
from dictate.speech.sound import RATE, Recording, open_sound, read_sound

__all__ = [
    "LISTENERS", "RATE", "Heard", "Hearing", "Listener", "ListenerOptions", "Recording",
    "hear", "hear_blocks", "installed_listeners", "open_listener", "open_sound", "read_sound",
]
