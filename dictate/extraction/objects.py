"""How far the words of an action go: its object, the place it is done to, what it is done with."""

from __future__ import annotations

from dictate.extraction.units import Unit, unit_at

__all__ = ["object_end"]

SMALL = frozenset(
    "hot clean dry the her his it them that those these both out up down off with in on to for of from some "
    "a an again warm salt water saline him my this its over into all each w / c . under little bit by hand "
    "at and well round around onto gently lightly taken sent two three drop drops cream powder oil left "
    "right spray dressing soap soapy vinegar more fresh cold mild c. w/ lots plenty every old new few good "
    "quick".split()
)
OPEN = frozenset("and in on for with to at . / over under of from c w left".split())
PLACES = frozenset("and the her his on of both from under & to".split())
INTO = frozenset("with in on for to some of a the her his".split())
INTO_IT = frozenset("in with of some the".split())  # dipped in oil, rubbed some salve
ENDS = frozenset(", - but she he she's he's there's there".split())
OBJECT_PRONOUNS = frozenset("her him it them own alone apart herself himself".split())
NEXT = frozenset("next perhaps-next first".split())
STEPS = 9
BEFORE_BIRD = frozenset("the to on for of in both poor old with".split())


def object_end(units: list[Unit], at: int) -> tuple[int, list[int]]:
    """The end of the words that belong to an action whose own words end at `at`, and the units at which
    birds named as its object begin."""
    k, size, end = at, len(units), at
    named = False
    birds: list[int] = []
    while k < size and k < at + STEPS:
        unit = units[k]
        if unit.hard or unit.kind == "newline" or unit.used == "measure":
            break
        if unit.used == "bird":
            before = units[k - 1]
            if (
                unit.gap
                or (k == at and OBJECT_PRONOUNS & set(before.low.split()))
                or any(m.id in NEXT for m in unit.birds)
            ):
                break
            if not (k == at or before.low in BEFORE_BIRD or (birds and before.low in ("and", "&", ",", "+"))):
                break
            birds.append(k)
            while k < size and units[k].used == "bird":
                k += 1
            if k < size and units[k].low == "'s":
                k += 1
            end = k
            continue
        if birds and unit.low in ("and", "&", ",", "+"):
            if not (k + 1 < size and units[k + 1].used == "bird"):
                break
            k += 1
            continue
        step = _word(units, k, at, named)
        if step is None:
            break
        taken, named = step
        if taken:
            end = k + 1
        k += 1
    return end, birds


def _word(units: list[Unit], k: int, at: int, named: bool) -> tuple[bool, bool] | None:
    """One word after an action: (it belongs to it, a region has been named), or None at the end."""
    unit, before = units[k], units[k - 1]
    if unit.region or unit.side:
        linked = (
            k == at or before.low in SMALL or before.side or before.used in ("action", "bird") or before.low == "'s"
        )
        if (named and before.low not in PLACES) or not linked:
            return None
        follower = unit_at(units, k + 1)
        if follower is not None and (
            (k > at and before.low == "and" and (follower.signs or follower.side))
            or (k == at and (follower.signs or follower.low in ("is", "'s", "are", "has")))
        ):
            return None
        return True, named or bool(unit.region)
    if unit.signs and unit.low not in ("warm", "hot", "clean", "dry"):
        last = before.low.split(" ")[-1]
        return (
            (True, named)
            if last in ("for", "that", "the", "of", "against") and (k > at or before.low.endswith(" the"))
            else None
        )
    if unit.action and unit.low not in ("drops", "powder", "saline in", "spray", "oil on"):
        return (True, named) if k > at and before.low in INTO_IT and len(unit.low.split()) == 1 else None
    if unit.number and k + 1 < len(units) and (units[k + 1].delay or units[k + 1].low in ("more", "to", "or", "/")):
        return None
    if unit.low == "again" and before.low in ("and", ",", "then", "&"):
        return None
    if unit.low in SMALL:
        return unit.low not in OPEN, named
    if unit.number or unit.delay or unit.cues or unit.measures or unit.grade or unit.low in ENDS:
        return None
    if unit.kind == "word" and (k == at or before.low in INTO):
        return True, named
    return None
