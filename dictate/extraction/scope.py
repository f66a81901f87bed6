"""Which words are not about this bird now: teaching, what-ifs, other birds, asides, quotations.

Units so governed are muted: they give no finding, but a region taught about may be taken up again by
"hers is soft". The reach of each cue ends at the end of its sentence, where the talk comes back to
the bird, or after a number of units where there is no punctuation to tell.
"""

from __future__ import annotations

from dictate.extraction.english import COPULAS
from dictate.extraction.units import CueSense, Unit, unit_at

__all__ = ["mute"]

REACH = {"hypothetical": 16, "teaching": 24, "other-bird": 12, "aside": 7}
BACKWARD = frozenset(
    "is another matter, is a different matter, is another thing, can mean, could mean, can get, means, "
    "can be, would be, would mean, is called, tells you, usually means, often means, that would be, "
    "that'd be, can cause, can look, would worry, ought to be, should be, may mean, might mean, prone to, "
    "tend to get, they get, can lead to, is when, supposed to be, meant to be, should feel, should look, "
    "it'd be, it would be, shouldn't be, can have, would look like, is where, often get, could turn into, "
    "could lead to, would have been".split(", ")
)
QUESTION = frozenset(
    "what who which how why when where is are was were does do did has have can could would should will "
    "isn't aren't doesn't don't".split()
)
# what follows is made up
INVENTED = frozenset(
    "drill, this is a drill, practice run, imagine, suppose, pretend, let's say, supposing".split(", ")
)
BACK_TO_WORK = frozenset("okay right now anyway so".split())
# before a returning word: it does not return
NO_RETURN = frozenset("if when that because unless whether where of like to for than".split())
# come back to the bird only after some words
SOFT_RETURNS = frozenset("she has, he has, she does, he does, she's got, he's got, actually, mine, i see".split(", "))
SENTENCE_OPENERS = frozenset("so now and right okay but then well".split())
VERBS = frozenset("feels looks smells means sounds is has can will tends gets wants needs should".split())
NO_QUESTION_AFTER = frozenset("one so here what as than like".split())  # "the one was it": not the question "was it"
QUESTION_ENDS = frozenset("no yes not it she he".split())
FRESH_START = frozenset("and so but now then".split())


def mute(units: list[Unit], punctuated: bool) -> None:
    """Mark the units that are not about this bird now (`muted`: why, `mute_rule`: which cue)."""
    _quotations(units)
    _questions(units, punctuated)
    if punctuated:
        _generalities(units)
    _cued(units, punctuated)
    if is_teaching(units):
        _lesson(units, punctuated)


def is_teaching(units: list[Unit]) -> bool:
    """True for talk to listeners: cues of teaching come often, or an audience is spoken to."""
    cues = [cue for u in units if u.cues for cue in u.cues]
    taught = sum(
        cue.category == "teaching" or (cue.category == "hypothetical" and cue.rule != "reported") for cue in cues
    )
    spoken_to = sum(1 for u in units if u.cues and u.is_cue("audience"))
    return (taught >= 3 and 100 * taught >= 3 * len(units)) or (spoken_to >= 1 and taught + spoken_to >= 3)


GENERIC = frozenset(
    "you you'd your you'll birds hens people they them would never someone somebody anyone they'd folk keepers".split()
)
AT_HAND = frozenset("her his hers this here i've i'm we've she he she's he's mine these".split())


def _lesson(units: list[Unit], punctuated: bool) -> None:
    """In a lesson a sentence counts only once a bird is at hand, and not where it speaks of any bird."""
    at_hand = False
    start = 0
    for i in range(len(units) + 1):
        if i < len(units) and not _sentence_ends(units, i, start, punctuated):
            continue
        inside = units[start:i]
        open_ = [u for u in inside if not u.muted]
        shown = any(u.used in ("bird", "measure") for u in inside) or any(
            u.low.split(" ")[0] in AT_HAND or any(cue.rule == "back-to-the-bird" for cue in u.cues) for u in open_
        )
        generic = any(u.low.split(" ")[0] in GENERIC for u in open_) or (
            len(inside) > 1
            and inside[0].low in ("a", "an")
            and (bool(inside[1].region or inside[1].signs or inside[1].birds))
        )
        if any(u.used == "bird" for u in inside) or (shown and not generic):
            at_hand = True
        elif not at_hand or (generic and not shown):
            for u in open_:
                if u.used not in ("bird", "measure"):
                    u.muted, u.mute_rule = "teaching", "no bird at hand"
        start = i


