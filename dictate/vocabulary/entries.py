"""The shapes of the lexicon's entries, one class for each kind of block in its files.

A file holds blocks of one or a few kinds (`[[region]]`, `[[sign]]` …). Unknown keys, wrong types and
empty phrases are faults. `say` is what people say or write; `short` is only ever written and
never offered to a recogniser. Lists are kept in the file's order.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

__all__ = [
    "BLOCKS",
    "Action",
    "BirdWord",
    "Command",
    "Confusion",
    "CourseWord",
    "CueRule",
    "Delay",
    "Entry",
    "Event",
    "ExamKind",
    "Examiner",
    "Grade",
    "LookAgain",
    "Lookalike",
    "Manifest",
    "Measure",
    "Misheard",
    "NumberWord",
    "ObservationKind",
    "Pronunciation",
    "Regime",
    "Region",
    "Sentence",
    "SideWord",
    "Sign",
    "Slot",
    "Spelling",
    "Unit",
]

Phrase = Annotated[str, StringConstraints(min_length=1, pattern=r"^\S(.*\S)?$")]
Phrases = Annotated[tuple[Phrase, ...], Field(strict=False)]
Id = Annotated[str, StringConstraints(min_length=1)]
Standing = Literal["found", "memory", "own"]
"""Where a fact was read: in its source, nowhere yet, or it is this program's own choice."""


class Entry(BaseModel):
    """What every entry has: an id, unique in its kind, and the ways of saying it. `said`: its phrases stand in
    sentences of dictation."""

    said: ClassVar[bool] = True
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    id: Id
    say: tuple[Phrase, ...] = Field(default=(), strict=False)
    short: tuple[Phrase, ...] = Field(default=(), strict=False)
    note: str = ""


class Aside(Entry):
    """Words about words, whole commands, rules, what is looked for in records: no part of a sentence."""

    said: ClassVar[bool] = False


class Region(Entry):
    """A part of the body. `plural` names both or all of it; `glued` are short forms that may be stuck
    to L or R ("LFP"); `weak` words give way to any other region.

    `limb` is the region that the limb is named by. `whole`: said for all that hangs on it ("the toes of
    the left foot"); `small`: a part of such a whole; `several`: more than one on each side. `halves`: has
    a left and a right in talk, though it is not paired. `diffuse`: no place that talk goes on about. `underside`: the
    region that is meant by "under" it ("underneath the foot"). `instead`: the region meant by the same words
    where a sign is never said of this one ("her chest is bare"). `adverb`: words of it that are adverbs too ("put
    her back").
    """

    order: int
    paired: bool = False
    plural: tuple[Phrase, ...] = Field(default=(), strict=False)
    short_plural: tuple[Phrase, ...] = Field(default=(), strict=False)
    glued: tuple[Phrase, ...] = Field(default=(), strict=False)
    weak: tuple[Phrase, ...] = Field(default=(), strict=False)
    limb: str = ""
    whole: bool = False
    small: bool = False
    several: bool = False
    halves: bool = False
    adverb: tuple[Phrase, ...] = Field(default=(), strict=False)
    diffuse: bool = False
    underside: str = ""
    instead: str = ""
    code: str = ""


class Sign(Entry):
    """A sign. `say` means it anywhere; `on` means it only on the named regions and there before any
    other sense of the same words. `noun` are things (they take a plural), `nil` means its absence
    ("n/d"). `home` is the region it belongs to unless another is said; with `always_home` even then.
    `usual` lists where it is commonly seen (elsewhere: a rare pair). `state`: of such signs a region has
    one at a time (full, empty). `plain`: it may be seen with nothing wrong (empty, moulting). `counted`:
    things that are counted one by one, as parasites are. `denied`: by region, the good words whose denial
    means the sign ("the keel isn't straight"). `lasting`: is there still when it has healed (a part that is
    missing)."""

    on: dict[str, Phrases] = Field(default_factory=dict, strict=False)
    denied: dict[str, Phrases] = Field(default_factory=dict, strict=False)
    noun: tuple[Phrase, ...] = Field(default=(), strict=False)
    nil: tuple[Phrase, ...] = Field(default=(), strict=False)
    home: str = ""
    always_home: bool = False
    parasite: bool = False
    counted: bool = False
    lasting: bool = False
    state: bool = False
    plain: bool = False
    usual: tuple[Id, ...] = Field(default=(), strict=False)
    colours: tuple[Phrase, ...] = Field(default=(), strict=False)


