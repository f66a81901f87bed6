"""No test touches the settings, the log or the caches of whoever runs it."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))  # labelled.py, scoring_of_records.py, stored_exams.py …

settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.register_profile("here", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "here")


@pytest.fixture(scope="session")
def cache_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One cache for the whole run: what is built from the lexicon is built once."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(autouse=True)
def own_home(
    tmp_path_factory: pytest.TempPathFactory, cache_home: Path, monkeypatch: pytest.MonkeyPatch
) -> Path:
    """Settings, log and reports of each test lie in a folder of its own."""
    home = tmp_path_factory.mktemp("home")
    for name in [name for name in os.environ if name.startswith("DICTATE_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("XDG_CACHE_HOME", str(cache_home))
    for kind in ("DATA", "CONFIG", "STATE"):
        monkeypatch.setenv(f"XDG_{kind}_HOME", str(home / kind.lower()))
    return home
