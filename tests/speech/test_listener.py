"""Listeners are opened by name; what does not exist says so."""

from __future__ import annotations

import builtins
from typing import Any

import pytest

from dictate.errors import ListenerError
from dictate.speech import LISTENERS, open_listener


def test_an_unknown_name_lists_the_known_ones() -> None:
    with pytest.raises(ListenerError) as raised:
        open_listener("parrot", None)  # type: ignore[arg-type]
    assert all(name in raised.value.remedy for name in LISTENERS)


def test_every_listed_name_has_its_module() -> None:
    import importlib

    for module in LISTENERS.values():
        assert callable(importlib.import_module(module).open_listener)


def test_pocketsphinx_not_installed_is_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *args: Any, **kwargs: Any) -> Any:
        if name == "pocketsphinx":
            raise ImportError(name)
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(ListenerError, match="not installed"):
        open_listener("pocketsphinx", None)  # type: ignore[arg-type]
