"""Numbers with a meaning: weights, temperatures, rates, fingers, sizes, counts, scores, ages.

Every number of the text is looked at once, with the words on both sides. What is taken is marked used,
so that no later rule sees it. Conversions by UCUM and NIST SP 811 (factors in units.toml).
"""

from __future__ import annotations

from calendar import month_abbr, month_name
from dataclasses import dataclass, replace

from dictate.extraction.units import Unit
from dictate.model import Measurement, Penalty, Span
from dictate.vocabulary import Vocabulary

__all__ = ["FoundMeasure", "MeasureFinder"]

LINKS = frozenset("is was of about at : = - , around roughly approximately nearly just on i make it now comes to are reads says ' her him his she he count counted call 's only over under say got a the an that says, ~ a' that's between them down up exactly feel still going running up and get gets".split())
ABOUT = frozenset("about around roughly approximately nearly approx ~ circa ca say almost maybe perhaps".split())
OLD = frozenset(["old", "of age", "weeks old", "week old", "years old", "year old", "months old", "month old", "weeks of age",
                 "days old", "day old", "yo", "y / o", "wo", "wks old", "wk old", "yrs old", "yr old"])
BEFORE_DELAY = frozenset("in for every x again another within after next over back last past".split())
FORMER = frozenset(["used to be", "down from", "up from", "last time", "previously", "had been"])
MONTHS = frozenset(name.lower() for name in [*month_name, *month_abbr] if name)
SCORE_RANGE = ("out of", "/", "of")


@dataclass(slots=True)
class FoundMeasure:
    """A measurement and the unit it stands at."""

    at: int
    end: int
    measurement: Measurement
    said: float = 0.0


