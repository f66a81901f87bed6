"""Finding the bird that a person typed, and what an exam of hers is about."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from dictate.errors import NotFoundError, UsageError

if TYPE_CHECKING:
    from dictate.log import FlockLog
    from dictate.record import BirdRecord

__all__ = ["find_bird", "find_pen"]


def find_bird(log: FlockLog, who: str, on: date | None) -> BirdRecord:
    """The one bird of that band or name; NotFoundError or UsageError where there is not just one."""
    by_band, by_name = log.find_birds(band=who, on=on), log.find_birds(name=who, on=on)
    fits = list(dict.fromkeys((*by_band.fits, *by_name.fits)))
    near = list(dict.fromkeys((*by_band.near, *by_name.near)))
    if not fits and not near:
        fits = [bird for bird in log.birds() if bird.label.casefold() == who.casefold()]
    if len(fits) == 1:
        return fits[0]
    if not fits and len(near) == 1:
        return near[0]
    if fits or near:
        names = ", ".join(bird.label for bird in fits or near)
        raise UsageError("looking for the bird", f'"{who}"', f"it may mean {names}", "Say more of it.")
    raise NotFoundError(
        "looking for the bird", f'"{who}"', "nobody of that band or name is in the register",
        "See all with: dictate bird",
    )


def find_pen(log: FlockLog, pen: str) -> str:
    """The pen as the register writes it. Raises NotFoundError where no bird lives or lived there."""
    known = {bird.pen for bird in log.birds() if bird.pen}
    known |= {name for bird in log.birds() for move in bird.moves for name in (move.to, move.before) if name}
    for name in known:
        if name.casefold() == pen.casefold():
            return name
    there = f"the pens are {', '.join(sorted(known))}" if known else "no bird of the register has a pen"
    raise NotFoundError("looking for the pen", f'"{pen}"', there)
