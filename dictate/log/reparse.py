"""Old words understood anew: the new draft in place of the old one, a person's decisions kept."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date

from dictate.log.codec import value_from
from dictate.log.database import Database, Row
from dictate.log.drafts import (
    draft_row,
    exam_row,
    index_said,
    insert_exam,
    insert_items,
    insert_observations,
    insert_question,
    items_of,
    unindex_said,
)
from dictate.log.ids import now_text
from dictate.log.reading import item_rows
from dictate.log.trail import Change, apply, change
from dictate.model import Draft, Exam, Observation, Span
from dictate.record import ItemKind, Said, question_target

__all__ = ["replace_draft"]


def replace_draft(
    db: Database, draft_id: str, draft: Draft, *, parser: str = "", reason: str = ""
) -> list[str]:
    with db.transaction():
        row = db.the("draft", draft_id, "draft")
        old = db.rows(
            "SELECT * FROM exam WHERE draft_id = ? AND status != 'withdrawn' ORDER BY id", [row["id"]]
        )
        for former in old:
            unindex_said(db, former["id"])
        same_text = row["text"] == draft.text
        before = {name: row[name] for name in ("text", "words_json", "left_out_json", "parser", "parsed_at")}
        again = Change("draft", draft_id, before, draft_row(draft, parser))
        apply(db, "parsed again", [again], item=draft_id, reason=reason)
        pairs, over = _pair(old, draft.exams, same_text)
        shared = _shared(row, old)
        uids = []
        for exam, match in pairs:
            if match is None:
                uids.append(insert_exam(db, exam, shared))
            else:
                _replace_exam(db, match, exam, draft.text, reason)
                uids.append(match["uid"])
        uids += [left["uid"] for left in over if _retire_exam(db, left, draft.text, reason)]
        _replace_observations(db, row, draft.observations, shared["on_day"])
        return uids


def _shared(draft: Row, old: Sequence[Row]) -> Row:
    """Day, examiner and so on of the exams of a draft: those of its first exam."""
    names = ("kind", "on_day", "at_time", "date_problem", "examiner_id", "batch_id")
    first = old[0] if old else {"kind": "live", "batch_id": draft["batch_id"]}
    return {"draft_id": draft["id"]} | {name: first.get(name) for name in names}


def _pair(
    old: Sequence[Row], new: Sequence[Exam], same_text: bool
) -> tuple[list[tuple[Exam, Row | None]], list[Row]]:
    """Each new exam with the old one it corresponds to, by the words they share where the text is
    the same, else by their order; and the old ones that nothing corresponds to."""
    left = list(old)
    pairs: list[tuple[Exam, Row | None]] = []
    for number, exam in enumerate(new):
        match: Row | None = None
        if same_text and exam.span.end and all(row["span_to"] for row in left):
            shared = [(_shared_characters(row, exam.span), -row["id"], row) for row in left]
            best = max(shared, key=lambda one: one[:2], default=None)
            match = best[2] if best and best[0] > 0 else None
        elif number < len(old) and old[number] in left:
            match = old[number]
        if match is not None:
            left.remove(match)
        pairs.append((exam, match))
    return pairs, left


def _shared_characters(row: Row, span: Span) -> int:
    return min(int(row["span_to"]), span.end) - max(int(row["span_from"]), span.start)


def _settled(row: Row) -> bool:
    """Whether a person has had a word on an item, so that a new parse may not touch it."""
    return row["choice"] in ("keep", "change", "drop") or row["added"] or row["status"] != "draft"


def _replace_exam(db: Database, row: Row, exam: Exam, text: str, reason: str) -> None:
    changes: list[Change] = []
    new = exam_row(exam)
    if row["bird_choice"] in ("keep", "change") or row["bird_status"] == "confirmed":
        del new["bird_json"]
    if row["status"] == "confirmed":
        del new["rest_normal"]
    taken: list[tuple[ItemKind, Row]] = []
    for kind, item in item_rows(db, [row["id"]]):
        if item["status"] == "replaced":
            continue
        if _settled(item):
            taken.append((kind, item))
            changes.append(_moved(kind, item, text))
        else:
            changes.append(change(kind, item, status="replaced"))
    for asked in db.rows("SELECT * FROM question WHERE exam_id = ? AND closed_at IS NULL", [row["id"]]):
        if asked["field"] != "bird_id":
            changes.append(change("question", asked, closed_at=now_text(), answer="parsed again"))
    decided = _counterparts(taken, exam)
    uids = {
        (kind, number): insert_items(db, row["id"], [value])[0]
        for kind, values in items_of(exam).items()
        for number, value in enumerate(values)
        if (kind, number) not in decided
    }
    for question in exam.questions:
        target = question_target(exam, question)
        if target is None:
            insert_question(db, row["id"], question)
        elif target in uids:
            insert_question(db, row["id"], question, (target[0], uids[target]))
    if uids and row["status"] == "confirmed":
        new["status"] = "draft"
    changes.append(change("exam", row, **new))
    apply(db, "parsed again", changes, exam=row, reason=reason)
    index_said(db, row["id"])


def _counterparts(taken: list[tuple[ItemKind, Row]], exam: Exam) -> set[tuple[ItemKind, int]]:
    """Places in the new exam of what a person has decided on already: the same thing as it was first
    understood or as the person put it; failing that, something else understood of the same words."""
    left = list(taken)
    found: set[tuple[ItemKind, int]] = set()
    for same in (_same_thing, _same_words):
        for kind, values in items_of(exam).items():
            for number, value in enumerate(values):
                if (kind, number) in found:
                    continue
                row = next((t for t in left if t[0] == kind and same(kind, t[1], value)), None)
                if row:
                    left.remove(row)
                    found.add((kind, number))
    return found


def _same_thing(kind: ItemKind, row: Row, value: Said) -> bool:
    first = json.loads(row["parsed_json"]) if row["parsed_json"] else row
    return _core(kind, value) in [_core(kind, value_from(kind, r)) for r in (row, first)]


def _same_words(kind: ItemKind, row: Row, value: Said) -> bool:
    return value.quote != "" and value.quote == row["quote"]


def _core(kind: ItemKind, value: Said) -> tuple[object, ...]:
    names = {
        "finding": ("region", "sign", "side", "presence", "when"),
        "measurement": ("kind", "value", "unit", "of", "former"),
        "action": ("kind", "in_days"),
    }[kind]
    return tuple(getattr(value, name) for name in names)


def _moved(kind: ItemKind, row: Row, text: str) -> Change:
    """A decided item keeps pointing at its words where these stand elsewhere in the new text."""
    quote = row["quote"]
    if not quote or text[row["span_from"] : row["span_to"]] == quote or quote not in text:
        return change(kind, row)
    start = min(_places(text, quote), key=lambda place: abs(place - row["span_from"]))
    return change(kind, row, span_from=start, span_to=start + len(quote))


def _places(text: str, quote: str) -> list[int]:
    places, at = [], text.find(quote)
    while at >= 0:
        places.append(at)
        at = text.find(quote, at + 1)
    return places


def _retire_exam(db: Database, row: Row, text: str, reason: str) -> bool:
    """An exam that the new parse does not give: kept, with what a person decided, or withdrawn."""
    rows = [(kind, item) for kind, item in item_rows(db, [row["id"]]) if item["status"] != "replaced"]
    kept = [(kind, item) for kind, item in rows if _settled(item) and item["choice"] != "drop"]
    changes = [change(kind, item, status="replaced") for kind, item in rows if not _settled(item)]
    changes += [_moved(kind, item, text) for kind, item in kept]
    if not kept and row["status"] == "draft":
        changes.append(change(
            "exam", row, status="withdrawn", withdrawn_at=now_text(), withdrawn_why=reason or "parsed again",
        ))
    apply(db, "parsed again", changes, exam=row, reason=reason)
    if not kept and row["status"] == "draft":
        return False
    index_said(db, row["id"])
    return True


def _replace_observations(
    db: Database, draft: Row, observations: Sequence[Observation], on: str | None
) -> None:
    changes, left = [], list(observations)
    for row in db.rows("SELECT * FROM observation WHERE draft_id = ?", [draft["id"]]):
        if row["status"] == "draft":
            changes.append(change("observation", row, status="withdrawn"))
            continue
        same = [o for o in left if (o.kind, o.value) == (row["kind"], row["value"])]
        if same:  # the person's word on it stands
            left.remove(same[0])
    apply(db, "parsed again", changes, item=draft["uid"])
    insert_observations(db, left, draft, date.fromisoformat(on) if on else None)