class Grade(Entry):
    """Words for slight (1), moderate (2) and severe (3). `before` may only stand before the sign."""

    step: Literal[1, 2, 3]
    before: tuple[Phrase, ...] = Field(default=(), strict=False)


class SideWord(Entry):
    """left, right, both, either, neither, each, other."""


class CueRule(Entry):
    """Words that decide how a sign is meant: absent, doubtful, past, taught …

    `direction`: forward and backward say where the words it governs stand; `alone` governs nothing.
    `reach` is the farthest sign in words. `example` and `expect` are run by `dictate words check`:
    `expect` lists findings in the notation "region side: [possibly] [past] [no] sign [grade]".
    """

    category: Literal[
        "absent", "doubtful", "certain", "past", "gone", "still", "now", "decoy", "stop",
        "hypothetical", "teaching", "returning", "exception", "correction", "withdraw", "ditto",
        "rest", "nothing", "other-bird", "aside", "former", "condition", "advice", "not-done",
        "double", "replace", "audience",
    ]
    direction: Literal["forward", "backward", "alone"] = "forward"
    reach: int = Field(default=12, ge=1)
    example: str = ""
    expect: tuple[str, ...] | None = Field(default=None, strict=False)


class Unit(Entry):
    """A unit: `kind` of quantity and the factor that turns it into the record's unit (g, mm, C …).

    Source of the factors: UCUM essence and NIST SP 811 (lb, oz, in exact by definition).
    """

    quantity: Literal["mass", "length", "area", "temperature", "rate", "finger", "time", "volume"]
    factor: float
    offset: float = 0.0
    unit: str


class Measure(Entry):
    """A kind of measurement: its words, unit, and the range in which a value is believed unasked.

    Of a count: `points_of` is what has the points that `after` names, `feathered` are regions whose feathers are
    counted, as the thing `feathers`, where one of `feather_signs` is said of them. Of a size: one of
    `not_of` or straight after `not_after` is not that of something found.
    """

    quantity: Literal["mass", "length", "temperature", "rate", "finger", "time", "score", "count"]
    unit: str
    low: float
    high: float
    after: tuple[Phrase, ...] = Field(default=(), strict=False)
    points_of: str = ""
    feathers: str = ""
    feathered: tuple[Id, ...] = Field(default=(), strict=False)
    feather_signs: tuple[Id, ...] = Field(default=(), strict=False)
    not_of: tuple[Phrase, ...] = Field(default=(), strict=False)
    not_after: tuple[Phrase, ...] = Field(default=(), strict=False)


class Action(Entry):
    """Something done or planned. `say` are enough by themselves; `weak` need a word of planning before
    them; `parts` need one of `near` in their clause (eggs … held back), or one of `refused` with a "not" (not
    selling … eggs)."""

    length: bool = False
    weak: tuple[Phrase, ...] = Field(default=(), strict=False)
    parts: tuple[Phrase, ...] = Field(default=(), strict=False)
    near: tuple[Phrase, ...] = Field(default=(), strict=False)
    refused: tuple[Phrase, ...] = Field(default=(), strict=False)


class Delay(Entry):
    """Words for a length of time in days (week = 7); `whole` phrases need no number (tomorrow = 1);
    null `days` with `unknown` true is a time that is not counted (Friday)."""

    days: float = 0
    whole: bool = False
    unknown: bool = False


class NumberWord(Entry):
    """A number word: units, tens, hundred, point, half …"""

    value: float
    role: Literal["unit", "teen", "ten", "hundred", "thousand", "point", "fraction", "several", "repeat"]


class BirdWord(Entry):
    """Words about which bird it is: sexes, colours, band words, breeds, letters, "next bird" …"""

    role: Literal[
        "sex", "colour", "letter", "band", "next", "name", "breed", "pen", "again", "start", "not-a-name",
        "no-band", "bird", "kin", "title", "group", "given",
    ]
    lays: bool = True  # of sexes: whether she lays eggs, or will


class ObservationKind(Entry):
    """What is said of a pen or the flock: deaths, eggs … `yields`: "no eggs" is no count of none."""

    unit: str = "1"
    yields: bool = False


class Command(Aside):
    """A voice command, said alone between two pauses: never part of a sentence of dictation.

    `around`: words that may stand before or after any command without making it dictation (um, okay).
    `before` and `after` are said with a name ("… takes over").
    """

    around: tuple[Phrase, ...] = Field(default=(), strict=False)
    before: tuple[Phrase, ...] = Field(default=(), strict=False)
    after: tuple[Phrase, ...] = Field(default=(), strict=False)


