"""Cautions where they apply, each once: what to wear, whom to keep away, when to put a bird down."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import lru_cache
from importlib.resources import files
from typing import Any

from pydantic import BaseModel, ConfigDict

from dictate.care.concern_rules import Level, OnePattern, said
from dictate.model import Exam

__all__ = ["Caution", "all_cautions", "cautions_for"]


class Caution(BaseModel):
    """One caution: it applies to concerns of these `levels`, to exams with one of these `signs`, or with an
    action of these kinds (whose words hold one of `said`, where that is given)."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)

    id: str
    text: str
    source: str
    levels: tuple[Level, ...] = ()
    signs: tuple[OnePattern, ...] = ()
    actions: tuple[str, ...] = ()
    said: tuple[str, ...] = ()

    def fits(self, exam: Exam) -> bool:
        """Whether something found or done in an exam calls for it."""
        return self._by_sign(exam) or self._by_action(exam)

    def _by_sign(self, exam: Exam) -> bool:
        return any(
            pattern.fits(f.region, f.sign)
            for f in exam.findings if f.when == "now" and f.presence == "present"
            for pattern in self.signs
        )

    def _by_action(self, exam: Exam) -> bool:
        return any(
            action.kind in self.actions
            and (not self.said or bool(said(f"{action.quote} {action.detail or ''}", self.said)))
            for action in exam.actions
        )


@lru_cache(maxsize=1)
def all_cautions() -> tuple[Caution, ...]:
    """All cautions, in the order in which they are shown."""
    text = files("dictate.care").joinpath("cautions.toml").read_text(encoding="utf-8")
    rows: list[dict[str, Any]] = tomllib.loads(text)["caution"]
    return tuple(Caution.model_validate(row) for row in rows)


def cautions_for(
    exams: Iterable[Exam] = (), *, levels: Iterable[Level] = (), named: Iterable[str] = (),
    shown: Iterable[str] = (),
) -> list[Caution]:
    """The cautions that exams, levels of concern or rules (`named`) call for, each once and none that was
    `shown` already. One more particular caution about a treatment stands in for the general one."""
    exams, wanted_levels, names, before = list(exams), set(levels), set(named), set(shown)
    found = [
        one for one in all_cautions()
        if (one.id in names or wanted_levels & set(one.levels) or any(one.fits(exam) for exam in exams))
    ]
    particular = {kind for one in found if one.said for kind in one.actions}
    return [
        one for one in found
        if one.id not in before and (one.said or not one.actions or not particular >= set(one.actions))
    ]
