"""The kind of a measurement told by words before, behind or in a list of scores, where no unit is said.

"weight nineteen fifty", "eighteen sixty on the scales", "a three for condition", "feather 2, keel 0".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from dictate.extraction.quantities import Found, QuantityReader, with_value
from dictate.extraction.units import Unit, unit_at
from dictate.model import Measurement, Penalty
from dictate.vocabulary.entries import Measure

__all__ = ["KindReader"]

LINKS = frozenset(
    "is was of about at : = - , around roughly approximately nearly just on i make it now comes to are reads "
    "says ' her him his she he count counted call 's only over under say got a the an that says, ~ a' that's "
    "between them down up exactly feel still going running and get gets".split()
)
AFTER_WEIGHT = frozenset(
    "and so she he she's he's i i'll today now then but exactly on which that's there's with or just flat "
    "even dead".split()
)
GIVING = frozenset("give gives gave giving score scores scored gets got".split())
BIRD_ROLES = frozenset("sex next start colour breed no-band band".split())


class KindReader:
    """Finds the kind of a number with the lexicon's measures."""

    def __init__(self, measures: Mapping[str, Measure], quantities: QuantityReader, roles: Mapping[str, str]) -> None:
        self.measures = measures
        self.quantities = quantities
        self.roles = roles
        self.scores = {
            say.lower(): entry.id for entry in measures.values() if entry.quantity == "score" for say in entry.say
        }

    def before(self, units: list[Unit], start: int) -> tuple[str, int]:
        """The kind of measurement named before the number, with its place."""
        j = start - 1
        steps = 0
        while j >= 0 and steps < 7:
            unit = units[j]
            if unit.measures and unit.used != "measure":
                kinds = [k for k in unit.measures if k not in ("age", "lesion size", "count")]
                if "age" in unit.measures and unit.low in ("age", "aged"):
                    kinds = ["age"]
                if kinds and not (unit.low in ("up to", "down to") and j and units[j - 1].used == "measure"):
                    return kinds[-1] if len(kinds) > 1 and unit.region and "pubic spread" not in kinds else kinds[0], j
            if (
                unit.hard
                or unit.used not in ("", "measure")
                or (unit.signs and not unit.measures and unit.low != "full")
            ):
                break
            linked = (
                unit.low in LINKS
                or unit.number
                or unit.unit
                or (unit.delay and unit.low == "today")
                or any(unit.is_cue(category) for category in ("now", "correction", "certain", "doubtful"))
            )
            if not linked and (unit.region or unit.action or steps > 2):
                break
            j -= 1
            steps += 1
        return "", -1

    def in_list(self, units: list[Unit], i: int) -> tuple[str, int]:
        """"Scores today: feather 2, keel 0": the word before each number names the score."""
        before = unit_at(units, i - 1)
        if before is None or before.used:
            return "", -1
        if before.low in ("score", "scores", "scored"):
            for unit in reversed(units[max(0, i - 10) : i - 1]):
                score = self.scores.get(f"{unit.region} score") if unit.region else None
                if score:
                    return score, i - 1
        score = self.scores.get(f"{before.low.rstrip('s')} score") or self.scores.get(f"{before.low} score")
        if not score:
            return "", -1
        for unit in reversed(units[max(0, i - 16) : i - 1]):
            if unit.hard:
                break
            if unit.low in ("scores", "score", "scored", "scoring"):
                return score, i - 1
        return "", -1

    def after(self, units: list[Unit], start: int, end: int, base: Measurement) -> Found | None:
        """"eighteen sixty on the scales", "a three for condition": the kind stands behind the number."""
        after = units[end]
        if "weight" in after.measures and base.value >= 300:
            found = self.value(units, start, end, "weight", base)
            return (start, end + 1, found[2]) if found else None
        if after.low == "for" and end + 1 < len(units):
            named = units[end + 1]
            kind = next((k for k in named.measures if self.measures[k].quantity == "score"), "")
            given = any(u.low in GIVING for u in units[max(0, start - 4) : start])
            kind = kind or (self.scores.get(f"{named.region or named.low} score", "") if given else "")
            if kind and self.measures[kind].low <= base.value <= self.measures[kind].high:
                return start, end + 2, with_value(base, kind, base.value, "1")
        return None

    def value(self, units: list[Unit], first: int, end: int, kind: str, base: Measurement) -> Found | None:
        """A number that only its kind gives a meaning: weight nineteen fifty, score two."""
        measure = self.measures[kind]
        value, scheme = base.value, None
        after = unit_at(units, end)
        if measure.quantity == "score":
            if (first and units[first - 1].low in ("a", "any", "every")) or (
                after is not None and after.low == "would"
            ):
                return None  # "a score of two is …" speaks of scores, not of a bird
            words = [u.low for u in units[end : end + 3]]
            if words[:2] == ["out", "of"] and len(words) > 2 and units[end + 2].number:
                scheme, end = f"of {words[2]}", end + 3
            elif words[:1] == ["/"] and len(words) > 1 and units[end + 1].number:
                scheme, end = f"of {words[1]}", end + 2
            if not measure.low <= value <= measure.high or (after is not None and (after.unit or after.delay)):
                return None
            return first, end, replace(with_value(base, kind, value, "1"), scheme=scheme)
        if measure.quantity == "mass":
            if after is not None and (after.delay or after.low in ("points", "%")):
                return None
            if 20 <= value <= 9000:
                return first, end, with_value(base, kind, value, "g")
            if 0.2 <= value < 20 and (
                after is None
                or after.kind != "word"
                or self._of_birds(after)
                or after.region
                or after.cues
                or after.low in AFTER_WEIGHT
            ):  # no unit: kilograms are the likelier, and it is asked
                doubt = (Penalty("unit not said", 0.3),)
                return first, end, replace(with_value(base, kind, value * 1000, "g"), penalties=doubt)
            return None
        if measure.quantity == "temperature":
            if 360 <= value <= 460 or 980 <= value <= 1150:
                value /= 10  # forty one two
            if not 30 <= value <= 115:
                return None
            return first, end, with_value(base, kind, self.quantities.celsius(value, ""), "C")
        if measure.quantity == "rate":
            if units[first].low == "rate":
                kind = self.quantities.rate_kind(units, first, value)
            if not 4 <= value <= 600 or (kind == "breathing rate" and value > 150):
                return None
            return first, end, with_value(base, kind, value, "/min")
        if measure.quantity == "finger" and value <= 9 and (after is None or not after.unit):
            apart = after is not None and after.low == "apart"
            if kind == "pubic spread" and (units[first].low in ("spread", "pubic spread", "depth") or apart):
                return first, end + apart, with_value(base, kind, value, "finger")
        return None

    def _of_birds(self, unit: Unit) -> bool:
        """A word that begins to speak of a bird: its sex, mark or breed, "next"."""
        return any(self.roles[m.id] in BIRD_ROLES for m in unit.birds)
