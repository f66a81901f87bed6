"""dictate parse: texts and lines in, records out."""

from __future__ import annotations

import json
import tracemalloc
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner, Result

from dictate.cli import parse as command
from dictate.cli.main import app
from dictate.model import Draft, Exam

runner = CliRunner()
SAID = "blue 42 hen right foot pad is noticeably hardened no scab weight 2100 grams recheck in ten days"


def run(*arguments: str, input: str | bytes | None = None) -> Result:
    return runner.invoke(app, ["parse", *arguments], input=input)


@pytest.fixture
def empty_parser(monkeypatch: pytest.MonkeyPatch) -> None:
    """A parser that understands nothing, for what does not depend on understanding."""
    monkeypatch.setattr("dictate.extraction.extract_text", lambda text, vocabulary: Draft(text, (Exam(),)))


def test_a_text_is_understood_and_printed() -> None:
    result = run(SAID)
    assert result.exit_code == 0
    assert result.stdout.startswith("blue 42, hen\n")
    for words in ("right foot pad: hardened, grade 2", "no scab", "weight: 2100 g", "recheck, 10 days"):
        assert words in result.stdout


def test_json_is_the_exam_record() -> None:
    record = json.loads(run(SAID, "--json").stdout)
    [exam] = record["exams"]
    assert exam["bird"]["band"] == "blue 42"
    found = {(f["region"], f["sign"]): f for f in exam["findings"]}
    assert found["foot pad", "hardened"]["side"] == "right"
    assert found["foot pad", "hardened"]["grade"] == 2
    assert found["foot pad", "scab"]["presence"] == "absent"
    for finding in exam["findings"]:
        start, end = finding["span"]
        assert SAID[start:end] == finding["quote"]
        assert finding["verdict"] in ("sure", "check", "ask")


def test_explain_names_words_cue_rule_and_what_was_left_out() -> None:
    text = "left eye closed no scab on the comb if there was a swelling I would worry"
    said = run(text, "--explain").stdout
    assert "(absent, rule" in said
    assert "rule   " in said
    assert "verdict  " in said
    assert "left out:" in said


def test_explain_accounts_for_every_passage() -> None:
    text = (
        "Blue 42. Left eye closed, maybe a scab on the comb, scratch that. You should ring the vet if she is lame. "
        "My neighbour was quite flurble about it. The rest is normal. If the crop were hard I would worry."
    )
    said = run(text, "--explain").stdout
    for words in (
        'named    "Blue 42"', 'left out: "scab" (taken back)',
        'left out: "If the crop were hard I would worry" (hypothetical',
        'passed over: "My neighbour was quite flurble about it"', "everything else was called normal",
    ):
        assert words in said
    assert "vet" in said


def test_explain_names_what_a_misheard_word_cost() -> None:
    said = run("the meant is clean", "--explain").stdout
    assert "vent: normal" in said
    assert "because  misheard word -0.20" in said
    assert "sure" not in said


def test_the_text_may_come_from_a_file_or_from_standard_input(tmp_path: Path) -> None:
    path = tmp_path / "said.txt"
    path.write_text(SAID, encoding="utf-8")
    printed = [run(str(path)), run(SAID), run("-", input=SAID), run(*SAID.split())]
    assert len({result.stdout for result in printed}) == 1


def test_a_file_that_is_not_there_or_no_text(tmp_path: Path) -> None:
    assert run(str(tmp_path / "nowhere.txt")).exit_code == 2
    (tmp_path / "bad.txt").write_bytes(b"\xff\xfe\xfa")
    result = run(str(tmp_path / "bad.txt"))
    assert result.exit_code == 2
    assert "bad.txt" in result.stderr
    assert run("--jsonl", str(tmp_path / "nowhere.jsonl")).exit_code == 2


def test_both_a_text_and_lines_is_wrong_usage() -> None:
    assert run("left eye closed", "--jsonl", "-").exit_code == 2


