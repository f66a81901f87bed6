"""Tokens and phrases → units: the pieces of talk that the rules look at, each with its senses.

A unit is a phrase of the lexicon, a number, a punctuation mark or a single word. Senses that cannot
be meant where the unit stands (left as a verb, right as a filler, back as an adverb) are taken away
here, so that every later rule may trust them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from dictate.extraction.numbers import Number, NumberReader
from dictate.extraction.phrases import PhraseFinder
from dictate.extraction.repair import Repairer
from dictate.extraction.tokens import Token
from dictate.model import Span
from dictate.vocabulary import Meaning, Vocabulary

__all__ = ["Unit", "UnitMaker"]

DETERMINERS = frozenset("the a an her his its their this that these those some any my each 's she he".split())
POSSESSIVE = frozenset(["the", "her", "his", "its", "their", "this", "that", "these", "those", "both"])
COPULAS = frozenset(
    ["is", "are", "was", "were", "'s", "'re", "be", "been", "looks", "look", "feels", "feel", "seems", "seem", "has", "have", "had", "got", "gets", "being", "stays", "looking", "feeling", "appears", "appear", "remains", "sounds", "sound", "smells", "smell"]
)
PREPOSITIONS = frozenset(
    ["on", "in", "at", "of", "from", "under", "to", "by", "over", "around", "round", "about", "behind", "between", "inside", "beneath", "below", "above", "near", "along", "across", "through", "underneath", "into", "off", "down", "up", "for", "against", "within", "beside", "onto", "alongside"]
)
HARD = frozenset(".!?;")
VERB_BEFORE_LEFT = frozenset("i we he she they you have has had 've 'd who 's what nothing feather feathers not all that nobody just".split())
ADVERB_BACK = frozenset("put go went come came keep kept hold held get got look grown growing pulled fall fell bring brought step turn turned turning fold folds folding sent get going move moved straight".split())


@dataclass(slots=True)
class Unit:
    """One piece of talk: tokens start..end, its words, and what they may mean."""

    start: int
    end: int
    low: str
    span: Span
    kind: str = "word"  # word, punct, newline, number, plus, date
    gap: bool = False
    number: Number | None = None
    region: str = ""
    plural: bool = False
    weak: bool = False
    signs: tuple[Meaning, ...] = ()
    grade: int = 0
    grade_before: bool = False
    side: str = ""
    cues: tuple[tuple[str, str, str], ...] = ()  # (rule id, category, direction)
    unit: tuple[str, ...] = ()
    measures: tuple[str, ...] = ()
    action: tuple[Meaning, ...] = ()
    delay: str = ""
    birds: tuple[Meaning, ...] = ()
    observation: str = ""
    slip: str = ""
    used: str = ""
    muted: str = ""
    mute_rule: str = ""
    notes: list[str] = field(default_factory=list)

    def is_cue(self, category: str) -> bool:
        return any(cue[1] == category for cue in self.cues)

    def role(self, role: str, roles: Mapping[str, str]) -> str:
        """The id of the bird word of that role, or nothing."""
        return next((m.id for m in self.birds if roles[m.id] == role), "")

    @property
    def hard(self) -> bool:
        return self.kind == "newline" or (self.kind == "punct" and self.low in HARD)


class UnitMaker:
    """Makes units from tokens with one vocabulary."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.finder = PhraseFinder(vocabulary)
        self.repairer = Repairer(vocabulary)
        self.numbers = NumberReader(vocabulary.numbers)
        self.cues = {cue.id: (cue.id, cue.category, cue.direction) for cue in vocabulary.cues.values()}
        self.glued: dict[str, str] = {}
        for region in vocabulary.regions.values():
            for form in region.glued:
                self.glued.setdefault(form.lower(), region.id)
        self.near = {entry.id: {w.lower() for w in entry.near} for entry in vocabulary.spellings.values()}
        self.steps = {grade.id: grade.step for grade in vocabulary.grades.values()}

    def make(self, tokens: Sequence[Token], text: str) -> list[Unit]:
        """All units of the tokens, in order, covering each token once."""
        words, mended = self.repairer.words(tokens)
        units: list[Unit] = []
        at = 0
        for start, end, senses in self.finder.find(words):
            if start < at:
                continue
            at = self._plain(tokens, words, at, start, units)
            if at > start:
                continue
            number = self.numbers.read(words, start)
            if number and number.end >= end:
                at = self._number(tokens, words, number, units)
                continue
            units.append(self._phrase(tokens, words, start, end, senses))
            at = end
        self._plain(tokens, words, at, len(words), units)
        if mended:
            for unit in units:
                if any(at in mended for at in range(unit.start, unit.end)):
                    unit.slip = unit.slip or "repair"
        units = self._unglue(units)
        disambiguate(units)
        return units

    def _plain(self, tokens: Sequence[Token], words: list[str], at: int, stop: int, units: list[Unit]) -> int:
        while at < stop:
            number = self.numbers.read(words, at)
            if number:
                at = self._number(tokens, words, number, units)
                continue
            token = tokens[at]
            units.append(Unit(at, at + 1, token.low, Span(token.start, token.end), token.kind, token.gap))
            at += 1
        return at

    def _number(self, tokens: Sequence[Token], words: list[str], number: Number, units: list[Unit]) -> int:
        span = Span(tokens[number.start].start, tokens[number.end - 1].end)
        low = " ".join(words[number.start : number.end])
        units.append(Unit(number.start, number.end, low, span, "number", tokens[number.start].gap, number))
        return number.end

    def _phrase(
        self, tokens: Sequence[Token], words: list[str], start: int, end: int, senses: tuple[Meaning, ...]
    ) -> Unit:
        unit = Unit(
            start, end, " ".join(words[start:end]), Span(tokens[start].start, tokens[end - 1].end),
            tokens[start].kind if end - start == 1 else "word", tokens[start].gap,
        )
        if "'" in unit.low:  # words as people spell them: she's, isn't
            unit.low = unit.low.replace(" '", "'").replace(" n't", "n't")
        signs, cues, actions, birds, measures, kinds = [], [], [], [], [], []
        for m in senses:
            if "|" in m.form:
                mark, meant = m.form.split("|")[1].split(":", 1)
                if mark == "near" and not self.near[meant] & set(words[max(0, start - 5) : end + 5]):
                    continue
                unit.slip = mark
            if m.kind == "region":
                if not unit.region:
                    unit.region, unit.plural, unit.weak = m.id, "plural" in m.form, m.form.startswith("weak")
            elif m.kind == "sign":
                signs.append(m)
            elif m.kind == "cue":
                cues.append(self.cues[m.id])
            elif m.kind == "grade":
                unit.grade, unit.grade_before = self.steps[m.id], m.form == "before"
            elif m.kind == "side":
                unit.side = m.id
            elif m.kind == "action":
                actions.append(m)
            elif m.kind == "bird":
                birds.append(m)
            elif m.kind == "measure":
                measures.append(m.id)
            elif m.kind == "unit":
                kinds.append(m.id)
            elif m.kind == "delay":
                unit.delay = unit.delay or m.id
            elif m.kind == "observation":
                unit.observation = m.id
        unit.signs, unit.cues, unit.action = tuple(signs), tuple(cues), tuple(actions)
        unit.birds, unit.measures, unit.unit = tuple(birds), tuple(measures), tuple(kinds)
        return unit

    def _unglue(self, units: list[Unit]) -> list[Unit]:
        """LFP → left + foot pad, where nothing else is known of the word."""
        out: list[Unit] = []
        for unit in units:
            low = unit.low
            if unit.kind == "word" and low[0] in "lr" and 1 < len(low) <= 5 and low[1:] in self.glued and not (
                unit.region or unit.signs or unit.side or unit.cues or unit.measures
            ):
                cut = unit.span.start + 1
                side = Unit(unit.start, unit.start, low[0], Span(unit.span.start, cut), gap=unit.gap)
                side.side = "left" if low[0] == "l" else "right"
                part = Unit(unit.start, unit.end, low[1:], Span(cut, unit.span.end))
                part.region = self.glued[low[1:]]
                out += [side, part]
            else:
                out.append(unit)
        return out


