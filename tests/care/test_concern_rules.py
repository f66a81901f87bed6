"""The data of concerns and cautions: names that the lexicon has, sources with their marks, no diagnosis."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib.resources import files

import pytest

from dictate.care.cautions import all_cautions, cautions_for
from dictate.care.concern_rules import Pattern, concern_rules, higher, lower, said
from dictate.model import Action, Exam, Finding
from dictate.vocabulary import load_vocabulary

RULES = concern_rules()

# Names of diseases that must be reported, and of others: a keeper's words may hold them, ours never do.
DIAGNOSES = re.compile(
    r"\b(?:avian influenza|influenza|bird flu|hpai|newcastle|marek|coryza|mycoplasma\w*|bronchitis|laryngotracheitis"
    r"|coccidiosis|botulism|fowl pox|cholera|salmonell\w+|psittacosis|peritonitis|candid\w+|aspergill\w+|leucosis)\b",
    re.IGNORECASE,
)
AMOUNTS = re.compile(
    r"\d\s*(?:mg|ml|cc|drops)\b|\bdose\b|\bantibiotic|\w+(?:mectin|methrin|cycline|cillin)\b", re.IGNORECASE
)


def patterns() -> Iterator[Pattern]:
    for group in RULES.group:
        yield from group.signs
    for alone in RULES.alone:
        yield from (*alone.signs, *alone.unless)
    for together in RULES.together:
        for row in together.all:
            yield from row
    for caution in all_cautions():
        yield from caution.signs


def test_rules_speak_of_parts_signs_and_measures_that_the_lexicon_has() -> None:
    vocabulary = load_vocabulary()
    for pattern in patterns():
        assert (pattern.regions or frozenset()) <= set(vocabulary.regions)
        assert pattern.sign is None or pattern.sign in vocabulary.signs
    assert {rule.measure for rule in (*RULES.change, *RULES.range)} <= set(vocabulary.measures)
    counts = RULES.counts
    kinds = {counts.deaths, counts.sick, counts.odd, *(fall.kind for fall in RULES.fall)}
    assert kinds <= set(vocabulary.observations)
    assert {kind for caution in all_cautions() for kind in caution.actions} <= set(vocabulary.actions)


def test_facts_that_a_pen_is_judged_by_are_facts_that_are_counted() -> None:
    counted = {"deaths", "deaths_day", "sick", "strong", "alike", "kinds", "falls", "odd"}
    kinds = {fall.kind for fall in RULES.fall}
    assert {name.removesuffix("_up") for rule in RULES.flock for name in rule.when} <= counted | kinds


def test_every_rule_has_sources_and_every_source_its_mark() -> None:
    known = {one.id for one in RULES.source}
    judged = (*RULES.alone, *RULES.together, *RULES.change, *RULES.range, *RULES.flock)
    assert all(rule.source and set(rule.source) <= known for rule in judged)
    used = {name for rule in judged for name in rule.source}
    assert used == known
    assert "(from memory)" in RULES.sources(["msd"])


@pytest.mark.parametrize("name", ["concerns.toml", "cautions.toml"])
def test_no_text_names_what_ails_a_bird_or_an_amount(name: str) -> None:
    text = files("dictate.care").joinpath(name).read_text(encoding="utf-8")
    assert not DIAGNOSES.search(text)
    assert not AMOUNTS.search(text)


def test_doubt_lowers_a_level_but_never_to_none() -> None:
    assert (lower("authority"), lower("vet"), lower("watch")) == ("vet", "watch", "watch")
    assert (higher(None, "watch"), higher("vet", "authority")) == ("watch", "authority")


def test_whole_words_are_looked_for() -> None:
    assert said("the fox was here", ("fox",))
    assert not said("foxglove by the run", ("fox",))
    assert not said("anything", ())


def caution_ids(*exams: Exam, **more: object) -> list[str]:
    return [one.id for one in cautions_for(exams, **more)]  # type: ignore[arg-type]


def test_a_caution_comes_where_it_applies_and_once() -> None:
    gasping = Exam(findings=(Finding("breathing", "open-mouth breathing"),))
    dusted = Exam(actions=(Action("treat", quote="dusted her"),))
    treated = Exam(actions=(Action("treat", quote="treated her"),))
    assert caution_ids(gasping, gasping) == ["put-down"]
    assert caution_ids(dusted) == ["dusts"]
    assert caution_ids(treated) == ["medicines"]
    assert caution_ids(dusted, shown=["dusts"]) == []
    assert caution_ids(levels=["watch"]) == ["hands"]
    assert {"stop-movement", "protect-yourself", "hands"} <= set(caution_ids(levels=["authority"]))


@pytest.mark.parametrize("finding", [
    Finding("breathing", "open-mouth breathing", presence="absent"),
    Finding("breathing", "open-mouth breathing", when="past"),
    Finding("crop", "full"),
])
def test_no_caution_for_what_is_not_there(finding: Finding) -> None:
    assert caution_ids(Exam(findings=(finding,))) == []
