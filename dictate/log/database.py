"""The only file that knows sqlite-utils: opening, upgrading, transactions, and errors in sentences."""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from importlib.resources import files
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dictate.errors import LogBusyError, LogError, LogNewerError, NotFoundError
from dictate.log.ids import now_text

if TYPE_CHECKING:
    import sqlite_utils

__all__ = ["Database", "Row", "open_database", "shipped_migrations"]

Row = dict[str, Any]

APPLICATION_ID = 0x464C4F43  # "FLOC", so that another program's database is not taken for a log
MIGRATION_SET = "flock log"
_MIGRATION_FILE = re.compile(r"m\d{3}_\w+\.sql")


class Database:
    """A connection to one flock log. Statements are SQL with ? for values."""

    def __init__(self, path: Path, connection: sqlite_utils.Database) -> None:
        self.path = path
        self._db = connection
        self._depth = 0

    def close(self) -> None:
        self._db.close()

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """All writes of the block or none.

        The right to write is taken at the start (BEGIN IMMEDIATE): what is read in the block
        cannot be changed by another program before it is written. A block inside it is all or
        none by itself too (the caller may go on after its error); deeper ones are parts of that.
        """
        self._depth += 1
        try:
            if self._depth == 1:
                with self._outermost():
                    yield
            elif self._depth == 2:
                with self._db.atomic():
                    yield
            else:
                yield
        finally:
            self._depth -= 1

    @contextmanager
    def _outermost(self) -> Iterator[None]:
        with _told("writing to", self.path):
            self._db.conn.execute("BEGIN IMMEDIATE")
        try:
            yield
            with _told("writing to", self.path):
                self._db.conn.execute("COMMIT")
        except BaseException:
            self._db.rollback()
            raise

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[Row]:
        with _told("reading", self.path):
            cursor = self._db.conn.execute(sql, values)
            names = [column[0] for column in cursor.description]
            return [dict(zip(names, row, strict=True)) for row in cursor]

    def row(self, sql: str, values: Sequence[Any] = ()) -> Row | None:
        found = self.rows(sql, values)
        return found[0] if found else None

    def the(self, table: str, uid: str, what: str) -> Row:
        """The row with this uid; NotFoundError says that there is no such `what`."""
        row = self.row(f'SELECT * FROM "{table}" WHERE uid = ?', [uid])
        if row is None:
            raise NotFoundError("looking in", str(self.path), f"there is no {what} with the id {uid!r}")
        return row

    def execute(self, sql: str, values: Sequence[Any] = ()) -> int:
        """Run one writing statement; the key of the row it added, if it added one."""
        if not self._db.conn.in_transaction:
            with self.transaction():
                return self.execute(sql, values)
        with _told("writing to", self.path):
            return self._db.conn.execute(sql, values).lastrowid or 0

    def insert(self, table: str, row: Mapping[str, Any]) -> int:
        """Add a row; its key in this file."""
        return self.execute(_insert(table, row), list(row.values()))

    def insert_all(self, table: str, rows: Iterable[Mapping[str, Any]]) -> None:
        """Add rows that all have the same columns in the same order."""
        rows = list(rows)
        if rows:
            self._execute_all(_insert(table, rows[0]), [list(row.values()) for row in rows])

    def update(self, table: str, uid: str, changes: Mapping[str, Any]) -> None:
        """Set columns of the row with this uid."""
        self.update_all([(table, uid, changes)])

    def update_all(self, changes: Iterable[tuple[str, str, Mapping[str, Any]]]) -> None:
        """Set columns of rows, each named by its table and uid, in this order."""
        for (table, names), some in groupby(changes, key=lambda one: (one[0], tuple(one[2]))):
            if names:
                columns = ", ".join(f'"{name}" = ?' for name in names)
                self._execute_all(
                    f'UPDATE "{table}" SET {columns} WHERE uid = ?',
                    [[*values.values(), uid] for _, uid, values in some],
                )

    def _execute_all(self, sql: str, values: Sequence[Sequence[Any]]) -> None:
        if not self._db.conn.in_transaction:
            with self.transaction():
                self._execute_all(sql, values)
            return
        with _told("writing to", self.path):
            self._db.conn.executemany(sql, values)

    def check(self) -> list[str]:
        """Faults of the file, a sentence each."""
        try:
            faults = [str(row["integrity_check"]) for row in self.rows("PRAGMA integrity_check")]
            faults = [fault for fault in faults if fault != "ok"]
            faults += [
                f"{row['table']} row {row['rowid']} refers to a {row['parent']} that is not there"
                for row in self.rows("PRAGMA foreign_key_check")
            ]
        except LogError as error:
            return [error.sentence()]
        return faults

    def copy_to(self, target: Path) -> None:
        """Write a whole and consistent copy; `target` must not exist."""
        if target.exists():
            raise LogError("copying the flock log to", str(target), "there is such a file already")
        _make_private(target)
        with _told("copying the flock log to", target):
            self._db.execute("VACUUM INTO ?", [str(target)])
        with target.open("rb") as copy:
            os.fsync(copy.fileno())


def _insert(table: str, row: Mapping[str, Any]) -> str:
    columns = ", ".join(f'"{name}"' for name in row)
    return f'INSERT INTO "{table}" ({columns}) VALUES ({", ".join("?" * len(row))})'


def shipped_migrations() -> dict[str, str]:
    """The SQL of each numbered migration by its name, in order."""
    folder = files("dictate.log").joinpath("schema")
    found = [file for file in folder.iterdir() if _MIGRATION_FILE.fullmatch(file.name)]
    return {
        file.name.removesuffix(".sql"): file.read_text(encoding="utf-8")
        for file in sorted(found, key=lambda file: file.name)
    }


