"""What was not spoken of is shown, and is never taken for normal."""

from __future__ import annotations

import pytest

from dictate.live.coverage import not_looked_at
from dictate.model import Exam, Finding

ORDER, PAIRED = ("comb", "eye", "crop", "foot pad"), {"eye", "foot pad"}


@pytest.mark.parametrize(
    ("findings", "left"),
    [
        ([], ("comb", "eye", "crop", "foot pad")),
        ([Finding("comb", "normal"), Finding("crop", "impaction", presence="absent")], ("eye", "foot pad")),
        ([Finding("eye", "normal", side="left")], ("comb", "right eye", "crop", "foot pad")),
        ([Finding("eye", "normal", side="both")], ("comb", "crop", "foot pad")),
        ([Finding("eye", "redness", side="right"), Finding("eye", "normal", side="left")],
         ("comb", "crop", "foot pad")),
        ([Finding("foot pad", "hardened")], ("comb", "eye", "crop")),
        ([Finding("comb", "frostbite", when="past")], ("comb", "eye", "crop", "foot pad")),
        ([Finding("tail", "normal")], ("comb", "eye", "crop", "foot pad")),
    ],
)
def test_not_looked_at(findings: list[Finding], left: tuple[str, ...]) -> None:
    assert not_looked_at(Exam(findings=tuple(findings)), ORDER, PAIRED) == left


def test_after_the_rest_is_normal_nothing_is_left() -> None:
    assert not_looked_at(Exam(rest_normal=True), ORDER, PAIRED) == ()
