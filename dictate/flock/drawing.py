"""Which birds to examine, drawn by chance, and in which order to go round so that nothing is carried to the well.

The order is the usual one of biosecurity (common practice, from memory): pens of the young and well first, pens
with a sick bird after them, birds in quarantine last of all; in a pen the well before the sick. Between
pens there is a stop to wash and change.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from dictate.errors import UsageError
from dictate.record import BirdRecord

__all__ = ["Draw", "Stop", "draw", "in_order"]

State = Literal["well", "sick", "quarantine"]
RANK: dict[State, int] = {"well": 0, "sick": 1, "quarantine": 2}


@dataclass(frozen=True, slots=True)
class Stop:
    """Birds to examine one after the other without washing in between: of one pen (None: no pen is
    known), and either all in quarantine or none."""

    pen: str | None
    state: State
    birds: tuple[BirdRecord, ...]


@dataclass(frozen=True, slots=True)
class Draw:
    """The birds drawn, in the order to go; the number that gives the same draw again; of how many they
    were drawn; and those that were taken first because they were asked for."""

    stops: tuple[Stop, ...]
    seed: int
    of: int
    first: tuple[BirdRecord, ...] = ()

    @property
    def birds(self) -> tuple[BirdRecord, ...]:
        return tuple(bird for stop in self.stops for bird in stop.birds)


def draw(
    birds: Iterable[BirdRecord], number: int, seed: int, *, sick: Collection[str] = (),
    quarantine: Collection[str] = (), first: Sequence[str] = (),
) -> Draw:
    """Draw `number` birds, each equally likely; those whose ids stand in `first` are taken before any is
    drawn, in that order (then what the birds say of the flock holds only for the others).

    `sick` and `quarantine` are ids. The same seed and birds give the same draw. Raises UsageError where
    there are not so many birds.
    """
    listed = sorted(birds, key=lambda bird: bird.id)
    if not 0 <= number <= len(listed):
        raise UsageError("drawing", f"{number} birds", f"there are {len(listed)}")
    by_id = {bird.id: bird for bird in listed}
    wanted = [by_id[one] for one in dict.fromkeys(first) if one in by_id][:number]
    taken = {bird.id for bird in wanted}
    rest = [bird for bird in listed if bird.id not in taken]
    chosen = [*wanted, *random.Random(seed).sample(rest, number - len(wanted))]
    states: dict[str, State] = dict.fromkeys(sick, "sick")
    states |= dict.fromkeys(quarantine, "quarantine")
    return Draw(in_order(chosen, states, listed), seed, len(listed), tuple(wanted))


def in_order(
    birds: Iterable[BirdRecord], states: Mapping[str, State], flock: Iterable[BirdRecord] = ()
) -> tuple[Stop, ...]:
    """The birds by stops, in the order to go. `states` are by id; who is in none is well. A pen counts as
    one with sick birds also where those of `flock` that are sick in it were not drawn."""
    pens: dict[tuple[bool, str | None], list[BirdRecord]] = defaultdict(list)
    birds = list(birds)
    for bird in birds:
        pens[states.get(bird.id) == "quarantine", bird.pen].append(bird)
    troubled = {bird.pen for bird in (*flock, *birds) if states.get(bird.id) == "sick"}
    stops = []
    for (apart, pen), own in pens.items():
        state: State = "quarantine" if apart else "sick" if pen in troubled else "well"
        own.sort(key=lambda b: (RANK[states.get(b.id, "well")], *_young_first(b), b.label.casefold()))
        stops.append(Stop(pen, state, tuple(own)))
    stops.sort(key=lambda s: (RANK[s.state], min(_young_first(b) for b in s.birds), s.pen is None, s.pen or ""))
    return tuple(stops)


def _young_first(bird: BirdRecord) -> tuple[bool, int]:
    """Sorts the youngest first, those of unknown age after all."""
    return bird.hatched is None, -(bird.hatched or date.min).toordinal()
