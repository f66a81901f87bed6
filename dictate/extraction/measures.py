"""Numbers with a meaning: weights, temperatures, rates, fingers, sizes, counts, scores, ages.

Every number of the text is looked at once, with the words on both sides. What is taken is marked used,
so that no later rule sees it. A number without a meaning of its own may take that of the number before
it: a correction, a series, a change.
"""

from __future__ import annotations

from calendar import month_abbr, month_name
from dataclasses import dataclass, replace

from dictate.extraction.ages import AgeReader
from dictate.extraction.counts import CountReader
from dictate.extraction.implied import Custom, ImpliedReader
from dictate.extraction.kinds import KindReader
from dictate.extraction.quantities import Found, QuantityReader, broken_amount, with_value
from dictate.extraction.units import Unit, unit_at
from dictate.model import Measurement, Penalty, Span
from dictate.vocabulary import Vocabulary

__all__ = ["FoundMeasure", "MeasureFinder"]

ABOUT = frozenset("about around roughly approximately nearly approx ~ circa ca say almost maybe perhaps".split())
FORMER = frozenset("used to be, down from, up from, last time, previously, had been".split(", "))
MONTHS = frozenset(name.lower() for name in [*month_name, *month_abbr] if name)
ROUGH = frozenset(
    "about around roughly nearly almost say under over shy odd bit near if exact exactly precisely".split()
)
NOT_UNIT_APART = frozenset("in c f".split())  # words as well as units
OPENING = frozenset("a, an, one, about a, just a".split(", "))  # of an amount with no number: "a centimetre"
BEFORE_WEIGHT = frozenset("the her his a all both this total".split())


@dataclass(slots=True)
class FoundMeasure:
    """A measurement, the units it took, and the number as it was said (before conversion)."""

    at: int
    end: int
    measurement: Measurement
    said: float = 0.0


