"""The file: who may read it, what is refused, how it is brought up to date."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from dictate.errors import LogBusyError, LogError, LogNewerError, NotFoundError
from dictate.log import FlockLog
from dictate.log.database import open_database, shipped_migrations, statements
from dictate.log.ids import new_id
from dictate.model import Draft

Build = Callable[..., Draft]
DAY = date(2031, 5, 1)
NEXT = {**shipped_migrations(), "m900_next": "ALTER TABLE bird ADD COLUMN nickname TEXT;"}


def mode(path: Path) -> int:
    return path.stat().st_mode & 0o777


def test_only_its_owner_may_read_it(tmp_path: Path) -> None:
    path = tmp_path / "made" / "deeper" / "flock.db"
    with FlockLog.open(path, make_folder=True) as log:
        log.start_batch("import")
        assert [mode(path.parent), mode(path)] == [0o700, 0o600]
        assert {mode(file) for file in path.parent.iterdir()} == {0o600}


def test_a_file_that_others_may_read_is_closed_to_them(path: Path) -> None:
    FlockLog.open(path).close()
    path.chmod(0o644)
    FlockLog.open(path).close()
    assert mode(path) == 0o600


def test_all_tables_of_ours_are_strict(log: FlockLog) -> None:
    with sqlite3.connect(log.path) as connection:
        rows = connection.execute(
            "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND strict = 0"
        ).fetchall()
    connection.close()
    assert {name for (name,) in rows} <= {"_sqlite_migrations", "sqlite_schema", "sqlite_sequence"}


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(LogError, match=r"the folder .* is not there"):
        FlockLog.open(tmp_path / "nowhere" / "flock.db")


def test_a_missing_log_is_told_where_none_may_be_made(path: Path) -> None:
    with pytest.raises(LogError, match="no such file"):
        FlockLog.open(path, create=False)
    assert not path.exists()


def test_a_folder_is_no_log(tmp_path: Path) -> None:
    with pytest.raises(LogError, match="a folder"):
        FlockLog.open(tmp_path)


def test_what_is_no_database_is_left_alone(path: Path) -> None:
    path.write_bytes(b"eggs: 12\n" * 200)
    with pytest.raises(LogError, match="not a database"):
        FlockLog.open(path)
    assert path.read_bytes() == b"eggs: 12\n" * 200


def test_the_database_of_another_program_is_left_alone(path: Path) -> None:
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE theirs (a)")
    connection.close()
    before = path.read_bytes()
    with pytest.raises(LogError, match="another program"):
        FlockLog.open(path)
    assert path.read_bytes() == before


def test_a_damaged_log_is_told(path: Path, build: Build) -> None:
    with FlockLog.open(path) as log:
        for _ in range(40):
            log.confirm_exam(*log.save_draft(build(), on=DAY))
    data = bytearray(path.read_bytes())
    for at in range(4096 * 3, len(data), 4096):
        data[at : at + 600] = os.urandom(600)
    path.write_bytes(data)
    faults: list[str] = []
    try:
        with FlockLog.open(path) as log:
            faults = log.check()
    except LogError as error:  # so badly hurt that it does not open
        faults = [error.sentence()]
    assert faults


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write everywhere")
def test_a_log_that_may_not_be_written_to_is_told(path: Path) -> None:
    FlockLog.open(path).close()
    path.chmod(0o400)
    with pytest.raises(LogError, match="may not be written"), FlockLog.open(path) as log:
        log.start_batch("import")


def test_another_program_that_writes_for_too_long_is_told(path: Path) -> None:
    with FlockLog.open(path) as holder, holder.transaction():
        holder.start_batch("import")
        busy = pytest.raises(LogBusyError, match="another program")
        with FlockLog.open(path, busy_seconds=0.05) as log, busy:
            log.start_batch("import")


def test_readers_do_not_wait_for_a_writer(path: Path, build: Build) -> None:
    with FlockLog.open(path) as writer:
        (exam,) = writer.save_draft(build(), on=DAY)
        with writer.transaction():
            writer.confirm_exam(exam)
            with FlockLog.open(path, busy_seconds=0.05) as reader:
                assert reader.exam(exam).status == "draft"


def test_writers_take_turns(path: Path) -> None:
    FlockLog.open(path).close()
    errors: list[BaseException] = []

    def write() -> None:
        try:
            with FlockLog.open(path) as log:
                for _ in range(20):
                    log.add_note("said", on=DAY, key=new_id())
        except BaseException as error:
            errors.append(error)

    threads = [threading.Thread(target=write) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    database = open_database(path)
    assert not errors
    assert database.rows("SELECT count(*) AS n FROM note") == [{"n": 80}]
    database.close()


def test_a_block_is_stored_whole_or_not_at_all(log: FlockLog, build: Build) -> None:
    def part_of_it() -> None:
        with log.transaction():
            log.save_draft(build(), on=DAY)
            raise RuntimeError("the power went")

    with pytest.raises(RuntimeError):
        part_of_it()
    assert log.drafts() == []
    assert log.save_draft(build(), on=DAY)


def test_two_programs_may_make_the_same_log(path: Path) -> None:
    errors: list[BaseException] = []

    def make() -> None:
        try:
            FlockLog.open(path).close()
        except BaseException as error:
            errors.append(error)

    threads = [threading.Thread(target=make) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not errors


# Older and newer forms

def test_an_older_log_is_copied_and_then_brought_up_to_date(path: Path, build: Build) -> None:
    with FlockLog.open(path) as log:
        (exam,) = log.save_draft(build(), on=DAY)
        log.confirm_exam(exam)
    open_database(path, migrations=NEXT).close()
    (copy,) = path.parent.glob("*.bak")
    assert "m900_next" in copy.name
    assert mode(copy) == 0o600
    copy.rename(path.with_name("back.db"))
    with FlockLog.open(path.with_name("back.db")) as log:
        assert log.exam(exam).status == "confirmed"
        assert log.check() == []
    database = open_database(path, migrations=NEXT)
    assert database.row("SELECT nickname FROM bird") == {"nickname": None}
    database.close()


def test_an_empty_older_log_is_brought_up_to_date_without_a_copy_where_switched_off(path: Path) -> None:
    FlockLog.open(path).close()
    open_database(path, migrations=NEXT, backup=False).close()
    assert not list(path.parent.glob("*.bak"))


def test_a_log_of_a_later_version_is_refused_and_not_touched(path: Path) -> None:
    open_database(path, migrations=NEXT).close()
    before = path.read_bytes()
    with pytest.raises(LogNewerError, match="later version"):
        FlockLog.open(path)
    assert path.read_bytes() == before


def test_a_step_that_fails_leaves_the_log_as_it_was(path: Path) -> None:
    FlockLog.open(path).close()
    broken = {**NEXT, "m901_broken": "CREATE TABLE half (a INTEGER) STRICT;\nSELECT nonsense FROM nowhere;"}
    with pytest.raises(LogError, match="nowhere"):
        open_database(path, migrations=broken)
    with FlockLog.open(path) as log:
        assert log.check() == []
    database = open_database(path)
    assert database.row("SELECT 1 FROM sqlite_master WHERE name = 'half'") is None
    database.close()


def test_statements_are_told_apart() -> None:
    script = (
        "CREATE TABLE a (x); -- one; two\nINSERT INTO a VALUES ('a;\nb');\n"
        "CREATE TRIGGER t AFTER INSERT ON a BEGIN\n  DELETE FROM a;\nEND;\n"
    )
    connection = sqlite3.connect(":memory:")
    for statement in statements(script):
        connection.execute(statement)
    assert connection.execute("SELECT count(*) FROM sqlite_master").fetchone() == (2,)
    connection.close()


def test_ids_sort_by_time_and_never_repeat() -> None:
    ids = [new_id() for _ in range(5000)]
    assert len(set(ids)) == 5000
    assert {(one[14], one[19] in "89ab") for one in ids} == {("7", True)}  # RFC 9562: version and variant
    assert [one[:13] for one in ids] == sorted(one[:13] for one in ids)


def test_an_id_that_is_not_there_is_told(log: FlockLog) -> None:
    with pytest.raises(NotFoundError, match="no exam with the id 'x'"):
        log.exam("x")


def test_a_part_that_fails_takes_only_itself_back(log: FlockLog, build: Build) -> None:
    def half_a_draft() -> None:
        bad = build()
        wrong = replace(bad.exams[0].findings[0], grade=10**30)
        log.save_draft(replace(bad, exams=(*bad.exams, replace(bad.exams[0], findings=(wrong,)))), on=DAY)

    with log.transaction():
        (first,) = log.save_draft(build(), on=DAY)
        with pytest.raises(LogError, match="cannot be stored"):
            half_a_draft()
        (second,) = log.save_draft(build(), on=DAY)
    assert [exam.id for exam in log.drafts()] == [first, second]
    assert log.check() == []
