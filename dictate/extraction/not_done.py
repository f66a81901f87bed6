"""Actions that were not done: advised, left undone, hanging on a condition, or done to something else than the bird."""

from __future__ import annotations

from dictate.extraction.units import Unit, unit_at

__all__ = ["is_not_done"]

ADVISED = frozenset(
    "would, 'd, could, might, wouldn't, couldn't, you'd, you, i'd have, would have, people, if, they'd, "
    "they, always, you'll, he'd, she'd, ought to, you should, never".split(", ")
)
NOT_HERS = frozenset(
    "my, hands, hand, your, yourself, myself, boots, our, you, thumb, list, book, day, bucket, sheet, "
    "water bowl, drinker, drinkers, feeder".split(", ")
)
STOPS = frozenset("but so , / ; - then".split())
JOINED = frozenset(", and or then her him it the".split())
CONDITION_SUBJECTS = frozenset("it she he they that things the any".split())  # "should it get worse"
LEFT_UNDONE = ("out of", "meant to", "done with", "done with the", "came out of the", "out of the", "do i")
NOT = frozenset("no not n't don't".split())
WILL = frozenset("i'll 'll will we'll shall would".split())


def is_not_done(units: list[Unit], i: int, end: int, kind: str, rule: str, advised: int) -> bool:
    """Advised, left undone, hanging on a condition, or done to something else than the bird."""
    after = unit_at(units, i + 1)
    if (after is not None and not after.delay and after.low.partition(" ")[0] in NOT_HERS) or (
        end < len(units) and units[end].low in ("list",)
    ):
        return True
    if kind == "dress" and after is not None and after.low == "off":
        return True
    if kind == "recheck" and i and units[i - 1].low in ("had", "took", "i had"):
        return True
    if kind in ("recheck", "clean") and i and units[i - 1].low in ("let me", "me"):
        return True
    if (
        advised >= 0
        and i - advised <= 4
        and all(u.low in JOINED for u in units[advised:i])
        and any(u.low in (",", "and", "or") for u in units[advised:i])
    ):
        return True
    if kind == "isolate" and i and units[i - 1].low in ("out of", "of", "from") and "out" in _words(units, i - 2, i):
        return True
    undone = _undone(units, i, end) and not (rule == "parts" and set(_words(units, i - 4, end)) & NOT)
    return undone or _conditional(units, i, end)


def _words(units: list[Unit], start: int, end: int) -> list[str]:
    return [word for u in units[max(0, start) : end] for word in u.low.split()]


def _undone(units: list[Unit], i: int, end: int) -> bool:
    back = units[max(0, i - 5) : i]
    if " ".join(u.low for u in back[-3:]).endswith(LEFT_UNDONE):
        return True
    for k in range(len(back) - 1, -1, -1):
        unit = back[k]
        if unit.hard or unit.used or unit.low in ("/", ";") or (unit.low in STOPS and k < len(back) - 1):
            break
        if unit.low == "going" and k and back[k - 1].low in ("was", "were") and k >= len(back) - 3:
            return True  # "I was going to clip it, but …"
        refused = any(word.endswith("n't") for word in unit.low.split())
        if (unit.low == "off" or refused) and k >= len(back) - (2 if unit.low == "off" else 4):
            return True
        if unit.low == "maybe" and k >= len(back) - 3:
            return True
        if unit.low in ("shall", "should", "stop", "stopping") and k >= len(back) - 2:
            follow = back[k + 1].low if k + 1 < len(back) else ""
            stays = unit.low == "stopping" and units[i].low.startswith("in ")  # stopping in the porch
            return (unit.low.startswith("stop") and not stays) or follow in ("i", "we")
        if unit.low in ADVISED and k >= len(back) - 2:
            follow = back[k + 1].low if k + 1 < len(back) else ""
            return follow not in ("like", "better", "rather", "like to")
        if unit.is_cue("not-done") and not unit.is_cue("exception") and not (unit.low == "no" and k < len(back) - 3):
            return not (unit.low in ("no", "not") and any(u.signs for u in back[k:]))
        if unit.signs or (unit.region and k < len(back) - 2):
            break
    words = [u.low for u in units[end : end + 3]]
    if words[:2] in ([":", "no"], ["is", "off"], ["'s", "off"], ["is", "n't"], ["was", "n't"]):
        return True
    if words[:3] == ["no", "do", "n't"]:
        return True
    if words[:1] in (["kit"], ["stopped"], ["finished"], ["?"], ["isn't"], ["wasn't"]):
        return True
    return (
        words[:2] in (["no", "don't"], ["no", "not"])
        or words[:1] in (["no don't"], ["scratch that"])
        or (
            bool(words)
            and words[0] in ("no", ",")
            and any(u.is_cue("not-done") and u.low.endswith(("n't", "don't")) for u in units[end + 1 : end + 3])
        )
    )


def _conditional(units: list[Unit], i: int, end: int) -> bool:
    """"… if she is no better", "should it get worse, …"."""
    for k, unit in enumerate(units[end : end + 12]):
        soft = unit.low == "." and end + k + 1 < len(units) and units[end + k + 1].span.start == unit.span.end
        abbreviated = unit.low == "." and k and units[end + k - 1].span.end - units[end + k - 1].span.start <= 1
        if (unit.hard and not soft and not abbreviated) or unit.used:
            break
        if unit.is_cue("condition") or unit.low in ("if", "unless") or unit.low.startswith("if "):
            return not (end + k + 1 < len(units) and units[end + k + 1].low in ("you like", "i can", "possible"))
        if (
            unit.action
            or unit.signs
            or (unit.region and unit.low != "vet")
            or unit.low in ("then", "so", "now", "okay", "and")
        ):
            break
    done = units[i].low.partition(" ")[0].endswith("ed")
    for k in range(i - 1, max(-1, i - 10), -1):
        unit = units[k]
        if unit.low == "should" and (k == 0 or units[k - 1].hard or units[k - 1].low in ("and", "but", ",")):
            return k + 1 < i and units[k + 1].low in CONDITION_SUBJECTS
        if unit.is_cue("condition") and unit.low.startswith("if ") and not done:
            return True
        if unit.low in ("if", "unless") and not done and units[i - 1].low in WILL:
            return k + 1 < i and units[k + 1].low not in ("you", "i", "anything")
        if unit.hard or unit.used or unit.low in ("but", "so"):
            break
    return False
