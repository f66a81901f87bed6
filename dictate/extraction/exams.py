"""Which words belong to which bird: mentions → exams, each with its stretches of the text.

A mention opens an exam, names the one in hand, corrects its mark or goes back to an earlier one.
Findings before any bird is named go to the first exam.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field

from dictate.extraction.actions import FoundAction
from dictate.extraction.measures import FoundMeasure
from dictate.extraction.mentions import Mention
from dictate.extraction.state import State
from dictate.extraction.units import Unit

__all__ = ["OpenExam", "Segment", "divide", "has_content", "measures_of", "share_actions"]

JOINING = frozenset(", and & + / - then".split())
TOLD_ONCE = frozenset({"weight", "temperature"})  # kinds of which a bird has one value
NEAR = 6  # units between a band and the name of the same bird


@dataclass(slots=True)
class Segment:
    """A stretch of units about one bird."""

    start: int
    end: int


@dataclass(slots=True)
class OpenExam:
    """An exam being put together."""

    band: str = ""
    name: str = ""
    mentions: list[Mention] = field(default_factory=list)
    segments: list[Segment] = field(default_factory=list)
    state: State | None = None

    @property
    def known(self) -> bool:
        """True once the bird has a band or a name."""
        return bool(self.band or self.name)

    def is_called(self, mention: Mention) -> bool:
        """True if the mention has the band or the name of this exam's bird."""
        return bool(mention.band and self.band and _one_band(mention.band, self.band)) or bool(
            mention.name and mention.name.lower() == self.name.lower()
        )

    def differs(self, mention: Mention) -> bool:
        """The mention carries a mark of a kind that this exam has already."""
        return bool((mention.band and self.band) or (mention.name and self.name))

    def take(self, mention: Mention, *, replace: bool = False) -> None:
        """Add a mention; its band and name fill what is open, or take the place of what is there."""
        if replace:
            self.band, self.name = mention.band or self.band, mention.name or self.name
        else:
            self.band, self.name = self.band or mention.band, self.name or mention.name
        self.mentions.append(mention)


def _one_band(a: str, b: str) -> bool:
    """The same mark, or the number alone of the other ("140", then "blue 140")."""
    return a == b or (" " not in a and b.endswith(f" {a}")) or (" " not in b and a.endswith(f" {b}"))


def _keys(band: str, name: str) -> list[str]:
    """By what an exam is sought: two bands that are one (`_one_band`) end in the same word."""
    return [key for key in (band.rpartition(" ")[2], name.lower()) if key]


def has_content(units: list[Unit]) -> list[bool]:
    """For each unit: does it say something of a bird (a sign, a measurement, an action, "the rest")?"""
    return [
        not u.muted and ((bool(u.signs) and u.used != "bird") or u.used in ("measure", "action") or u.is_cue("rest"))
        for u in units
    ]


class _Divider:
    """Goes through the mentions once and keeps the exam in hand."""

    def __init__(self, units: list[Unit], ages: list[bool], roles: Mapping[str, str]) -> None:
        self.units = units
        self.roles = dict(roles)
        self.content = has_content(units)
        self.telling = [c and not a for c, a in zip(self.content, ages, strict=True)]
        self.exams = [OpenExam()]
        self.current, self.start = 0, 0
        self.retracted: set[str] = set()
        self.called: dict[str, list[int]] = {}  # exams by the name, and by the last word of the band, they had

    @property
    def here(self) -> OpenExam:
        return self.exams[self.current]

    def said(self, until: int) -> bool:
        """Has anything been told of the bird in hand (its age apart)?"""
        return any(self.telling[self.start : until]) or bool(self.here.segments)

    def mention(self, mention: Mention) -> None:
        here, marks = self.here, bool(mention.band or mention.name)
        if mention.denied:
            self._deny(mention)
        elif mention.name.lower() in self.retracted and not (mention.new or mention.again):
            return
        elif not marks:
            if not mention.start and (self.said(mention.at) or here.known) and not self._just_said(mention):
                self._open(mention)
        elif here.is_called(mention):
            if mention.band.endswith(f" {here.band}"):
                here.band = mention.band
            here.mentions.append(mention)
        elif (earlier := self._earlier(mention)) is not None:
            self._close(mention.at)
            self.current = earlier
            self.here.mentions.append(mention)
        elif mention.weak and here.known:
            here.mentions.append(mention)
        elif (not here.known and not (mention.new and self.said(mention.at))) or (
            not mention.new and not here.differs(mention) and self._same_bird(mention)
        ):
            here.take(mention)
        elif (
            here.differs(mention)
            and not self.said(mention.at)
            and mention.corrects
            and not (mention.new or mention.again or self._listed(mention))
        ):
            if mention.name:
                self.retracted.add(here.name.lower())
                self.retracted.discard("")
            here.take(mention, replace=True)
        else:
            self._open(mention)
        mention.exam = self.current
        for key in _keys(self.here.band, self.here.name):
            if self.current not in (exams := self.called.setdefault(key, [])):
                exams.append(self.current)

    def _earlier(self, mention: Mention) -> int | None:
        """The first exam of a bird that is called like the mention."""
        exams = {k for key in _keys(mention.band, mention.name) for k in self.called.get(key, ())}
        return min((k for k in exams if self.exams[k].is_called(mention)), default=None)

    def _just_said(self, mention: Mention) -> bool:
        """"White 55 is up next": the words that bring a bird stand behind it."""
        here = self.here
        if not here.mentions or any(self.telling[here.mentions[-1].end : mention.at]):
            return False
        return mention.at - here.mentions[-1].end <= 2 and not any(
            u.hard for u in self.units[here.mentions[-1].end : mention.at]
        )

    def _deny(self, mention: Mention) -> None:
        here = self.here
        if here.is_called(mention) and len(here.segments) == 0:
            if mention.band:
                here.band = ""
            if mention.name:
                here.name = ""
            self.start = mention.end

    def _same_bird(self, mention: Mention) -> bool:
        """A name after a band (or the reverse) with nothing told between is one bird's."""
        here = self.here
        if mention.own:
            return True
        last = here.mentions[-1].end if here.mentions else self.start
        return not mention.again and (
            not self.said(mention.at) or (mention.at - last <= NEAR and not any(self.telling[last : mention.at]))
        )

    def _listed(self, mention: Mention) -> bool:
        """Joined to the mention before by a comma, "and" or nothing: another bird, not a correction."""
        here = self.here
        if not here.mentions:
            return False
        between = self.units[here.mentions[-1].end : mention.at]
        after = self.units[mention.end : mention.end + 3]
        if mention.listed:
            return True
        listed = all(u.low in JOINING for u in between) and (
            bool(between)
            or here.mentions[-1].listed
            or any(self._group(u) for u in after)
            or any(u.used == "bird" for u in after[:2])
        )
        mention.listed = listed
        return listed

    def _group(self, unit: Unit) -> bool:
        """all, both of them, all three …"""
        return bool(unit.birds and unit.role("group", self.roles)) or unit.low.split(" ")[0] in ("all", "both")

    def _open(self, mention: Mention) -> None:
        self._listed(mention)
        if any(self.content[self.start : mention.at]) or self.here.known:
            self._close(mention.at)
        else:
            self.start = mention.at
        self.exams.append(OpenExam(mention.band, mention.name, [mention]))
        self.current = len(self.exams) - 1

    def _close(self, at: int) -> None:
        self.here.segments.append(Segment(self.start, at))
        self.start = at

    def finish(self) -> list[OpenExam]:
        self.here.segments.append(Segment(self.start, len(self.units)))
        self._share()
        kept = [e for e in self.exams if e.known or any(any(self.content[s.start : s.end]) for s in e.segments)]
        return kept or [self.exams[0]]

    def _share(self) -> None:
        """"Olive 1, Olive 2, Olive 3, all normal": what follows a list of birds is said of each."""
        for k in range(len(self.exams) - 1, 0, -1):
            last = self.exams[k]
            if not last.mentions or not last.mentions[0].listed or not last.segments:
                continue
            first = last.segments[0]
            head = self.units[last.mentions[0].end : last.mentions[0].end + 4]
            joined = self.units[last.mentions[0].at - 1].low in ("and", ",", "&", "+")
            if not joined and not any(self._group(u) for u in head):
                continue
            j = k - 1
            while j >= 0:
                earlier = self.exams[j]
                if not any(any(self.telling[s.start : s.end]) for s in earlier.segments):
                    earlier.segments.append(Segment(first.start, first.end))
                if not earlier.mentions or not earlier.mentions[0].listed:
                    break
                j -= 1