class MeasureFinder:
    """Finds measurements with the lexicon's units and measures."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.units = vocabulary.units
        self.measures = vocabulary.measures
        roles = {entry.id: entry.role for entry in vocabulary.birds.values()}
        self.quantities = QuantityReader(vocabulary.units, vocabulary.measures)
        self.counts = CountReader(vocabulary.signs, vocabulary.measures["count"], frozenset())
        self.ages = AgeReader(vocabulary.delays, vocabulary.measures["age"], roles)
        self.kinds = KindReader(vocabulary.measures, self.quantities, roles)
        self.implied = ImpliedReader(self.quantities, roles)

    def find(self, units: list[Unit], text: str) -> list[FoundMeasure]:
        """All measurements, in the order of the text; marks the units they take."""
        out: list[FoundMeasure] = []
        custom = Custom.of(units)
        for i, unit in enumerate(units):
            if unit.used or unit.kind == "date" or not (unit.number or unit.unit or unit.low in OPENING or unit.signs):
                continue
            last = out[-1] if out else None
            found = (
                broken_amount(units, i, self.units, self.quantities.other_sizes)
                or self.ages.in_words(units, i)
                or self.counts.in_phrase(units, i)
            )
            corrects = False
            if found is None and unit.number is not None and not self._clock_or_date(units, i):
                found = self._number(units, i)
                corrects = last is not None and _corrected(units, last.end, i, last.measurement.of)
                if last is not None and (found is None or (corrects and found[2].kind != last.measurement.kind)):
                    found = self._carried(units, i, last, corrects) or found
                found = found or self.implied.read(units, i, custom)
            if found is None:
                continue
            start, end, measurement = found
            again = (
                last is not None
                and measurement.of
                and _same_again(units, last.end, start, last.measurement, measurement)
            )
            span = units[start].span
            for u in units[start:end]:
                if not u.used or u.used == "measure":
                    u.used = "measure"
                    span = span.cover(u.span)
            if again:
                continue
            measurement = self._finish(measurement, span, text)
            custom.topics |= {measurement.kind} & {"weight", "temperature"}
            if (
                last is not None
                and measurement.kind == last.measurement.kind
                and (
                    corrects
                    or _corrected(units, last.end, start, last.measurement.of)
                    or _put_better(units, last, start, measurement)
                )
            ):
                out.pop()
            said = next((u.number.value for u in reversed(units[start:end]) if u.number), 0.0)
            out.append(FoundMeasure(start, max(end, start + 1), measurement, said))
        return self._former(units, out)

    # -- one number

    def _number(self, units: list[Unit], i: int) -> Found | None:
        number = units[i].number
        assert number is not None
        value, low, high, end = number.value, None, None, i + 1
        joins = ("to", "or", "-", "and") if i and units[i - 1].low == "between" else ("to", "or", "-")
        if end + 1 < len(units) and units[end].low in joins and units[end + 1].number:
            other = units[end + 1].number
            if other and other.value > value and (units[end].low != "or" or other.value <= value * 2 + 1):
                low, high, value, end = value, other.value, (value + other.value) / 2, end + 2
        after = unit_at(units, end)
        start, about = i, False
        while start and units[start - 1].low in ABOUT:
            start, about = start - 1, True
        kind, word_at = self.kinds.before(units, start)
        base = Measurement(
            "", value, "", low=low, high=high, approximate=about, former=bool(start and units[start - 1].low in FORMER)
        )
        first = word_at if kind else start
        unit_id = self._unit(units, end, kind, value)
        if unit_id:
            return self._with_unit(units, start, end, unit_id, base, kind, first)
        aged = self.ages.read(units, start, end, base, kind, first)
        if aged:
            return aged
        count = self.counts.read(units, start, i, end, base)
        if count:
            return count
        if not kind:
            kind, first = self.kinds.in_list(units, i)
        if not kind and after is not None:
            return self.kinds.after(units, start, end, base)
        if not kind or (after is not None and after.low == "of" and self.measures[kind].quantity != "score"):
            return None
        return self.kinds.value(units, first, end, kind, base)

    def _unit(self, units: list[Unit], end: int, kind: str, value: float) -> str:
        """The unit that stands behind the number and fits it, or nothing."""
        after = unit_at(units, end)
        if after is None or not after.unit or after.used:
            return ""
        if after.low in NOT_UNIT_APART:
            tight = after.span.start == units[end - 1].span.end or after.span.start - units[end - 1].span.end <= 1
            follow = unit_at(units, end + 1)
            if after.low == "in" and follow is not None and follow.number:
                return ""
            if (
                not tight
                or not units[end - 1].low[0].isdigit()
                or (
                    after.low == "in"
                    and follow is not None
                    and (follow.region or follow.side or follow.low in BEFORE_WEIGHT)
                )
            ):
                return ""
        fitting = [u for u in after.unit if self._fits(kind, u, value)]
        return fitting[0] if fitting else "" if len(after.unit) > 1 else after.unit[0]

    def _fits(self, kind: str, unit_id: str, value: float) -> bool:
        quantity = self.units[unit_id].quantity
        if quantity == "temperature":
            return kind in ("", "temperature") and (unit_id == "degree" or (unit_id == "fahrenheit") == (value > 60))
        if quantity == "finger":
            return value <= 9
        return True

    def _with_unit(
        self, units: list[Unit], start: int, end: int, unit_id: str, base: Measurement, kind: str, first: int
    ) -> Found | None:
        quantity = self.units[unit_id].quantity
        if quantity == "mass":
            return self.quantities.mass(units, start, end, unit_id, base, first if kind == "weight" else start)
        if quantity == "length":
            return self.quantities.length(units, start, end, unit_id, base)
        if quantity == "rate":
            if units[end].low == "a minute" and not kind and not 8 <= base.value <= 600:
                return None
            rate = (
                kind
                if kind in ("heart rate", "breathing rate")
                else self.quantities.rate_kind(units, start, base.value)
            )
            return first, end + 1, with_value(base, rate, base.value, "/min")
        if quantity == "finger":
            return self.quantities.fingers(units, start, end, base)
        if quantity == "temperature":
            return self.quantities.temperature(units, start, end, unit_id, base, kind, first)
        return None

    # -- afterwards

    def _carried(self, units: list[Unit], i: int, last: FoundMeasure, corrects: bool) -> Found | None:
        """A number that takes kind and unit from the one before: a correction ("sorry, 2"), a series ("one on
        the left, two on the right") or a change ("was nine millimetres, it's four now")."""
        number = units[i].number
        assert number is not None
        between, m = units[last.end : i], last.measurement
        if number.several or len(between) > 12 or any(u.used == "bird" for u in between):
            return None
        after = unit_at(units, i + 1)
        ahead = units[i + 1 : i + 6]
        value, end = number.value, i + 1
        depth = m.unit == "finger" and next((k for u in ahead[:5] for k in u.measures if k != m.kind), "")
        if depth and self.measures[depth].unit == m.unit and number.value <= 9:
            return i, i + 2, replace(m, kind=depth, value=number.value, low=None, high=None)
        changes = (
            m.unit != "1"
            and not any(u.hard for u in between)
            and any(u.is_cue("now") or u.low.partition(" ")[0] == "now" for u in [*between[-2:], *ahead[:1]])
        )
        sided = bool(between) and len(between) <= 3 and bool(between[-1].side)
        if (
            after is not None
            and not sided
            and (
                after.signs
                or (after.delay and m.kind != "age")
                or (after.measures and m.kind != "age")
                or (after.region and not (corrects or changes))
            )
        ):
            return None
        kinds = self.measures[m.kind]
        if m.kind == "age" and after is not None and after.delay:
            end = i + 2
        series = (
            m.unit == "1"
            and len(between) <= 9
            and bool(ahead)
            and ahead[0].low in ("on", "under", "in", "more", "round")
            and not any(u.hard and u.low != ";" for u in between)
            and any(u.side or u.region for u in ahead)
        )
        series = series or (m.unit == "1" and m.of is None and sided)
        if not corrects and not changes and not series:
            return None
        if after is not None and after.unit:
            unit = self.units[after.unit[0]]
            if unit.unit != m.unit:
                return None
            return i, i + 2, replace(m, value=value * unit.factor + unit.offset, low=None, high=None, former=False)
        if number.bare_one and not series:
            return None
        scale = m.value / last.said if last.said and m.kind not in ("temperature",) else 1.0
        if m.kind == "temperature":
            value, scale = self.quantities.celsius(value, ""), 1.0
        if m.unit != "1" and m.value and not 0.1 <= value * scale / m.value <= 10:
            return None
        if series and ahead and ahead[0].low == "more":
            end = i + 2
        if m.of is None and not kinds.low * 0.8 <= value * scale <= kinds.high * 1.2:
            return None
        return i, end, replace(m, value=value * scale, low=None, high=None, former=False)

    @staticmethod
    def _clock_or_date(units: list[Unit], i: int) -> bool:
        """1 June, 6pm, 22:30"""
        after = unit_at(units, i + 1)
        before = unit_at(units, i - 1)
        follow = unit_at(units, i + 2)
        if before is not None and units[i - 1].birds and "pen" in {m.id for m in units[i - 1].birds}:
            return True  # pen four
        if after is not None and (
            after.low in MONTHS
            or after.low in ("am", "pm", "o'clock", "a.m.", "p.m.")
            or (after.low in ("a", "p") and follow is not None and follow.low == ".")
        ):
            return True
        return (before is not None and before.low in MONTHS and before.low != "may") or bool(
            after is not None
            and after.low == ":"
            and follow is not None
            and follow.number
            and len(follow.low) == 2
            and follow.span.start == after.span.end
        )

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
            follows = (
                newer is not None
                and newer.measurement.kind == m.kind
                and newer.at - found.end <= 10
                and not any(u.used == "bird" or u.hard for u in units[found.end : newer.at])
            )
            arrow = (found.end < len(units) and units[found.end].low in ("→", "➔", "⇒")) or [
                u.low for u in units[found.end : found.end + 2]
            ] == ["-", ">"]
            told_past = any(
                u.is_cue("past") and u.low not in ("was", "were", "had") for u in units[found.end : found.end + 2]
            )
            was = bool({"was", "were", "from"} & set(before)) and not {"is", "now", "today"} & set(before)
            inside = [u for u in units[found.at : found.end] if not u.measures]
            past = any(
                u.is_cue("past") and u.low not in ("was", "were", "had", "had a", "had some") for u in [*near, *inside]
            )
            if (
                m.former
                or arrow
                or (told_past and any(o.measurement.kind == m.kind and o.at > found.at for o in out[n + 1 :]))
                or (past and follows)
                or (was and (follows or "(" in before or past))
                or (was and any(o.measurement.kind == m.kind and 0 <= found.at - o.end <= 8 for o in out[:n]))
            ):
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
            m.kind,
            round(m.value, 4),
            m.unit,
            m.of,
            m.low,
            m.high,
            m.approximate,
            m.former,
            m.scheme,
            span,
            span.quote(text),
            "number",
            tuple(penalties),
        )


