"""Findings, measurements and reasons in plain words, the same wherever a person reads them."""

from __future__ import annotations

from dictate.model import Action, Bird, Finding, Measurement, Penalty

__all__ = [
    "action_words", "bird_words", "finding_words", "in_sentence", "measurement_words", "number_words",
    "penalty_words", "printable",
]


def finding_words(finding: Finding) -> str:
    """A finding as a person would read it aloud: "right foot pad: hardened, grade 2"."""
    side = {"both": "both sides", None: ""}.get(finding.side, str(finding.side))
    where = f"{finding.region}, {side}" if finding.side == "both" else f"{side} {finding.region}".strip()
    what = f"no {finding.sign}" if finding.presence == "absent" else finding.sign
    parts = [what]
    if finding.grade is not None:
        parts.append(f"grade {finding.grade}")
    if finding.detail:
        parts.append(finding.detail)
    if finding.certainty == "possible":
        parts.append("perhaps")
    if finding.when == "past":
        parts.append("in the past")
    return f"{where}: {', '.join(parts)}"


def number_words(value: float) -> str:
    """2100.0 → "2100", 38.50 → "38.5"."""
    return f"{value:.4f}".rstrip("0").rstrip(".")


def measurement_words(measurement: Measurement) -> str:
    """A measurement with its unit: "weight: 2100 g"."""
    if measurement.low is not None and measurement.high is not None and measurement.low != measurement.high:
        value = f"{number_words(measurement.low)} to {number_words(measurement.high)}"
    else:
        value = number_words(measurement.value)
    unit = "" if measurement.unit == "1" else f" {measurement.unit}"
    parts = [f"{value}{unit}"]
    parts += ["about"] if measurement.approximate else []
    parts += ["formerly"] if measurement.former else []
    of = f" of {measurement.of}" if measurement.of else ""
    return f"{measurement.kind}{of}: {', '.join(parts)}"


def action_words(action: Action) -> str:
    """An action with its days and detail: "recheck, 10 days"."""
    parts = [action.kind]
    if action.in_days is not None:
        parts.append(f"{action.in_days} day{'' if action.in_days == 1 else 's'}")
    if action.detail and action.detail != action.quote:
        parts.append(action.detail)
    return ", ".join(parts)


def bird_words(bird: Bird) -> str:
    """The bird as it was named: "blue 42, hen"."""
    return ", ".join(part for part in (bird.label, bird.sex, bird.breed, bird.pen) if part)


def penalty_words(penalties: tuple[Penalty, ...]) -> str:
    """The named reasons to be less sure, largest first: "side missing -0.30, repair -0.20"."""
    ordered = sorted(penalties, key=lambda penalty: -penalty.amount)
    return ", ".join(f"{p.name.replace('-', ' ').replace('_', ' ')} {-p.amount:+.2f}" for p in ordered)


def in_sentence(text: str, start: int, end: int, around: int = 70) -> str:
    """The words text[start:end] in what stands around them, marked as [these words].

    The mark is made of characters, so that it is seen without colour; `around` is in characters.
    """
    start, end = max(0, min(start, len(text))), max(0, min(end, len(text)))
    left, right = max(0, start - around), min(len(text), end + around)
    if left:
        left = text.find(" ", left, start) + 1 or left
    if right < len(text):
        right = max(text.rfind(" ", end, right), end)
    before, after = text[left:start], text[end:right]
    line = f"{'… ' if left else ''}{before}[{text[start:end]}]{after}{' …' if right < len(text) else ''}"
    return " ".join(line.split())


def printable(text: str) -> str:
    """The text without characters that would steer a terminal (old notes may hold anything)."""
    if text.isprintable():
        return text
    spaced = text.translate({ord(c): " " for c in "\t\n\r"})
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in spaced)