class Examiner(Aside):
    """Somebody who examines birds, by name as it is to stand in the log; `say` is how it is said."""


class Spelling(Aside):
    """A short form, slip of the pen or of the recogniser (`say`, `short`) and what is meant (`id`).

    `near`: taken only if one of these words stands within three words of it.
    """

    near: tuple[Phrase, ...] = Field(default=(), strict=False)
    heard: bool = False


class Misheard(Aside):
    """What recognisers write where the word `id` was said: `say` is never said in a sense of its own, `perhaps` are
    ordinary words that are taken for it only where the words around leave no other sense."""

    perhaps: tuple[Phrase, ...] = Field(default=(), strict=False)


class Pronunciation(Aside):
    """How the word `id` sounds: `phones` are ways of saying it in the recogniser's phones ("N EH R"),
    `like` are words that sound the same ("nair")."""

    phones: tuple[Phrase, ...] = Field(default=(), strict=False)
    like: tuple[Phrase, ...] = Field(default=(), strict=False)


class Sentence(Aside):
    """Patterns of exam talk for the language model: `say` may hold {slots}; see sentences.toml."""

    weight: float = Field(default=1.0, ge=0)


class Slot(Aside):
    """What may stand in the {slot} named by `id`: `say` are patterns too."""


class Lookalike(Aside):
    """Words of plain English that look like trade words and are none."""


class LookAgain(Aside):
    """When signs are to be looked at again, by what is published: `by` so many days at the latest, and
    once more no sooner than `again`. `regions` limits the signs (empty: wherever they are)."""

    signs: tuple[Id, ...] = Field(min_length=1, strict=False)
    regions: tuple[Id, ...] = Field(default=(), strict=False)
    species: tuple[Id, ...] = Field(min_length=1, strict=False)
    by: int | None = Field(default=None, ge=1)
    again: int | None = Field(default=None, ge=1)
    because: Phrase
    source: Phrase
    standing: Standing


class Regime(Aside):
    """The law on withheld produce in one `place` for last doses from `since` to `until`; see regimes.toml."""

    place: Id
    called: Phrase
    since: date = Field(strict=False)
    until: date | None = Field(default=None, strict=False)
    factor: float | None = Field(default=None, ge=1)
    least: dict[Literal["eggs", "meat"], int] = Field(default_factory=dict)
    least_of_none: dict[Literal["eggs", "meat"], int] = Field(default_factory=dict)
    source: Phrase
    standing: Standing
    memory: str = ""


class Event(Aside):
    """Something that happens to a bird. `leaves`: she is no longer due nor counted; `lasts`: it may have
    an end; `to_pen`: it may name a pen; `ends`: the event that it ends. `told`: words in an exam after
    which review asks whether it happened."""

    told: tuple[Phrase, ...] = Field(default=(), strict=False)
    leaves: bool = False
    lasts: bool = False
    to_pen: bool = False
    ends: str = ""


class ExamKind(Aside):
    """Words that tell a kind of exam; not so after one of `before_not`."""

    before_not: tuple[Phrase, ...] = Field(default=(), strict=False)


class CourseWord(Aside):
    """Words of a told treatment that what follows is its product, batch, prescriber …"""


class Confusion(Aside):
    """How a recogniser that does not know the trade's words writes the sound `id` (a phone of the CMU
    dictionary, as it is meant): `written` as these sounds with their shares ("D 0.031"), left out in the
    share `lost`; and how often this sound is written where none was meant (`added`, of all sounds)."""

    written: tuple[Phrase, ...] = Field(default=(), strict=False)
    lost: float = Field(gt=0, lt=1)
    added: float = Field(gt=0, lt=1)


class Manifest(BaseModel):
    """lexicon.toml: what the folder is."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    format: Literal[1]
    language: str
    release: str


BLOCKS: dict[str, type[Entry]] = {
    "region": Region,
    "sign": Sign,
    "grade": Grade,
    "side": SideWord,
    "cue": CueRule,
    "unit": Unit,
    "measure": Measure,
    "action": Action,
    "delay": Delay,
    "number": NumberWord,
    "bird": BirdWord,
    "observation": ObservationKind,
    "spelling": Spelling,
    "lookalike": Lookalike,
    "misheard": Misheard,
    "command": Command,
    "confusion": Confusion,
    "examiner": Examiner,
    "pronunciation": Pronunciation,
    "sentence": Sentence,
    "slot": Slot,
    "look_again": LookAgain,
    "regime": Regime,
    "event": Event,
    "exam_kind": ExamKind,
    "course_word": CourseWord,
}
