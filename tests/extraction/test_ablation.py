"""The ablation benchmark takes away mechanisms by name: each name must be one of the parser's."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "benchmarks"))

import ablation
from ablation import CODE, replaced

from dictate.extraction.assemble import Extractor


@pytest.mark.parametrize("name", sorted(CODE))
def test_every_mechanism_of_the_ablation_is_there(extractor: Extractor, name: str) -> None:
    module, owner, function, stand_in = CODE[name]
    home = importlib.import_module(f"dictate.extraction.{module}")
    home = getattr(home, owner) if owner else home
    before = getattr(home, function)
    with replaced(module, owner, function, stand_in):
        assert getattr(home, function) is not before
        extractor.text("Blue 42. Left eye closed, scab on the comb, a bit, no mites, the meant is clean.")
    assert getattr(home, function) is before


def test_a_mechanism_that_is_not_there_is_told() -> None:
    with pytest.raises(AttributeError), replaced("repair", "Repairer", "nothing_of_the_kind", lambda: None):
        pass
    assert ablation.CODE