def _sentence_ends(units: list[Unit], i: int, start: int, punctuated: bool) -> bool:
    if punctuated:
        return i > start and units[i - 1].hard
    unit = units[i]
    return i > start and (
        unit.gap
        or unit.used == "bird"
        or any(cue.rule == "back-to-the-bird" or cue.category in ("teaching", "hypothetical") for cue in unit.cues)
        or unit.low in ("so", "okay", "now", "then")
    )


def _cued(units: list[Unit], punctuated: bool) -> None:
    i, size = 0, len(units)
    while i < size:
        unit = units[i]
        found = next((cue for cue in unit.cues if cue.category in REACH), None) if unit.cues and not unit.used else None
        if found is None or unit.muted or _is_no_cue(units, i):
            i += 1
            continue
        rule, category, _ = found
        end = _end(units, i, category, rule, punctuated)
        start = _start(units, i, punctuated) if unit.low in BACKWARD and category == "teaching" else i
        for k in range(start, end):
            if not units[k].muted and (units[k].used != "bird" or category == "hypothetical"):
                units[k].muted, units[k].mute_rule = category, rule
        i = max(end, i + 1)


def _is_no_cue(units: list[Unit], i: int) -> bool:
    """"if anything": said of the bird at hand."""
    after = unit_at(units, i + 1)
    return units[i].low == "if" and after is not None and after.low == "anything"


def _end(units: list[Unit], i: int, category: str, rule: str, punctuated: bool) -> int:
    reach = REACH[category]
    invented = units[i].low in INVENTED
    if invented and punctuated:
        return _invented(units, i)
    if rule == "cause":
        reach = 3
    k, size, limit = i + 1, len(units), i + (60 if punctuated and category != "aside" else reach)
    while k < size and k < limit:
        unit = units[k]
        if unit.hard and not (unit.low == ";" and category != "other-bird"):
            return k
        if unit.used == "bird" and k > i + 1 and not (category in ("other-bird", "hypothetical") and k <= i + 4):
            return k
        if not punctuated and unit.used == "measure":
            return k
        if (
            category == "hypothetical"
            and rule == "reported"
            and (
                unit.is_cue("stop")
                or unit.low in ("so",)
                or (unit.low == "and" and k + 1 < size and units[k + 1].low in ("she", "he", "it", "they"))
            )
        ):
            return k
        if category in ("other-bird", "aside") and (
            unit.is_cue("stop") or unit.low in (";", "but") or (punctuated and category == "aside" and unit.low == ",")
        ):
            return k
        if not punctuated and category == "aside" and unit.gap:
            return k
        if not punctuated and any(cue.category in ("teaching", "hypothetical") for cue in unit.cues):
            limit = max(limit, k + reach)
        if _returns(units, k, i, category, punctuated):
            return k
        if not punctuated and unit.gap and k > i + 3 and unit.low in BACK_TO_WORK:
            return k
        k += 1
    return min(k, size)


def _invented(units: list[Unit], i: int) -> int:
    """An imagined case goes on over sentences until a real bird is pointed at."""
    for k in range(i + 1, min(i + 70, len(units))):
        unit = units[k]
        if unit.kind == "newline" or (any(cue.rule == "back-to-the-bird" for cue in unit.cues) and units[k - 1].hard):
            return k
        after = unit_at(units, k + 1)
        if after is not None and unit.hard and after.low in ("see", "now", "right", "okay") and k - i > 12:
            return k
        if (
            after is not None
            and unit.hard
            and after.low in ("her", "his")
            and k + 2 < len(units)
            and units[k + 2].region
        ):
            return k
    return min(i + 70, len(units))


def _returns(units: list[Unit], k: int, i: int, category: str, punctuated: bool) -> bool:
    unit = units[k]
    rules = {cue.rule for cue in unit.cues if cue.category == "returning"}
    if not rules:
        return False
    before = units[k - 1].low
    if before in NO_RETURN:
        return False
    if "back-to-the-bird" in rules:
        if unit.low in SOFT_RETURNS:
            return k - i >= 4
        return k > i + 1 or unit.low not in ("this bird", "this hen")
    if k - i < 4 or punctuated:
        return False
    ahead = units[k + 1 : k + 5]
    if unit.low in ("her", "his"):
        for n, other in enumerate(ahead):
            if other.region:
                follow = unit_at(units, k + 2 + n)
                return follow is not None and (follow.low in COPULAS or bool(follow.signs) or follow.gap)
            if not (other.side or other.low in ("own", "upper", "lower")):
                return False
        return False
    if category == "hypothetical" and unit.low in ("she's", "he's", "she isn't", "he isn't"):
        return False
    if unit.low in ("there's", "there is", "there are"):
        return category != "hypothetical" and k - i >= 10
    return False


