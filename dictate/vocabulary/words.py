"""The merged words, immutable, and the ways other rooms look at them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Any, TypeVar, cast

from dictate.vocabulary.compiled import Shelf
from dictate.vocabulary.entries import (
    BLOCKS,
    Action,
    BirdWord,
    Command,
    CueRule,
    Delay,
    Entry,
    Grade,
    Lookalike,
    Measure,
    NumberWord,
    ObservationKind,
    Region,
    SideWord,
    Sign,
    Spelling,
    Unit,
)

__all__ = ["Meaning", "Vocabulary"]

E = TypeVar("E", bound=Entry)


@dataclass(frozen=True, slots=True)
class Meaning:
    """One sense of a phrase: `kind` of entry, its `id`, the list it stands in (`form`), and for signs
    the regions it is limited to (empty: any)."""

    kind: str
    id: str
    form: str
    regions: tuple[str, ...] = ()


class Vocabulary:
    """All entries by kind and id. `digest` changes with any word in any file."""

    def __init__(self, entries: Mapping[str, list[Entry]], digest: str, shelf: Shelf | None = None) -> None:
        self._entries = {
            kind: MappingProxyType({entry.id: entry for entry in entries.get(kind, [])}) for kind in BLOCKS
        }
        self.digest = digest
        self.shelf = shelf or Shelf(None, digest)  # where what is made of the words is kept

    def _of(self, kind: str, _type: type[E]) -> Mapping[str, E]:
        return cast("Mapping[str, E]", self._entries[kind])

    @property
    def regions(self) -> Mapping[str, Region]:
        return self._of("region", Region)

    @property
    def signs(self) -> Mapping[str, Sign]:
        return self._of("sign", Sign)

    @property
    def grades(self) -> Mapping[str, Grade]:
        return self._of("grade", Grade)

    @property
    def sides(self) -> Mapping[str, SideWord]:
        return self._of("side", SideWord)

    @property
    def cues(self) -> Mapping[str, CueRule]:
        return self._of("cue", CueRule)

    @property
    def units(self) -> Mapping[str, Unit]:
        return self._of("unit", Unit)

    @property
    def measures(self) -> Mapping[str, Measure]:
        return self._of("measure", Measure)

    @property
    def actions(self) -> Mapping[str, Action]:
        return self._of("action", Action)

    @property
    def delays(self) -> Mapping[str, Delay]:
        return self._of("delay", Delay)

    @property
    def numbers(self) -> Mapping[str, NumberWord]:
        return self._of("number", NumberWord)

    @property
    def birds(self) -> Mapping[str, BirdWord]:
        return self._of("bird", BirdWord)

    @property
    def observations(self) -> Mapping[str, ObservationKind]:
        return self._of("observation", ObservationKind)

    @property
    def spellings(self) -> Mapping[str, Spelling]:
        return self._of("spelling", Spelling)

    @property
    def lookalikes(self) -> Mapping[str, Lookalike]:
        return self._of("lookalike", Lookalike)

    def entries(self, kind: str) -> Mapping[str, Any]:
        """All entries of a kind by id, for kinds without a property of their own."""
        return self._entries[kind]

    @cached_property
    def head_to_tail(self) -> tuple[str, ...]:
        """Region ids in the order of the exam."""
        return tuple(r.id for r in sorted(self.regions.values(), key=lambda region: region.order))

    def phrases(self) -> Iterator[tuple[str, Meaning]]:
        """Every phrase of every entry with its sense; the same phrase may come more than once."""
        for kind, entries in self._entries.items():
            if BLOCKS[kind].said:
                for entry in entries.values():
                    yield from _phrases_of(kind, entry)

    def spoken_phrases(self) -> tuple[str, ...]:
        """What may be said aloud, in small letters, each once, in order: no written short forms."""
        seen: dict[str, None] = {}
        for phrase, meaning in self.phrases():
            if not meaning.form.startswith(("short", "glued", "nil")) and any(c.isalpha() for c in phrase):
                seen.setdefault(phrase.lower())
        for command in self._entries["command"].values():  # said, but never part of a sentence
            seen.update(dict.fromkeys(phrase.lower() for phrase in command.say))
        seen.update(dict.fromkeys(self.examiner_phrases()))
        return tuple(seen)

    def examiner_phrases(self) -> dict[str, str]:
        """Whole phrases by which an examiner is named, in small letters, each with the name."""
        entry = cast("Command | None", self._entries["command"].get("examiner"))
        names = [
            (said.lower(), one.id) for one in self._entries["examiner"].values() for said in one.say or (one.id,)
        ]
        if entry is None:
            return {}
        return {
            phrase: name for said, name in names
            for phrase in (*(f"{b} {said}" for b in entry.before), *(f"{said} {a}" for a in entry.after))
        }


_NOT_PHRASES = frozenset(
    "id note home usual example expect code near refused limb feathered feather_signs not_of not_after".split()
)


def _phrases_of(kind: str, entry: Entry) -> Iterator[tuple[str, Meaning]]:
    for form in type(entry).model_fields:
        value = getattr(entry, form)
        if form in _NOT_PHRASES:
            continue
        if isinstance(value, tuple):
            for phrase in value:
                yield phrase, Meaning(kind, entry.id, form)
        elif form == "on":
            for region, phrases in value.items():
                for phrase in phrases:
                    yield phrase, Meaning(kind, entry.id, form, (region,))