def disambiguate(units: list[Unit]) -> None:
    """Take away senses that cannot be meant where the unit stands."""
    size = len(units)
    _stutters(units)
    for i, unit in enumerate(units):
        before = units[i - 1] if i else None
        after = units[i + 1] if i + 1 < size else None
        if unit.low in ("?", "??") and _is_query(units, i):
            unit.kind = "query"
        if unit.side in ("left", "right") and unit.low in ("left", "right"):
            if not _is_side(units, i, before, after):
                unit.side = ""
        if unit.region == "back" and unit.low == "back" and (
            not _is_back(before, after) or (i > 1 and before is not None and before.low == "the" and units[i - 2].low == "at")
        ):
            unit.region = ""
        if unit.signs and before is not None and before.low in ("i", "we", "to", "i'll", "we'll", "you", "i've") and all(
            m.form.startswith("noun") for m in unit.signs
        ):
            unit.signs = ()  # "needs cutting, so I cut it"
        if unit.low in ("yep", "check", "yup", "yes", "n") and unit.signs and not (
            before is not None and (before.region or before.side) and not before.weak and not unit.gap
            and (after is None or after.region or after.side or after.gap or after.kind in ("punct", "newline"))
        ):
            unit.signs = ()
        if unit.signs and unit.low in ("okay", "ok", "fine", "good", "nice", "lovely", "clear", "perfect", "all right",
                                       "alright", "clean", "excellent", "beautiful", "lively"):
            _plain_good(units, i, before, after)