def _corrected(units: list[Unit], end: int, start: int, of: str | None) -> bool:
    """Do words of correction stand between the last measurement and this one?"""
    between = [u for u in units[end:start] if not (of and any(m.id == of for m in u.signs))]
    other = any(
        u.used == "bird" or u.signs or u.number or u.delay or u.action or (u.measures and u.used != "measure")
        for u in between
    )
    return (
        len(between) <= 8
        and not other
        and any(
            u.is_cue("correction") or u.is_cue("withdraw") or u.low == "no" or u.low.endswith("thoughts")
            for u in between
        )
    )


def _put_better(units: list[Unit], last: FoundMeasure, start: int, this: Measurement) -> bool:
    """"just over three kilo, three kilo and eighty to be exact": the rough value is said again exactly."""
    between = units[last.end : start]
    if this.unit != "g" or len(between) > 8 or abs(this.value - last.measurement.value) > 0.15 * this.value:
        return False
    if any(u.used == "bird" or u.signs or u.region or u.number for u in between) or sum(u.hard for u in between) > 1:
        return False
    around = [*units[max(0, last.at - 3) : last.at], *between]
    return any(word in ROUGH for u in around for word in u.low.split())


def _same_again(units: list[Unit], end: int, start: int, last: Measurement, this: Measurement) -> bool:
    """"two lice, only two": said again, not counted again."""
    return (
        last.of == this.of
        and last.value == this.value
        and start - end <= 2
        and not any(u.side or u.region for u in units[end:start])
    )