def statements(sql: str) -> Iterator[str]:
    """The single statements of an SQL text (triggers kept whole)."""
    start = 0
    for place, character in enumerate(sql):
        if character == ";" and sqlite3.complete_statement(sql[start : place + 1]):
            yield sql[start : place + 1]
            start = place + 1
    if sql[start:].strip():
        yield sql[start:]


def open_database(
    path: Path,
    *,
    create: bool = True,
    make_folder: bool = False,
    backup: bool = True,
    busy_seconds: float = 5.0,
    migrations: Mapping[str, str] | None = None,
) -> Database:
    """Open a flock log and bring it up to date; see FlockLog.open.

    `migrations` (name and SQL, in order) stand in for the shipped ones, to try the way from older forms.
    """
    import sqlite_utils

    path = Path(path).expanduser().absolute()
    _find_or_make(path, create, make_folder)
    with _told("opening", path):
        connection = sqlite3.connect(path, timeout=busy_seconds)
    try:
        connection_db = sqlite_utils.Database(connection, execute_plugins=False)
        database = Database(path, connection_db)
        with _told("opening", path):
            _prepare(connection, path)
        _upgrade(database, connection_db, backup, shipped_migrations() if migrations is None else migrations)
    except BaseException:
        connection.close()
        raise
    return database


def _find_or_make(path: Path, create: bool, make_folder: bool) -> None:
    if path.is_dir():
        raise LogError("opening the flock log", str(path), "that is a folder", "Name a file in it.")
    if path.exists():
        return
    if not create:
        raise LogError("opening the flock log", str(path), "there is no such file")
    folder = path.parent
    if not folder.is_dir():
        if not make_folder:
            raise LogError(
                "opening the flock log", str(path), f"the folder {folder} is not there",
                "Make it, or name another place with --log.",
            )
        try:
            folder.mkdir(mode=0o700, parents=True)
            folder.chmod(0o700)
        except OSError as error:
            raise LogError("making the folder of the flock log", str(folder), _why(error)) from error
    _make_private(path)


def _make_private(path: Path) -> None:
    """An empty file that only its owner may read."""
    try:
        os.close(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600))
    except OSError as error:
        raise LogError("making", str(path), _why(error)) from error


def _prepare(connection: sqlite3.Connection, path: Path) -> None:
    """Refuse what is not a flock log, then set how it is worked with."""
    found = connection.execute("PRAGMA application_id").fetchone()[0]
    tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if found != APPLICATION_ID and tables:
        raise LogError("opening", str(path), "it is a database of another program, not a flock log")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")  # what is confirmed must outlive a power cut
    if connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        connection.execute("PRAGMA journal_mode = WAL")
    if found != APPLICATION_ID:
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    if path.stat().st_mode & 0o077:
        with suppress(OSError):  # another's file: the owner's business
            path.chmod(0o600)


def _upgrade(
    database: Database, connection: sqlite_utils.Database, backup: bool, scripts: Mapping[str, str]
) -> None:
    import sqlite_utils

    migrations = sqlite_utils.Migrations(MIGRATION_SET)
    names = list(scripts)
    for name, script in scripts.items():
        migrations(name=name)(_running(script))
    with _told("opening", database.path):
        applied = [migration.name for migration in migrations.applied(connection)]
    unknown = [name for name in applied if name not in names]
    if unknown:
        raise LogNewerError(
            "opening the flock log", str(database.path),
            f"it was written by a later version of this program ({unknown[-1]})",
            "Install that version; nothing was changed.",
        )
    if len(applied) == len(names):
        return
    if applied and backup:
        stamp = re.sub(r"\D", "", now_text()[:19])
        name = f"{database.path.stem}-before-{names[len(applied)]}-{stamp}.bak"
        database.copy_to(database.path.with_name(name))
    with _told("bringing up to date", database.path):
        connection.conn.execute("BEGIN IMMEDIATE")  # two programs starting at once: one waits
        try:
            migrations.apply(connection)
            connection.conn.execute("COMMIT")
        except BaseException:
            connection.rollback()
            raise


def _running(script: str) -> Any:
    """A migration as sqlite-utils wants it: a function of the database."""

    def apply(db: sqlite_utils.Database) -> None:
        for statement in statements(script):
            db.conn.execute(statement)

    return apply


def _why(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


@contextmanager
def _told(doing: str, path: Path) -> Iterator[None]:
    """Turn what SQLite raises into a LogError with a sentence."""
    try:
        yield
    except sqlite3.Error as error:
        text = str(error)
        about = f"the flock log {path}"
        if "locked" in text or "busy" in text:
            raise LogBusyError(
                doing, about, "another program has been writing to it for too long",
                "Wait until that is done, or end it, and try again.",
            ) from error
        for sign, (found, remedy) in _TROUBLE.items():
            if sign in text:
                raise LogError(doing, about, f"{found} ({text})", remedy) from error
        raise LogError(doing, about, text) from error
    except (UnicodeEncodeError, OverflowError) as error:
        raise LogError(doing, f"the flock log {path}", f"a value cannot be stored ({error})") from error


_RESTORE = "Keep the file as it is, and put back a copy of it."
_TROUBLE = {
    "not a database": ("it is not a database, or damaged", _RESTORE),
    "malformed": ("it is damaged", _RESTORE),
    "readonly": ("it may not be written to", "Look at the rights of the file and its folder."),
    "unable to open": ("it cannot be opened", "Look at the rights of the file and its folder."),
    "full": ("the disk is full", "Make room and try again; what was stored is safe."),
    "constraint": ("a value is not allowed there", "Nothing was stored; the log is as it was."),
    "disk I/O": ("the disk did not answer as it should", "Look at the disk; what was stored is safe."),
}