def _start(units: list[Unit], i: int, punctuated: bool) -> int:
    """A generalisation mutes what stands before its verb too: "a pale face can mean lice"."""
    k = i
    limit = 0 if punctuated else i - 6
    while k > max(0, limit):
        before = units[k - 1]
        if (
            before.hard
            or before.used in ("bird", "measure", "action")
            or any(cue.rule == "back-to-the-bird" for cue in before.cues)
        ):
            break
        if not punctuated and (before.gap or before.low in FRESH_START):
            k -= before.low not in FRESH_START
            break
        k -= 1
    return k


def _quotations(units: list[Unit]) -> None:
    """Words in quotation marks after say, like or example are a sample of dictation, not an exam."""
    opened = -1
    for i, unit in enumerate(units):
        if unit.low != '"':
            continue
        if opened < 0:
            opened = i
            continue
        words = [u for u in units[opened + 1 : i] if u.kind != "punct"]
        if len(words) >= 4:
            for u in units[opened : i + 1]:
                u.muted, u.mute_rule = "quotation", "quotation"
                if u.used == "bird":
                    u.used = ""
        opened = -1


def _generalities(units: list[Unit]) -> None:
    """"An impacted crop feels like a bag of sand.": a, an + region + verb speaks of any bird."""
    start = 0
    for i, unit in enumerate(units):
        if not unit.hard:
            continue
        head = units[start : min(i, start + 7)]
        if head and head[0].low in ("a", "an") and not any(u.used for u in head):
            region = next((k for k, u in enumerate(head) if u.region or u.birds), None)
            if (
                region is not None
                and region + 1 < len(head)
                and head[region + 1].low in VERBS
                and not (region + 2 < len(head) and head[region + 2].low in ("on", "in", "there", "missing", "gone"))
            ):
                for u in units[start:i]:
                    u.muted, u.mute_rule = "teaching", "a bird in general"
        start = i + 1


def _answer(units: list[Unit], start: int) -> None:
    """The answer to a teaching question ("What would worry me? Frostbite …") is teaching too."""
    end = next((k for k in range(start, len(units)) if units[k].hard), len(units))
    if any(u.used == "bird" or any(cue.category == "returning" for cue in u.cues) for u in units[start:end]):
        return
    for u in units[start:end]:
        u.muted, u.mute_rule = "question", "question"


def _questions(units: list[Unit], punctuated: bool) -> None:
    """A question is no finding; "?" before or straight after a sign is doubt and stays."""
    if punctuated:
        start = 0
        for i, unit in enumerate(units):
            if not unit.hard:
                continue
            if unit.low == "?" and i - start >= 4:
                first = start
                while first < i and (units[first].kind == "punct" or units[first].low in SENTENCE_OPENERS):
                    first += 1
                if units[first].low == "any" and i + 1 < len(units):
                    if units[i + 1].low in ("no", "none", "nope", "nothing", "nah"):
                        units[first].cues = (CueSense("no", "absent", "forward"),)
                    elif units[i + 1].low not in ("yes", "yep", "yeah"):
                        for u in units[first:i]:
                            u.muted, u.mute_rule = "question", "question"
                commas = [k for k in range(first, i) if units[k].low == ","]
                tail = units[commas[-1] + 1].low.split(" ")[0] if commas and commas[-1] + 1 < i else ""
                answered = i + 1 < len(units) and units[i + 1].low in ("yes", "yep", "yeah", "aye")
                if (
                    units[first].low.split(" ")[0] not in QUESTION
                    and units[first].low != "any"
                    and tail not in QUESTION
                    and not answered
                    and not any(u.used for u in units[first:i])
                ):
                    for u in units[first:i]:
                        u.muted, u.mute_rule = "question", "question"
                if units[first].low.split(" ")[0] in QUESTION:
                    for u in units[first:i]:
                        u.muted, u.mute_rule = "question", "question"
                    if any(cue.category == "teaching" for u in units[first:i] for cue in u.cues):
                        _answer(units, i + 1)
            start = i + 1
        return
    for i, unit in enumerate(units):
        if (
            unit.low in ("was", "is")
            and i + 1 < len(units)
            and units[i + 1].low in ("that", "it", "there", "this")
            and (
                i == 0
                or units[i - 1].gap
                or unit.gap
                or not (
                    units[i - 1].region
                    or units[i - 1].low in NO_QUESTION_AFTER
                    or units[i - 1].side
                    or units[i - 1].low.endswith("it")
                )
            )
        ):
            if i and (units[i - 1].signs or units[i - 1].kind == "punct") and unit.low == "was":
                continue
            for k in range(i, min(i + 6, len(units))):
                u = units[k]
                if k > i + 1 and (u.is_cue("returning") or u.low in QUESTION_ENDS or u.gap or u.used or u.region):
                    break
                u.muted, u.mute_rule = "question", "question"
