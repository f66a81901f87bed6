"""What of a bird has not been spoken of yet. Not mentioned is never normal: it is only not mentioned."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from dictate.model import Exam

__all__ = ["not_looked_at"]


def not_looked_at(exam: Exam, order: Sequence[str], paired: Collection[str]) -> tuple[str, ...]:
    """Regions of `order` that nothing was said of, in that order; "left eye" where only the right was.

    A thing of the past is no look. A paired region spoken of without a side counts as looked
    at: which side it was is asked elsewhere. After "the rest is normal" nothing is left.
    """
    if exam.rest_normal:
        return ()
    sides: dict[str, set[str | None]] = {}
    for finding in exam.findings:
        if finding.when == "now":
            sides.setdefault(finding.region, set()).add(finding.side)
    left: list[str] = []
    for region in order:
        seen = sides.get(region)
        if seen is None:
            left.append(region)
        elif region in paired and len(seen) == 1:
            only = next(iter(seen))
            if only in ("left", "right"):
                left.append(f"{'right' if only == 'left' else 'left'} {region}")
    return tuple(left)