def _stutters(units: list[Unit]) -> None:
    """"in the in the right leg": words said twice in a row count once."""
    lows = [u.low for u in units]
    for size in (3, 2):
        for i in range(len(units) - 2 * size + 1):
            if lows[i] == lows[i + size] and lows[i : i + size] == lows[i + size : i + 2 * size] and all(
                u.kind == "word" and not u.signs and not u.used for u in units[i : i + size]
            ) and not any(u.birds and u.region == "" and u.side == "" and u.low not in DETERMINERS for u in units[i : i + size]):
                for u in units[i : i + size]:
                    u.used = "stutter"


def _is_query(units: list[Unit], i: int) -> bool:
    """"?lice" and "mites?" are doubt; the mark of a whole question ends a sentence."""
    after = units[i + 1] if i + 1 < len(units) else None
    if after is not None and after.kind in ("word", "number") and after.span.start == units[i].span.end:
        return True
    k = i - 1
    while k >= 0 and not units[k].hard and units[k].low not in (",", "-", ":"):
        k -= 1
    inside = units[k + 1 : i]
    if after is not None and after.low in ("no", "yes", "nope", "yep", "yeah"):
        return False
    return bool(inside) and len(inside) <= 4 and inside[0].low not in QUESTIONS and any(u.signs for u in inside)


QUESTIONS = frozenset("what who which how why when where is are was were does do did has have can could would".split())


