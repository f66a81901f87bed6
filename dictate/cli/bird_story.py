"""What `dictate bird` tells of one bird: head to tail, weights, what was done and came of it, events, exams."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import typer

from dictate.cli.due import held_words
from dictate.cli.table import print_table
from dictate.cli.working import Flock, held_row
from dictate.model import exam_record
from dictate.record import BirdEvent, BirdRecord, StoredExam
from dictate.review.wording import action_words, finding_words, measurement_words, number_words

if TYPE_CHECKING:
    from dictate.care.duties import Duty
    from dictate.care.held_back import HeldBack
    from dictate.care.timeline import Came, Outcome, SignLine, Timeline
    from dictate.flock.trend import Trend
    from dictate.log import FlockLog
    from dictate.vocabulary import Vocabulary

__all__ = ["Story"]

Kind = tuple[str, str | None, str | None]
"""A kind of measurement, what it is of, and its scale."""
GRADES = 4
"""Gradings of one sign from which its trend is asked; fewer are told by better and worse."""
LAST_WEIGHTS = 8
LAST_ACTIONS = 8


@dataclass(frozen=True, slots=True)
class Story:
    """All that is known of a bird up to a day."""

    bird: BirdRecord
    history: list[StoredExam]
    events: list[BirdEvent]
    line: Timeline
    trends: dict[Kind, Trend]
    duties: tuple[Duty, ...]
    held: list[HeldBack]
    on: date

    @classmethod
    def read(cls, log: FlockLog, vocabulary: Vocabulary, regime: str, bird_id: str, on: date) -> Story:
        from dictate.care.timeline import WEIGHT, timeline
        from dictate.flock.trend import trend

        flock = Flock.read(log, vocabulary, regime, bird=bird_id)
        bird = log.bird(bird_id)
        history = [exam for exam in log.history(bird_id) if exam.on is None or exam.on <= on]
        line = timeline(
            history, vocabulary.head_to_tail, until=on,
            everywhere=[name for name, region in vocabulary.regions.items() if region.diffuse],
            states=[name for name, sign in vocabulary.signs.items() if sign.state],
            plain=[name for name, sign in vocabulary.signs.items() if sign.plain],
        )
        trends: dict[Kind, Trend] = {(WEIGHT, None, None): trend(line.weights)}
        trends |= {key: trend(values) for key, values in line.measures if len(values) > 1}
        trends |= {(x.sign, _where(x), "grade"): trend(points) for x in line.signs if (points := _grades(x))}
        own = replace(flock, birds=[bird])
        return cls(
            bird, history, [e for e in flock.events.get(bird_id, []) if e.on is None or e.on <= on], line, trends,
            own.agenda(on, within=60).duties, [h for h in own.held_back(on) if h.bird_id == bird_id], on,
        )

    # For programs

    def record(self) -> dict[str, Any]:
        return {
            "on": self.on,
            "signs": [
                {
                    "region": x.region, "side": x.side, "sign": x.sign, "state": x.state, "grade": x.grade,
                    "since": x.since, "times": x.times, "not_spoken_of_on": x.silent_on,
                    "not_looked_at_on": x.unseen_on, "seen": [asdict(one) for one in x.seen],
                }
                for x in self.line.signs
            ],
            "last_exam": self.line.last_on, "well": self.line.well, "not_looked_at": self.line.not_looked_at,
            "rest_normal": self.line.rest_normal,
            "weights": [
                {"date": on, "g": value, "change": change} for (on, value), change in self._weights()
            ],
            "trends": [
                {"kind": kind, "of": of, "scheme": scheme, **asdict(found)}
                for (kind, of, scheme), found in self.trends.items()
            ],
            "actions": [
                {
                    "date": o.on, "kind": o.action.kind, "in_days": o.action.in_days, "quote": o.action.quote,
                    "exam": o.exam_id, "regions": o.regions, "looked_again_on": o.looked_on,
                    "came": [
                        {"region": c.region, "side": c.side, "sign": c.sign, "before": asdict(c.before),
                         "after": asdict(c.after) if c.after else None}
                        for c in o.came
                    ],
                }
                for o in self.line.outcomes
            ],
            "events": [asdict(event) for event in self.events],
            "due": [{"due_on": d.due_on, "what": d.task, "kind": d.kind, "because": d.because} for d in self.duties],
            "held_back": [held_row(one) for one in self.held],
            "exams": [
                {"id": e.id, "date": e.on, "date_problem": e.date_problem, "kind": e.kind,
                 "photos": [photo.path for photo in e.photos]} | exam_record(e.confirmed)
                for e in self.history
            ],
        }

    # For people

    def show(self, words: bool) -> None:
        self._head()
        living = [e for e in self.history if e.kind == "live"]
        if not living:
            typer.echo("No exam of her is confirmed.")
        else:
            self._signs()
            self._weights_shown()
            self._done()
        self._post_mortems()
        for event in self.events:
            until = f" to {event.until}" if event.until else ""
            to = f" to {event.pen}" if event.pen else ""
            more = f" ({event.detail})" if event.detail else ""
            typer.echo(f"Event: {event.on or 'no day known'}{until} {event.kind}{to}{more}")
        for duty in self.duties:
            typer.echo(f"Due {duty.due_on or '(no day was said)'}: {duty.task}. {duty.because}.")
        for one in self.held:
            typer.echo(f"Held back: {held_words(one)} (dictate withheld shows why)")
        for photo in [photo for exam in self.history for photo in exam.photos]:
            typer.echo(f"Photo: {photo.name} {photo.path}")
        if words and living:
            rows = [row for exam in living for row in history_rows(exam)]
            print_table(("day", "what", "words"), rows, "Exam by exam")
        elif living:
            typer.echo("Exam by exam, with your words: add --words")

    def _head(self) -> None:
        bird = self.bird
        facts = [bird.label, bird.sex, bird.breed, bird.species if bird.species != "chicken" else None]
        pen = bird.pen_on(self.on)
        facts += [f"pen {pen}" if pen else None, f"hatched {bird.hatched}" if bird.hatched else None]
        facts.append(f"from {bird.source}" if bird.source else None)
        facts.append(f"{bird.left_how} {bird.left_on or ''}".strip() if bird.left else None)
        typer.echo(", ".join(fact for fact in facts if fact))
        dated = [b for b in bird.bands if b.since or b.until or b.leg]
        for band in dated:
            leg = f" on the {band.leg} leg" if band.leg else ""
            since = f" from {band.since}" if band.since else ""
            until = f" until {band.until}" if band.until else ""
            typer.echo(f"Band {band.mark}{leg}{since}{until}")

    def _signs(self) -> None:
        line = self.line
        count = sum(1 for e in self.history if e.kind == "live" and e.on is not None)
        if line.signs:
            print_table(
                ("part", "what", "since", "now"),
                [(_where(x), _what(x), str(x.since), _now(x)) for x in line.signs],
                f"Head to tail, by {count} exam{'' if count == 1 else 's'} up to {line.last_on}",
            )
        else:
            typer.echo(f"Nothing wrong in {count} exam{'' if count == 1 else 's'} up to {line.last_on}.")
        if line.well:
            typer.echo(f"Nothing wrong on {line.last_on}: {', '.join(line.well)}.")
        if line.rest_normal:
            typer.echo(f'On {line.last_on} you called the rest normal; which parts that was, nobody said.')
        spoken = len(line.well) + len({x.region for x in line.signs if x.last.there and x.last.on == line.last_on})
        if len(line.not_looked_at) > spoken:
            typer.echo(f"Of all other parts nothing was said on {line.last_on} ({len(line.not_looked_at)} parts).")
        elif line.not_looked_at:
            typer.echo(f"Not spoken of on {line.last_on}: {', '.join(line.not_looked_at)}.")

    def _weights(self) -> list[tuple[tuple[date, float], float | None]]:
        """Each weight with its change from the one before, g."""
        values = self.line.weights
        changes = [None, *(after[1] - before[1] for before, after in pairwise(values))]
        return list(zip(values, changes, strict=False))

    def _weights_shown(self) -> None:
        weights = self._weights()
        if weights:
            rows = [
                (str(on), f"{number_words(value)} g", _change(change, value))
                for (on, value), change in weights[-LAST_WEIGHTS:]
            ]
            earlier = len(weights) - len(rows)
            print_table(("day", "weight", "change"), rows, f"Weight ({earlier} earlier)" if earlier else "Weight")
        for (kind, of, scheme), found in self.trends.items():
            if found.n:
                parts = (kind, f"of {of}" if of else "", f"({scheme})" if scheme else "")
                name = " ".join(part for part in parts if part)
                typer.echo(trend_words(name, found, "g" if kind == "weight" else ""))

    def _done(self) -> None:
        outcomes = self.line.outcomes
        if not outcomes:
            return
        earlier = len(outcomes) - LAST_ACTIONS
        print_table(
            ("day", "done or planned", "what came of it"),
            [
                (str(o.on or "no day"), f'{action_words(o.action)}: "{o.action.quote}"', _came_of(o))
                for o in outcomes[-LAST_ACTIONS:]
            ],
            f"What was done ({earlier} earlier)" if earlier > 0 else "What was done",
        )

    def _post_mortems(self) -> None:
        for exam in self.history:
            if exam.kind == "post-mortem":
                rows = [row for row in history_rows(exam)]
                print_table(("day", "what", "words"), rows, "Post-mortem, counted apart from exams of the living")


def _grades(line: SignLine) -> list[tuple[date, float]]:
    """The grades of a sign over the days, 0 where it was gone; none where one was not said, or too few to ask."""
    graded = [(one.on, float(one.grade or 0)) for one in line.seen if one.grade is not None or not one.there]
    return graded if len(graded) == len(line.seen) >= GRADES else []


def _where(line: SignLine) -> str:
    return f"{line.side} {line.region}" if line.side else line.region


def _what(line: SignLine) -> str:
    grade = f", grade {line.grade}" if line.grade is not None else ""
    perhaps = ", perhaps" if line.last.there and line.last.perhaps else ""
    again = f" ({_ORDINALS.get(line.times, f'{line.times} times')} time)" if line.times > 1 else ""
    return f"{line.sign}{grade}{perhaps}{again}"


_ORDINALS = {2: "second", 3: "third", 4: "fourth", 5: "fifth"}


def _now(line: SignLine) -> str:
    """What became of it: in words, with the grades and days that say so."""
    last, there = line.last, [one for one in line.seen if one.there]
    text: str
    if line.state in ("better", "worse", "same"):
        text = f"{line.state}: grade {there[-2].grade} on {there[-2].on}, {last.grade} on {last.on}"
    elif line.state == "gone":
        text = f"gone by {last.on}"
    elif line.state == "still there":
        text = f"still there on {last.on}; not graded both times"
    else:
        text = "new"
    if line.state != "gone":
        if line.silent_on:
            text += f"; nothing was said of it when the part was looked at on {line.silent_on}"
        if line.unseen_on and (line.silent_on is None or line.unseen_on > line.silent_on):
            text += f"; not looked at on {line.unseen_on}"
    return text


def _change(change: float | None, value: float) -> str:
    if change is None:
        return ""
    before = value - change
    share = f" ({change / before:+.1%})" if before else ""
    return f"{change:+.0f} g{share}"


def trend_words(name: str, found: Trend, unit: str) -> str:
    """A trend in a sentence with what it rests on."""
    direction = {1: "up", -1: "down", 0: "neither up nor down"}[found.direction]
    if found.verdict == "too few":
        return f"Trend of {name}: too few values ({found.n}); a verdict needs five."
    if found.verdict == "direction only":
        return f"Trend of {name}: {direction} over {found.n} values; too few for a verdict, which needs five."
    slope = ""
    if found.slope is not None and found.verdict != "no trend shown":
        slope = f", about {abs(found.slope) * 28:.3g}{' ' + unit if unit else ''} in four weeks"
    p = f"{found.p:.3f}" if found.p >= 0.001 else "below 0.001"
    working = f"{found.n} values, Mann-Kendall S {found.s:+d}, exact two-sided p {p}"
    return f"Trend of {name}: {found.verdict}{slope} ({working})."


def _came_of(outcome: Outcome) -> str:
    parts = [_came(one) for one in outcome.came]
    if outcome.action.kind == "recheck":
        what = ", ".join(outcome.regions) or "she"
        done = f"{what} looked at again on {outcome.looked_on}" if outcome.looked_on else "not looked at again yet"
        parts = [done]  # what it showed stands in the table of signs
    return "; ".join(part for part in parts if part)


def _came(one: Came) -> str:
    name = f"{one.side} {one.region}" if one.side else one.region
    if one.after is None:
        return ""
    if not one.after.there:
        return f"{name}: {one.sign} gone by {one.after.on}"
    before, after = one.before.grade, one.after.grade
    if before is None or after is None:
        return f"{name}: {one.sign} still there on {one.after.on}"
    word = "same" if before == after else "better" if after < before else "worse"
    return f"{name}: {one.sign} {word} on {one.after.on} (grade {before}, then {after})"


def history_rows(exam: StoredExam) -> list[tuple[str, str, str]]:
    """One exam for a table: the day, each thing, its words."""
    said = exam.confirmed
    rows = [("", finding_words(f), f.quote) for f in said.findings]
    rows += [("", measurement_words(m), m.quote) for m in said.measurements]
    rows += [("", action_words(a), a.quote) for a in said.actions]
    if said.rest_normal:
        rows.append(("", "everything else normal", ""))
    rows += [("", f"photo {photo.name}", photo.path) for photo in exam.photos]
    when = str(exam.on or "no day known")
    return [(when, *rows[0][1:]), *rows[1:]] if rows else [(when, "nothing confirmed", "")]