class MeasureFinder:
    """Finds measurements with the lexicon's units and measures."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.units = vocabulary.units
        self.measures = vocabulary.measures
        self.delays = vocabulary.delays
        self.signs = vocabulary.signs
        self.roles = {entry.id: entry.role for entry in vocabulary.birds.values()}

    def find(self, units: list[Unit], text: str) -> list[FoundMeasure]:
        out: list[FoundMeasure] = []
        weighing = any("weight" in u.measures for u in units)
        for i, unit in enumerate(units):
            if unit.used or unit.kind == "date":
                continue
            last = out[-1] if out else None
            found = broken_amount(units, i, self.units) or self.counts.in_phrase(units, i)
            corrects = False
            if found is None and unit.number is not None and not self._clock_or_date(units, i):
                found = self._number(units, i, text)
                corrects = last is not None and corrected(units, last.end, i)
                if last is not None and (found is None or corrects and found[2].kind != last.measurement.kind):
                    found = self._carried(units, i, last, corrects) or found
                if found is None and weighing and i and units[i - 1].used == "bird" or found is None and weighing and i > 1 and \
                        units[i - 2].used == "bird" and units[i - 1].low in ("only", ":", "-", ",", "at", "is", "now"):
                    found = self._bare_weight(units, i)
            if found is None:
                continue
            start, end, measurement = found
            again = last is not None and measurement.of and same_again(units, last.end, start, last.measurement, measurement)
            span = units[start].span
            for u in units[start:end]:
                if not u.used or u.used == "measure":
                    u.used = "measure"
                    span = span.cover(u.span)
            if again:
                continue
            measurement = self._finish(measurement, span, text)
            if last is not None and measurement.kind == last.measurement.kind and (
                corrects or corrected(units, last.end, start)
            ):
                out.pop()
            said = next((u.number.value for u in reversed(units[start:end]) if u.number), 0.0)
            out.append(FoundMeasure(start, end, measurement, said))
        return self._former(units, out)

    # -- one number

    def _number(self, units: list[Unit], i: int, text: str) -> tuple[int, int, Measurement] | None:
        number = units[i].number
        assert number is not None
        value, low, high, end = number.value, None, None, i + 1
        if end + 1 < len(units) and units[end].low in ("to", "or", "-") and units[end + 1].number:
            other = units[end + 1].number
            if other and other.value > value and (units[end].low != "or" or other.value <= value * 2 + 1):
                low, high, value, end = value, other.value, (value + other.value) / 2, end + 2
        after = units[end] if end < len(units) else None
        start, about = i, False
        while (start and units[start - 1].low in ABOUT) or (start and units[start - 1].is_cue("doubtful")
                                                         and units[start - 1].low in ABOUT):
            start, about = start - 1, True
        kind, word_at = self._kind_before(units, start)
        former = bool(start and units[start - 1].low in FORMER)
        base = Measurement("", value, "", low=low, high=high, approximate=about, former=former)
        unit_ids = after.unit if after is not None else ()
        if after is not None and after.used:
            unit_ids = ()
        quantity = self.units[unit_ids[0]].quantity if unit_ids else ""
        if len(unit_ids) > 1:  # "c" or "f": the unit that fits
            unit_ids = tuple(u for u in unit_ids if self._plausible(kind, u, value)) or unit_ids
            quantity = self.units[unit_ids[0]].quantity
        if quantity == "mass" and unit_ids:
            return self._mass(units, start, end, unit_ids[0], base, word_at if kind == "weight" else start)
        if quantity == "length" and unit_ids and not (after and after.low in ("in", "mill", "cent", "mil") and
                                                     not self._adjacent(units, end)):
            return self._length(units, start, end, unit_ids[0], base)
        if quantity == "rate":
            rate = kind if kind in ("heart rate", "breathing rate") else self._rate_kind(units, start, value)
            return (word_at if kind else start), end + 1, _with(base, rate, value, "/min")
        if quantity == "finger" and unit_ids:
            return self._fingers(units, start, end, base)
        if quantity == "temperature" and unit_ids and (kind == "temperature" or unit_ids[0] != "degree"
                                                      or 35 <= value <= 115):
            if unit_ids[0] in ("celsius", "fahrenheit") and kind not in ("", "temperature"):
                return None
            if not 30 <= value <= 115:
                return None
            end = end + 1
            if unit_ids[0] == "degree" and end < len(units) and units[end].unit and \
                    self.units[units[end].unit[0]].quantity == "temperature":
                unit_ids, end = units[end].unit, end + 1
            celsius = self._celsius(value, unit_ids[0])
            return (word_at if kind else start), end, _with(base, "temperature", celsius, "C")
        aged = self._age(units, start, end, base, kind)
        if aged:
            return aged
        count = self._count(units, start, i, end, base)
        if count:
            return count
        if kind:
            return self._by_kind(units, word_at, end, kind, base)
        return None

    def _plausible(self, kind: str, unit_id: str, value: float) -> bool:
        quantity = self.units[unit_id].quantity
        if quantity == "temperature":
            return (unit_id == "fahrenheit") == (value > 60)
        return quantity == self.measures[kind].quantity if kind else True

    @staticmethod
    def _adjacent(units: list[Unit], end: int) -> bool:
        return units[end].span.start - units[end - 1].span.end <= 1 and units[end - 1].low[0].isdigit()

    def _kind_before(self, units: list[Unit], start: int) -> tuple[str, int]:
        """The kind of measurement named before the number, with its place."""
        j = start - 1
        steps = 0
        while j >= 0 and steps < 7:
            unit = units[j]
            if unit.measures and not unit.used == "measure":
                kinds = [k for k in unit.measures if k not in ("age", "lesion size", "count")]
                if "age" in unit.measures and unit.low in ("age", "aged"):
                    kinds = ["age"]
                if kinds and not (unit.low in ("up to", "down to") and j and units[j - 1].used == "measure"):
                    return kinds[-1] if len(kinds) > 1 and unit.region and "pubic spread" not in kinds else kinds[0], j
            if unit.hard or unit.used not in ("", "measure") or (unit.signs and not unit.measures and unit.low != "full"):
                break
            if not (unit.low in LINKS or unit.is_cue("now") or unit.number or unit.is_cue("correction")
                    or unit.is_cue("certain") or unit.unit or unit.is_cue("doubtful") or (unit.delay and unit.low == "today")):
                if unit.region or unit.action or steps > 2:
                    break
            j -= 1
            steps += 1
        return "", -1

    # -- by quantity

    def _mass(
        self, units: list[Unit], start: int, end: int, unit_id: str, base: Measurement, first: int
    ) -> tuple[int, int, Measurement] | None:
        factor = self.units[unit_id].factor
        grams, stop = base.value * factor, end + 1
        follower = units[stop] if stop < len(units) else None
        j = stop + 1 if follower is not None and follower.low in ("and", ",") else stop
        small = units[j].number if j < len(units) else None
        if small is not None and not units[j].used:
            then = units[j + 1] if j + 1 < len(units) else None
            then_unit = then.unit[0] if then is not None and then.unit else ""
            if unit_id == "pound" and then_unit == "ounce" and small.value < 16:
                grams, stop = grams + small.value * self.units["ounce"].factor, j + 2
            elif unit_id == "pound" and not then_unit and j == stop and small.value < 16 and not (
                then is not None and (then.measures or then.delay)
            ):
                grams, stop = grams + small.value * self.units["ounce"].factor, j + 1
            elif unit_id == "kilogram" and base.value == int(base.value) and 10 <= small.value < 1000 and (
                then_unit == "gram" or (not then_unit and j == stop)
            ):
                grams, stop = grams + small.value, j + 1 + (then_unit == "gram")
            elif small.several and unit_id in ("pound", "kilogram") and small.value < 1:
                grams, stop = grams + small.value * factor, j + 1
        if (follower is not None and follower.low in ("of", "a day", "per", "each")) or (
            follower is not None and follower.low == "a" and stop + 1 < len(units) and units[stop + 1].low == "day"
        ):
            return None
        if not 15 <= grams <= 15000:
            return None
        before = [u.low for u in units[max(0, start - 5) : start]]
        if any(w in ("eaten", "ate", "eats", "drunk", "feed", "lost", "gained", "lighter", "heavier", "put", "laid") for w in before) or (
            follower is not None and follower.low in ("lighter", "heavier", "less", "more", "down", "up")
        ):
            return None
        scale = grams / (base.value * factor) if base.value else 1.0
        low = base.low * factor * scale if base.low else None
        high = base.high * factor * scale if base.high else None
        if stop < len(units) and units[stop].low in ("even", "exactly", "dead"):
            stop += 1
        return first, stop, _with(base, "weight", grams, "g", low, high)

    def _length(
        self, units: list[Unit], start: int, end: int, unit_id: str, base: Measurement
    ) -> tuple[int, int, Measurement] | None:
        factor = self.units[unit_id].factor
        value = base.value * factor
        stop = end + 1
        if units[stop : stop + 3] and [u.low for u in units[stop : stop + 3]] == ["and", "a", "half"]:
            value, stop = value + factor / 2, stop + 3
        elif stop + 1 < len(units) and units[stop].low == "and" and units[stop + 1].low in ("a half", "half"):
            value, stop = value + factor / 2, stop + 2
        while stop < len(units) and units[stop].low in ("across", "wide", "long", "in diameter", "diameter", "out", "by",
                                                        "deep", "or", "so"):
            stop += 1
        if stop < len(units) and units[stop].low in ("ring", "band", "rings"):
            return None
        before = [u.low for u in units[max(0, start - 3) : start]]
        if any(w in ("ring", "band", "took", "off", "trimmed") for w in before):
            return None
        low = base.low * factor if base.low else None
        high = base.high * factor if base.high else None
        return start, stop, _with(base, "lesion size", value, "mm", low, high)

    def _inch_words(self, units: list[Unit], i: int) -> tuple[int, int, Measurement] | None:
        """"an inch and a half", "half an inch", "a centimetre"."""
        unit = units[i]
        if unit.number is not None and unit.number.several and unit.number.value < 1 and i + 2 < len(units):
            if units[i + 1].low in ("an", "a") and units[i + 2].unit and \
                    self.units[units[i + 2].unit[0]].quantity == "length":
                factor = self.units[units[i + 2].unit[0]].factor
                return i, i + 3, Measurement("lesion size", unit.number.value * factor, "mm")
        if unit.low in ("a", "an") and i + 1 < len(units) and units[i + 1].low in (
            "inch", "centimetre", "centimeter", "millimetre", "millimeter"
        ):
            factor = self.units[units[i + 1].unit[0]].factor
            stop, value = i + 2, factor
            if stop + 1 < len(units) and units[stop].low == "and" and units[stop + 1].number:
                extra = units[stop + 1].number
                if extra and extra.value < 1:
                    value, stop = value + extra.value * factor, stop + 2
            return i, stop, Measurement("lesion size", value, "mm")
        return None

    @staticmethod
    def _rate_kind(units: list[Unit], start: int, value: float) -> str:
        for u in reversed(units[max(0, start - 12) : start]):
            if "heart rate" in u.measures:
                return "heart rate"
            if "breathing rate" in u.measures or u.region == "breathing":
                return "breathing rate"
        return "heart rate" if value >= 130 else "breathing rate"

    def _fingers(self, units: list[Unit], start: int, end: int, base: Measurement) -> tuple[int, int, Measurement]:
        stop = end + 1
        near = units[max(0, start - 9) : start]
        ahead = units[stop : stop + 5]
        kind, first = "", start
        for k, u in enumerate(ahead):
            if u.hard or u.number:
                break
            if "abdomen depth" in u.measures:
                kind, stop = "abdomen depth", stop + k + 1
                break
            if u.low in ("between", "apart", "wide", "spread") or "pubic spread" in u.measures:
                kind, stop = "pubic spread", stop + k + 1
                break
            if u.region or u.signs:
                break
        if not kind:
            for k in range(len(near) - 1, -1, -1):
                u = near[k]
                if ("abdomen depth" in u.measures and "pubic spread" not in u.measures) or u.region == "abdomen":
                    kind = "abdomen depth"
                elif "pubic spread" in u.measures:
                    kind = "pubic spread"
                if kind:
                    if u.measures and not u.used and start - (max(0, start - 9) + k) <= 3 and not any(n.signs for n in near[k + 1 :]):
                        first = max(0, start - 9) + k
                    break
        while stop < len(units) and units[stop].low in ("apart", "between", "wide", "deep", "across"):
            stop += 1
        return first, stop, _with(base, kind or "pubic spread", base.value, "finger")

    def _celsius(self, value: float, unit_id: str) -> float:
        if unit_id == "degree" or not unit_id:
            unit_id = "celsius" if value < 60 else "fahrenheit"  # no bird is at 60 C
        unit = self.units[unit_id]
        return value * unit.factor + unit.offset

    def _age(
        self, units: list[Unit], start: int, end: int, base: Measurement, kind: str
    ) -> tuple[int, int, Measurement] | None:
        after = units[end] if end < len(units) else None
        if kind == "age" and (after is None or (not after.delay and after.low not in OLD)):
            return start - 1, end, _with(base, "age", base.value, "week")
        if after is None or after.used or not (after.delay or after.low in OLD or "age" in after.measures):
            return None
        words = after.low
        stop = end + 1
        days = 7.0
        head = words.split()[0]
        if head.startswith(("year", "yr", "y")):
            days = 364.0  # the record counts 52 weeks to a year
        elif head.startswith(("month", "mth", "mo")):
            days = 365.25 / 12
        elif head.startswith("day") or head == "d":
            days = 1.0
        is_old = words in OLD
        if stop < len(units) and units[stop].low in ("old", "of age"):
            is_old, stop = True, stop + 1
        elif [u.low for u in units[stop : stop + 2]] == ["of", "age"]:
            is_old, stop = True, stop + 2
        if not is_old and kind != "age":
            before = units[start - 1] if start else None
            if before is None or before.low in BEFORE_DELAY or before.is_cue("past") or before.action or not days > 1.0:
                return None
            near = units[max(0, start - 5) : start]
            if not any(u.used == "bird" or (u.birds and any(self.roles[m.id] in ("sex", "no-band", "breed") for m in u.birds))
                       for u in near) and before.low not in ("she's", "he's", "'s", "also"):
                ahead = units[stop : stop + 2]
                if not any(u.birds and any(self.roles[m.id] == "sex" for m in u.birds) for u in ahead):
                    return None
            if any(u.action or u.low in BEFORE_DELAY or u.region or u.used == "action" for u in near[-3:]):
                return None
        low = base.low * days / 7 if base.low else None
        high = base.high * days / 7 if base.high else None
        return start, stop, _with(base, "age", round(base.value * days / 7, 2), "week", low, high)

    def _count(
        self, units: list[Unit], start: int, i: int, end: int, base: Measurement
    ) -> tuple[int, int, Measurement] | None:
        number = units[i].number
        assert number is not None
        if base.value == 0 or (base.value != int(base.value) and base.low is None) or (number.several and base.value != 2):
            return None
        before = units[start - 1] if start else None
        j = end
        while j < len(units) and (units[j].low in ("northern", "little", "small", "live", "of", "the", "or", "so", "tiny",
                                                   "more", "fat", "big", "of the", "good", "long", "red", "grey",
                                                   "crawling", "dead", "separate", "clear", "white", "roundish")
                                  or units[j].grade) and j < end + 3:
            j += 1
        after = units[j] if j < len(units) else None
        if after is not None and not after.used:
            counted = next((m.id for m in after.signs if self._countable(m.id)), "")
            if counted and not (number.bare_one and after.low.endswith("s") and counted != "lice"):
                return start, end, _with(base, "count", base.value, "1", of=counted)
            if after.low in ("points", "spikes", "comb points") or (after.low == "point" and number.bare_one):
                return start, j + 1, _with(base, "count", base.value, "1", of="comb")
            if after.low in ("feathers", "feather", "primaries", "tail feathers", "flight feathers", "tail feather",
                             "primary feathers", "secondaries"):
                ahead = units[j + 1 : j + 7]
                for u in ahead:
                    if u.hard:
                        break
                    hit = next((m.id for m in u.signs if m.id in ("broken feathers", "broken", "feather loss")), "")
                    if hit:
                        return start, end, _with(base, "count", base.value, "1", of="broken feathers")
            if after.low in ("birds", "hens", "bird") and any(
                u.low in ("seen", "examined", "handled", "in", "checked", "done") for u in units[j + 1 : j + 4]
            ):
                return start, j + 1, _with(base, "count", base.value, "1", of="birds")
        if (after is not None and [u.low for u in units[end : end + 2]] in (["of", "them"], ["of", "'em"])) or (
            after is not None and after.low in ("of them", "only", "that i can see", "i can see", "in all", "i counted",
                                                "i can count", "so far", "at least")
        ) or (before is not None and before.low in ("x", "×", "i can see", "i see", "i count", "counted", "only", "i counted",
                                                   "i make it", "count", "about", "maybe", "see")) or (
            before is not None and before.low == "," and base.approximate
        ) or base.approximate:
            if before is not None and before.low in ("x", "×") and after is not None and (after.delay or after.unit):
                return None
            if after is not None and (after.delay or after.unit):
                return None
            for u in reversed(units[max(0, start - 9) : start]):
                hit = next((m.id for m in u.signs if self._countable(m.id)), "")
                if hit:
                    return start, end, _with(base, "count", base.value, "1", of=hit)
                if u.low in ("points",):
                    return start, end, _with(base, "count", base.value, "1", of="comb")
                if (u.hard and u.low != ".") or (u.signs and not hit and u.signs[0].id != "normal"):
                    break
        return None

    def _countable(self, sign: str) -> bool:
        return self.signs[sign].parasite or sign in ("worms", "broken feathers", "nits")

    def _by_kind(
        self, units: list[Unit], first: int, end: int, kind: str, base: Measurement
    ) -> tuple[int, int, Measurement] | None:
        """A number that only its kind gives a meaning: weight nineteen fifty, score two."""
        measure = self.measures[kind]
        value, scheme = base.value, None
        after = units[end] if end < len(units) else None
        if measure.quantity == "score":
            words = [u.low for u in units[end : end + 3]]
            if words[:2] == ["out", "of"] and len(words) > 2 and units[end + 2].number:
                scheme, end = f"of {words[2]}", end + 3
            elif words[:1] == ["/"] and len(words) > 1 and units[end + 1].number:
                scheme, end = f"of {words[1]}", end + 2
            if not measure.low <= value <= measure.high or (after is not None and (after.unit or after.delay)):
                return None
            return first, end, _with(base, kind, value, "1", scheme=scheme)
        if measure.quantity == "mass":
            if after is not None and (after.delay or after.low in ("points", "%")):
                return None
            if 20 <= value <= 9000:
                return first, end, _with(base, kind, value, "g")
            if 0.2 <= value < 20:  # no unit: kilograms are the likelier, and it is asked
                doubt = (Penalty("unit not said", 0.3),)
                return first, end, _with(base, kind, value * 1000, "g", penalties=doubt)
            return None
        if measure.quantity == "temperature":
            if not 30 <= value <= 115:
                return None
            return first, end, _with(base, kind, self._celsius(value, ""), "C")
        if measure.quantity == "rate":
            if not 4 <= value <= 600 or (kind == "breathing rate" and value > 150):
                return None
            return first, end, _with(base, kind, value, "/min")
        if measure.quantity == "finger" and value <= 9 and kind == "pubic spread" and (after is None or not after.unit):
            near = units[first]
            if near.low in ("spread", "pubic spread", "depth") or (after is not None and after.low in ("f", "apart")):
                return first, end + (after is not None and after.low in ("f", "apart")), _with(base, kind, value, "finger")
        if measure.quantity == "finger" and kind == "abdomen depth" and value <= 9 and after is not None and after.low == "f":
            return first, end + 1, _with(base, kind, value, "finger")
        return None

    # -- afterwards

    def _carried(
        self, units: list[Unit], i: int, last: FoundMeasure, corrects: bool
    ) -> tuple[int, int, Measurement] | None:
        """A number that takes kind and unit from the one before: a correction ("sorry, 2"), a series ("one on
        the left, two on the right") or a change ("was nine millimetres, it's four now")."""
        number = units[i].number
        assert number is not None
        between, m = units[last.end : i], last.measurement
        if number.several or len(between) > 12 or any(u.used == "bird" for u in between):
            return None
        after = units[i + 1] if i + 1 < len(units) else None
        ahead = units[i + 1 : i + 4]
        value, end = number.value, i + 1
        if after is not None and (after.signs or after.delay and m.kind != "age" or after.measures and m.kind != "age"
                                  or after.region and not corrects):
            return None
        if after is not None and after.unit:
            unit = self.units[after.unit[0]]
            if unit.unit != m.unit:
                return None
            return i, i + 2, _with(Measurement("", 0, ""), m.kind, value * unit.factor + unit.offset, m.unit, of=m.of)
        if m.kind == "age" and after is not None and after.delay:
            end = i + 2
        changes = m.unit != "1" and not any(u.hard for u in between) and any(u.is_cue("now") for u in [*between[-2:], *ahead[:1]])
        series = m.unit == "1" and len(between) <= 9 and bool(ahead) and ahead[0].low in ("on", "under", "in", "more", "round") \
            and not any(u.hard and u.low != ";" for u in between) and any(u.side or u.region for u in ahead)
        if not corrects and not changes and not series:
            return None
        if number.bare_one and not series:
            return None
        scale = m.value / last.said if last.said and m.kind not in ("temperature",) else 1.0
        if m.kind == "temperature":
            value, scale = self.quantities.celsius(value, ""), 1.0
        if m.unit != "1" and m.value and not 0.1 <= value * scale / m.value <= 10:
            return None
        if series and ahead[0].low == "more":
            end = i + 2
        return i, end, _with(Measurement("", 0, ""), m.kind, value * scale, m.unit, of=m.of)

    @staticmethod
    def _bare_weight(units: list[Unit], i: int) -> tuple[int, int, Measurement] | None:
        """On a weighing day a number straight after the bird is its weight in grams."""
        number = units[i].number
        after = units[i + 1] if i + 1 < len(units) else None
        if number is None or not 300 <= number.value <= 9000 or after is not None and (after.unit or after.delay):
            return None
        return i, i + 1, Measurement("weight", number.value, "g", penalties=(Penalty("unit not said", 0.1),))

    @staticmethod
    def _clock_or_date(units: list[Unit], i: int) -> bool:
        """1 June, 6pm, 22:30"""
        after = units[i + 1] if i + 1 < len(units) else None
        before = units[i - 1] if i else None
        follow = units[i + 2] if i + 2 < len(units) else None
        if after is not None and (after.low in MONTHS or after.low in ("am", "pm", "o'clock", "a.m.", "p.m.")
                                  or after.low in ("a", "p") and follow is not None and follow.low == "."):
            return True
        return before is not None and before.low in MONTHS and before.low != "may" or bool(
            after is not None and after.low == ":" and follow is not None and follow.number and len(follow.low) == 2
            and follow.span.start == after.span.end)

    # -- afterwards

    @staticmethod
    def _former(units: list[Unit], out: list[FoundMeasure]) -> list[FoundMeasure]:
        """"was" makes a value a former one only where a newer one follows, or a past time is said."""
        done = []
        for n, found in enumerate(out):
            m = found.measurement
            before = [u.low for u in units[max(0, found.at - 3) : found.at]]
            near = [*units[max(0, found.at - 4) : found.at], *units[found.end : found.end + 3]]
            newer = out[n + 1] if n + 1 < len(out) else None
            follows = newer is not None and newer.measurement.kind == m.kind and newer.at - found.end <= 10 and not any(
                u.used == "bird" or u.hard for u in units[found.end : newer.at])
            arrow = found.end < len(units) and units[found.end].low in ("→", "➔", "⇒") or \
                [u.low for u in units[found.end : found.end + 2]] == ["-", ">"]
            was = bool({"was", "were", "from"} & set(before)) and not {"is", "now", "today"} & set(before)
            past = any(u.is_cue("past") and u.low not in ("was", "were", "had", "had a", "had some") for u in near
                       if u.used != "measure")
            if m.former or arrow or was and (follows or "(" in before or past):
                m = replace(m, former=True)
            done.append(FoundMeasure(found.at, found.end, m, found.said))
        return done

    def _finish(self, m: Measurement, span: Span, text: str) -> Measurement:
        penalties = list(m.penalties)
        kind = self.measures.get(m.kind)
        if kind is not None and m.kind != "lesion size" and not kind.low <= m.value <= kind.high:
            penalties.append(Penalty("out of the usual range", 0.4))
        if m.approximate:
            penalties.append(Penalty("about", 0.02))
        return Measurement(
            m.kind, round(m.value, 4), m.unit, m.of, m.low, m.high, m.approximate, m.former, m.scheme,
            span, span.quote(text), "number", tuple(penalties),
        )


def _with(
    base: Measurement, kind: str, value: float, unit: str, low: float | None = None, high: float | None = None,
    of: str | None = None, scheme: str | None = None, penalties: tuple[Penalty, ...] = (),
) -> Measurement:
    return Measurement(
        kind, value, unit, of, low if low is not None else base.low, high if high is not None else base.high,
        base.approximate, base.former, scheme, penalties=penalties,
    )