def divide(units: list[Unit], mentions: list[Mention], ages: list[bool], roles: Mapping[str, str]) -> list[OpenExam]:
    """All exams in the order of first mention; `ages`: units that tell an age. Sets Mention.exam."""
    divider = _Divider(units, ages, roles)
    for mention in mentions:
        divider.mention(mention)
    exams = divider.finish()
    place = {id(e): k for k, e in enumerate(exams)}
    for mention in mentions:
        mention.exam = place.get(id(divider.exams[mention.exam]), -1) if mention.exam >= 0 else -1
    return exams


def share_actions(
    exams: list[OpenExam], mentions: list[Mention], actions: list[FoundAction]
) -> list[list[FoundAction]]:
    """The actions of each exam: where they stand, of the birds they name, or of all birds so far ("both soaked")."""
    by_place = {m.at: m.exam for m in mentions if m.exam >= 0}
    shared: list[list[FoundAction]] = [[] for _ in exams]
    segments = sorted((part.start, part.end, k) for k, exam in enumerate(exams) for part in exam.segments)
    starts = [start for start, _, _ in segments]
    for action in actions:
        named = [by_place[at] for at in action.birds if at in by_place]
        if not named and action.joint:
            named = [k for k, e in enumerate(exams) if e.known and e.mentions and e.mentions[0].at < action.at]
            if action.joint < len(named):  # "both": the two spoken of last
                named = _last_spoken_of(mentions, exams, action.at, action.joint)
        if not named:
            place = bisect_right(starts, action.at) - 1
            named = [segments[place][2]] if place >= 0 and action.at < segments[place][1] else []
        for k in dict.fromkeys(named):
            shared[k].append(action)
    return shared


def _last_spoken_of(mentions: list[Mention], exams: list[OpenExam], at: int, count: int) -> list[int]:
    """The exams of the last `count` birds mentioned before `at`, in the order of their first mention."""
    found: list[int] = []
    for k in range(bisect_left(mentions, at, key=lambda m: m.at) - 1, -1, -1):
        exam = mentions[k].exam
        if exam >= 0 and exams[exam].known and exam not in found:
            found.append(exam)
            if len(found) == count:
                break
    return sorted(found)


def measures_of(exam: OpenExam, measures: list[FoundMeasure]) -> list[FoundMeasure]:
    """The measurements in the stretches of an exam. Where the talk came back to the bird and told her weight anew,
    the last weight counts ("no, those are the wrong way round")."""
    out: list[FoundMeasure] = []
    for part in exam.segments:
        first, last = (bisect_left(measures, place, key=_at) for place in (part.start, part.end))
        here = measures[first:last]
        anew = {m.measurement.kind for m in here if m.measurement.kind in TOLD_ONCE and not m.measurement.former}
        out = [m for m in out if m.measurement.kind not in anew or m.measurement.former]
        out += here
    return out


def _at(found: FoundMeasure) -> int:
    return found.at
