"""The examples that stand beside the rules in the lexicon, tried out."""

from __future__ import annotations

from dictate.extraction.assemble import extract_text
from dictate.model import Finding
from dictate.vocabulary import Vocabulary

__all__ = ["finding_note", "wrong_examples"]


def finding_note(finding: Finding) -> str:
    """A finding in the notation of `expect`: "region side: [possibly] [past] [no] sign [grade]"."""
    where = f"{finding.region} {finding.side}" if finding.side else finding.region
    words = [
        "possibly" if finding.certainty == "possible" else "",
        "past" if finding.when == "past" else "",
        "no" if finding.presence == "absent" else "",
        finding.sign,
        str(finding.grade) if finding.grade else "",
    ]
    return f"{where}: {' '.join(word for word in words if word)}"


def wrong_examples(vocabulary: Vocabulary) -> list[str]:
    """A sentence for each cue whose example does not give what it expects; empty where all are right."""
    faults = []
    for cue in vocabulary.cues.values():
        if not cue.example or cue.expect is None:
            continue
        draft = extract_text(cue.example, vocabulary)
        found = {finding_note(finding) for exam in draft.exams for finding in exam.findings}
        if found != set(cue.expect):
            faults.append(
                f'cue "{cue.id}": its example "{cue.example}" gives {_listed(found)}, '
                f"expected {_listed(set(cue.expect))}"
            )
    return faults


def _listed(notes: set[str]) -> str:
    return "; ".join(sorted(notes)) or "nothing"