def _is_side(units: list[Unit], i: int, before: Unit | None, after: Unit | None) -> bool:
    low = units[i].low
    if after is not None and (after.region or after.side) and after.kind != "newline":
        return not (before is not None and low == "left" and before.low in VERB_BEFORE_LEFT and not after.region)
    prev = before.low if before is not None and not (units[i].gap and low == "right") else ""
    if low == "left" and prev in VERB_BEFORE_LEFT:
        return False
    if prev in ("the", "on", "her", "his", "its", "under", "that", "and", "or", "from", "in", "no", "to", "of", "nor",
                "this", "sorry", "not", "just", "only", "extreme", "for"):
        return not (low == "right" and prev in ("that", "and", "no", "not", "just", "this", "in", "to", "only")
                    and (after is None or not (after.low in COPULAS or after.low in ("one", "side", "'s"))))
    if before is not None and before.region and not before.weak:
        return after is None or (after.low not in ("so", "now", "then", "okay", "ok", "next", "well") and not (
            low == "right" and after.low in ("she", "he", "i", "i'll", "let", "that")))
    if before is not None and (before.side or before.is_cue("correction") or before.is_cue("ditto")):
        return True
    if after is not None and after.low in COPULAS and (low == "left" or not units[i].gap):
        return (before is not None and before.kind in ("punct", "newline")) or low == "left"
    if after is not None and after.is_cue("ditto") and not units[i].gap:
        return True
    if after is not None and after.low in ("one", "side", "hand", ":", "-", "="):
        return True
    for j in range(i + 1, min(i + 4, len(units))):  # left upper eyelid, right big toe
        other = units[j]
        if other.region:
            return all(units[k].kind == "word" and (units[k].signs or units[k].grade or not units[k].cues)
                       and units[k].low not in ("the", "her", "his", "so", "now", "and", "she", "he", "then", "okay",
                                                "let", "well", "starting", "a", "an", "on", "next", "i")
                       for k in range(i + 1, j))
        if other.kind != "word":
            break
    if low == "right" and before is not None and before.kind == "punct" and after is not None and after.signs and any(
        u.low == "left" for u in units[max(0, i - 9) : i]
    ):
        return True
    if after is not None and after.signs and before is not None and (before.kind == "punct" or before.signs):
        return low == "left" and before.low not in ("feather",)
    return before is not None and before.kind == "punct" and low == "left"


def _is_back(before: Unit | None, after: Unit | None) -> bool:
    if before is not None and before.low in ADVERB_BACK:
        return False
    if after is not None and after.low in ("to", "up", "in", "at", "down", "again", "into", "from", "out", "inside",
                                           "over", "home", "for", "with"):
        return before is not None and before.low in POSSESSIVE
    if before is not None and (before.low in POSSESSIVE or before.low in ("on", "a", "lower", "upper", "and", "no",
                                                                          "across", "over", "along", "of", "'s")):
        return True
    if after is not None and (after.signs or after.grade or after.low in COPULAS or after.low in (":", "-", "and")
                              or after.side):
        return True
    return before is None or before.kind in ("punct", "newline") or bool(before.signs or before.region)


GOOD_BEFORE = frozenset("all both very quite looks look feel feels still also too just pretty perfectly really nice and or not n't as otherwise absolutely ' no now there each too one ones".split())


def _plain_good(units: list[Unit], i: int, before: Unit | None, after: Unit | None) -> None:
    """A plain good word counts when something is called good, not when the speaker says "okay" to go on."""
    unit = units[i]
    if before is None or unit.gap or before.hard:
        attributive = after is not None and (after.region or after.side) and unit.low not in ("okay", "ok", "all right",
                                                                                             "alright")
        if not (attributive or (before is not None and before.hard and after is not None and after.hard
                                and unit.low not in ("okay", "ok", "good", "all right", "alright", "right"))):
            unit.signs = ()
        return
    discourse = unit.low in ("okay", "ok", "all right", "alright")
    if before.region or before.side or before.low in COPULAS or before.low in GOOD_BEFORE or (before.grade and not discourse):
        if before.low == "right" and not before.side:
            unit.signs = ()
        return
    if before.kind in ("punct", "number") or before.cues or before.signs:
        if unit.low in ("okay", "ok", "all right", "alright") and (before.signs or before.low == ","):
            unit.signs = ()
        return
    if after is not None and (after.region or after.side):
        if unit.low in ("okay", "ok", "all right", "alright"):
            unit.signs = ()
        return
    if unit.low in ("okay", "ok", "all right", "alright"):
        far = units[max(0, i - 4) : i]
        if not any(u.region or u.low in COPULAS for u in far) or any(u.signs for u in far):
            unit.signs = ()
