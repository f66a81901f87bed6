"""What keepers might say, through parser, log and confirmation, to a level reasoned from a named source."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from vignettes import VARIANTS, Case, cases, judge, verdict

from dictate.care.concerns import Concerns
from dictate.log import FlockLog

HERE = Path(__file__).parent
CASES = cases(HERE / "vignettes.toml")
UNSEEN = cases(HERE / "unseen_vignettes.toml")
TAUGHT_FLOOR = 0.75  # "a prolapse would bleed": not all such talk is seen to be about no bird
UNSEEN_FLOOR = 0.75
LEVELS = ["none", "asked", "watch", "vet", "authority"]

Judged = dict[tuple[str, str], Concerns]


@pytest.fixture(scope="module")
def judged(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Judged]:
    with FlockLog.open(tmp_path_factory.mktemp("vignettes") / "flock.db") as log:
        yield judge([*CASES, *UNSEEN], log)


def test_there_are_enough_of_each_level() -> None:
    said = [case for case in CASES if case.variant == "said"]
    assert len(said) >= 60
    assert {level for case in said for level in case.levels} == set(LEVELS)


@pytest.mark.parametrize("case", [c for c in CASES if c.variant == "said" and not c.unread], ids=lambda c: c.name)
def test_the_level_is_the_one_reasoned_from_the_source(judged: Judged, case: Case) -> None:
    assert verdict(judged[case.name, case.variant]) in case.levels


@pytest.mark.parametrize("variant", VARIANTS[:2])
def test_nothing_comes_of_what_is_denied_or_past(judged: Judged, variant: str) -> None:
    wrong = [c.days[0][1] for c in CASES if c.variant == variant and verdict(judged[c.name, variant]) != "none"]
    assert wrong == []


def test_nothing_comes_of_most_of_what_is_taught(judged: Judged) -> None:
    taught = [case for case in CASES if case.variant == "taught"]
    right = sum(verdict(judged[case.name, "taught"]) == "none" for case in taught)
    assert right >= TAUGHT_FLOOR * len(taught)


def test_vignettes_not_looked_at_while_rules_were_made(judged: Judged) -> None:
    said = [case for case in UNSEEN if case.variant == "said"]
    right = sum(verdict(judged[case.name, "said"]) in case.levels for case in said)
    assert right >= UNSEEN_FLOOR * len(said)


def test_every_concern_has_dated_evidence_a_reason_and_a_source(judged: Judged) -> None:
    for found in judged.values():
        for concern in found.concerns:
            assert concern.reasons
            for reason in concern.reasons:
                assert reason.why
                assert found.rules.sources(reason.source)
                assert reason.evidence
                assert all(one.on <= found.on and one.what for one in reason.evidence)