BAD = [
    "nonsense", "[1, 2]", "7", '{"id": "no text"}', '{"id": "wrong", "text": 5}', '{"id": "cut', "[" * 5000,
]


def test_bad_lines_are_named_and_the_rest_goes_on(empty_parser: None) -> None:
    good = [json.dumps({"id": number, "text": "x"}) for number in range(len(BAD))]
    lines = [line for pair in zip(BAD, good, strict=True) for line in pair]
    result = run("--jsonl", "-", input="\n".join(lines))
    assert result.exit_code == 1
    rows = [json.loads(line) for line in result.stdout.splitlines()]
    assert len(rows) == len(lines)
    assert [row["id"] for row in rows[1::2]] == list(range(len(BAD)))
    assert all("error" in row and "exams" not in row for row in rows[::2])
    assert all("exams" in row for row in rows[1::2])
    assert [row["id"] for row in rows[::2]] == [None, None, None, "no text", "wrong", None, None]
    for number, said in zip(range(1, 14, 2), result.stderr.splitlines(), strict=True):
        assert f"line {number}:" in said


def test_bytes_that_are_no_text_and_blank_lines(empty_parser: None) -> None:
    data = b'\xef\xbb\xbf{"id": 1, "text": "x"}\n\n  \n{"id": 2, "text": "\xff"}\r\n{"id": 3, "text": "y"}'
    result = run("--jsonl", "-", input=data)
    assert result.exit_code == 1
    assert [json.loads(line)["id"] for line in result.stdout.splitlines()] == [1, None, 3]


def test_nothing_but_bad_lines_is_status_2_and_nothing_at_all_is_0(empty_parser: None) -> None:
    assert run("--jsonl", "-", input="x\ny\n").exit_code == 2
    assert run("--jsonl", "-", input="").exit_code == 0


def test_a_line_that_is_too_long_is_refused(empty_parser: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(command, "LONGEST_LINE", 100)
    lines = [json.dumps({"id": 1, "text": "x" * 500}), json.dumps({"id": 2, "text": "x"})]
    rows = [json.loads(line) for line in run("--jsonl", "-", input="\n".join(lines)).stdout.splitlines()]
    assert "longer than" in rows[0]["error"]
    assert rows[1]["id"] == 2


def test_a_fault_in_one_line_does_not_stop_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(text: str, vocabulary: Any) -> Draft:
        if text == "bad":
            raise ZeroDivisionError("odd")
        return Draft(text)

    monkeypatch.setattr("dictate.extraction.extract_text", fail)
    lines = [json.dumps({"id": text, "text": text}) for text in ("good", "bad", "fine")]
    result = run("--jsonl", "-", input="\n".join(lines))
    assert result.exit_code == 1
    rows = [json.loads(line) for line in result.stdout.splitlines()]
    assert ["error" in row for row in rows] == [False, True, False]
    assert "Traceback" not in result.output


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.one_of(st.text(), st.integers()), st.text()), max_size=8))
def test_every_line_comes_back_in_order(empty_parser: None, rows: list[tuple[Any, str]]) -> None:
    lines = [json.dumps({"id": name, "text": text}) for name, text in rows]
    result = run("--jsonl", "-", input="\n".join(lines))
    assert result.exit_code == 0
    assert [json.loads(line)["id"] for line in result.stdout.splitlines()] == [name for name, _ in rows]


def test_memory_does_not_grow_with_the_lines(
    empty_parser: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(command.typer, "echo", lambda *given, **more: None)
    path, peaks = tmp_path / "many.jsonl", []
    for count in (200, 20_000):
        line = json.dumps({"id": "x", "text": "left eye closed " * 10})
        path.write_text(f"{line}\n" * count, encoding="utf-8")
        tracemalloc.start()
        command._parse_lines(str(path), None)  # type: ignore[arg-type]
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < peaks[0] + 200_000
