"""The one door to sqlite3: connections to an answer log, its layout, its transactions and faults.

Write-ahead mode, one short transaction an answer.  Pages are small, because every answer
writes each page that it touches once more, and the write-ahead log is taken into the file
before it outgrows ``_WAL_BYTES``: a small disk stays a small disk.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from functools import lru_cache
from pathlib import Path

from drill.errors import StoreError
from drill.files import whole
from drill.memory.items import Answer, Item
from drill.memory.schema import (
    ANSWER_COLUMNS,
    APPLICATION_ID,
    FUNCTIONS,
    ITEM_COLUMNS,
    PAGE_SIZE,
    BadRowError,
    Row,
    answer_row,
    item_row,
    read_answer,
    read_item,
)
from drill.shown import harmless

Link = sqlite3.Connection
DatabaseError = sqlite3.Error
Migrations = Sequence[Sequence[str]]

_BUSY_SECONDS = 10.0
_CHECKED_BYTES = 16 * 1024 * 1024
"""Files up to this size have their structure checked whenever they are opened."""
_ROWS_CHECKED_BYTES = 4 * 1024 * 1024
"""Files up to this size have every row checked too.  In a larger one a bad row is found when
it is read; it leaves a mark, and the next start checks all."""
_WAL_BYTES = 64 * 1024
_BESIDE_BYTES = 32 * 1024
BESIDE = ("-wal", "-shm", "-journal")
"""What the library keeps beside a file while it is open, and after a kill."""

ANSWERS = ", ".join((*ANSWER_COLUMNS, "checksum"))
ITEMS = ", ".join((*ITEM_COLUMNS, "checksum"))


def _insert(table: str, columns: Sequence[str]) -> str:
    marks = ", ".join("?" * (len(columns) + 1))
    names = ", ".join((*columns, "checksum"))
    return f"INSERT OR IGNORE INTO {table} ({names}) VALUES ({marks})"


PUT_ANSWER = _insert("answers", ANSWER_COLUMNS)
PUT_ITEM = _insert("items", ITEM_COLUMNS)


class DamagedError(Exception):
    """The file is not what was written; internal, always turned into a rebuild or StoreError."""


class UnwritableError(StoreError):
    """The log or its folder cannot be written; it may still be read."""


# -- opening


def connect(
    path: Path, migrations: Migrations, *, rows: bool = True
) -> tuple[Link, tuple[str, ...]]:
    """An open, checked and migrated file, and what the player should read of it.

    A file that is made here is its owner's alone.  ``rows`` False does not check each row.
    Raises DamagedError or StoreError.
    """
    link = None
    try:
        with suppress(FileExistsError):
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        link = sqlite3.connect(
            path, timeout=_BUSY_SECONDS, isolation_level=None, check_same_thread=False
        )
        _lend_functions(link)
        _prepare(link, path, migrations, rows)
        return link, _migrate(link, path, migrations)
    except (DamagedError, StoreError):
        if link is not None:
            link.close()
        raise
    except (sqlite3.Error, OSError, ValueError, MemoryError) as error:
        if link is not None:
            link.close()
        if is_damage(error):
            raise DamagedError(one_line(error)) from error
        raise explained(path, error) from error


def _lend_functions(link: Link) -> None:
    """Let migrations call what only Python can compute."""
    for name, count, function in FUNCTIONS:
        link.create_function(name, count, function, deterministic=True)


def _prepare(link: Link, path: Path, migrations: Migrations, rows: bool) -> None:
    """Settings of the connection, and the check of what is there."""
    link.execute(f"PRAGMA page_size={PAGE_SIZE}")
    (application,) = link.execute("PRAGMA application_id").fetchone()
    tables = {name for (name,) in link.execute("SELECT name FROM sqlite_master")}
    if tables and application != APPLICATION_ID:
        if "answers" in tables:
            raise DamagedError("it is not marked as an answer log")
        raise StoreError(
            f"{harmless(str(path))}: this is another program's database: move it, or set "
            "DRILL_HOME to another folder; it was not changed"
        )
    if tables and _layout(link) != _expected_layout(link, migrations):
        raise DamagedError("its tables are not as they were made")
    _settle(link)
    size, doubted = path.stat().st_size, suspect(path).exists()
    if size <= _CHECKED_BYTES or doubted:
        (verdict,) = link.execute("PRAGMA integrity_check(1)").fetchone()
        if verdict != "ok":
            raise DamagedError(str(verdict).splitlines()[0])
    if tables and rows and (size <= _ROWS_CHECKED_BYTES or doubted):
        _check_rows(link)
    if tables:
        _check_numbers(link)
    with suppress(OSError):
        suspect(path).unlink(missing_ok=True)


def _settle(link: Link) -> None:
    """The ways of writing: ahead, in short steps, with a small memory."""
    (mode,) = link.execute("PRAGMA journal_mode=WAL").fetchone()
    if mode not in {"wal", "memory"}:
        link.execute("PRAGMA journal_mode=DELETE")  # a network folder: slower, still safe
    (size,) = link.execute("PRAGMA page_size").fetchone()
    link.execute(f"PRAGMA wal_autocheckpoint={max(1, _WAL_BYTES // size)}")
    link.execute(f"PRAGMA journal_size_limit={_WAL_BYTES}")
    link.execute("PRAGMA synchronous=NORMAL")
    link.execute("PRAGMA cache_size=-512")  # KiB: a long practice stays small
    link.execute("PRAGMA recursive_triggers=ON")


def _layout(link: Link) -> list[tuple[str, ...]]:
    rows = link.execute("SELECT type, name, coalesce(sql, '') FROM sqlite_master")
    return sorted(rows, key=repr)  # in a damaged file a name may be no text


def _expected_layout(link: Link, migrations: Migrations) -> list[tuple[str, ...]]:
    """The layout that a file of this version has."""
    (version,) = link.execute("PRAGMA user_version").fetchone()
    return _layout_made_by(tuple(map(tuple, migrations[:version])))


@lru_cache(maxsize=8)
def _layout_made_by(migrations: tuple[tuple[str, ...], ...]) -> list[tuple[str, ...]]:
    with closing(sqlite3.connect(":memory:")) as fresh:
        _lend_functions(fresh)
        for migration in migrations:
            for statement in migration:
                fresh.execute(statement)
        return _layout(fresh)


def _check_rows(link: Link) -> None:
    """Raises DamagedError when a row's checksum does not fit."""
    try:
        for row in link.execute(f"SELECT {ITEMS} FROM items"):
            read_item(row)
        for row in link.execute(f"SELECT {ANSWERS} FROM answers"):
            read_answer(row)
    except (BadRowError, ValueError, OverflowError) as error:
        raise DamagedError(str(error)) from error


def _check_numbers(link: Link) -> None:
    """Raises DamagedError when an answer is gone: they are numbered without a gap, from 1."""
    count, last = link.execute("SELECT count(*), coalesce(max(seq), 0) FROM answers").fetchone()
    if count != last:
        raise DamagedError(f"it holds {count} answers where there were {last}")


def _migrate(link: Link, path: Path, migrations: Migrations) -> tuple[str, ...]:
    """Bring an older file up to date, one transaction a version, after keeping a copy."""
    (version,) = link.execute("PRAGMA user_version").fetchone()
    if version == len(migrations):
        return ()
    if version > len(migrations):
        raise StoreError(
            f"{harmless(str(path))}: this answer log was written by a newer version: "
            "update the program"
        )
    notices: tuple[str, ...] = ()
    if version:
        copy = free_name(path, f"layout-{version}")
        copy_to(link, copy)
        notices = (f"the answer log was brought up to date; the old one is kept as {copy.name}",)
    for number in range(version, len(migrations)):
        with transaction(link):
            (now,) = link.execute("PRAGMA user_version").fetchone()
            if now == number:  # else another program was faster
                for statement in migrations[number]:
                    link.execute(statement)
                link.execute(f"PRAGMA application_id={APPLICATION_ID}")
                link.execute(f"PRAGMA user_version={number + 1}")
    return notices


# -- reading and writing


@contextmanager
def transaction(link: Link) -> Iterator[Link]:
    """One transaction, written whole or not at all."""
    link.execute("BEGIN IMMEDIATE")
    try:
        yield link
        link.execute("COMMIT")
    except BaseException:
        if link.in_transaction:
            link.execute("ROLLBACK")
        raise


def count_new(link: Link, statement: str, rows: Iterable[Row]) -> int:
    """How many of the rows were new, all of them written."""
    return sum(link.execute(statement, row).rowcount for row in rows)


def put_all(link: Link, answers: Iterable[Answer], items: Iterable[Item]) -> tuple[int, int]:
    """Write cleaned answers and their items, all or none; how many of each were new."""
    with transaction(link):
        new_items = count_new(link, PUT_ITEM, map(item_row, items))
        return count_new(link, PUT_ANSWER, map(answer_row, answers)), new_items


def copy_to(link: Link, target: Path) -> None:
    """A copy of everything committed, in one new file without a write-ahead log, private.

    Raises StoreError that names ``target``, and leaves no trace, where it cannot be written.
    """
    with whole(target, replace=False, private=True) as part:
        try:
            with closing(sqlite3.connect(part, isolation_level=None)) as copy:
                link.backup(copy)
                copy.execute("PRAGMA journal_mode=DELETE")
        except sqlite3.Error as error:
            raise StoreError(f"{harmless(str(target))}: {_why_unwritten(error)}") from error
        finally:
            for suffix in BESIDE:
                part.with_name(part.name + suffix).unlink(missing_ok=True)


def _why_unwritten(error: sqlite3.Error) -> str:
    if "full" in str(error):
        return "the disk is full: make room there, or name a file on another disk"
    return f"the copy cannot be written: {one_line(error)}"


def take_over(link: Link, source: Link) -> None:
    """Make the log what another one is, for every program that has it open."""
    (size,) = link.execute("PRAGMA page_size").fetchone()
    (theirs,) = source.execute("PRAGMA page_size").fetchone()
    if size != theirs:  # the library copies page by page
        source.execute("PRAGMA journal_mode=DELETE")
        source.execute(f"PRAGMA page_size={size}")
        source.execute("VACUUM")
    source.backup(link)
    # What was written ahead before must not come to light again.
    link.execute("PRAGMA wal_checkpoint(TRUNCATE)")


# -- faults


@contextmanager
def faults(path: Path) -> Iterator[None]:
    """Turns the library's faults into one clear line, a StoreError."""
    try:
        yield
    except (sqlite3.Error, ValueError, OverflowError, MemoryError) as error:
        if is_damage(error):
            with suppress(OSError):
                suspect(path).touch()
        raise explained(path, error) from error


_DAMAGE = ("malformed", "not a database", "decode", "corrupt", "unsupported file format")


def is_damage(error: Exception) -> bool:
    """Whether a fault says that the file is not what was written."""
    if isinstance(error, sqlite3.Error):
        text = str(error)
        return type(error) is sqlite3.DatabaseError or any(sign in text for sign in _DAMAGE)
    # BadRowError is a ValueError
    return isinstance(error, ValueError | MemoryError | DamagedError)


def explained(path: Path, error: Exception) -> StoreError:
    """A StoreError that says what to do."""
    text, shown = one_line(error), harmless(str(path))
    if isinstance(error, sqlite3.DataError | OverflowError):
        return StoreError(f"{shown}: the answer is too large to be kept ({text})")
    if isinstance(error, sqlite3.ProgrammingError):
        return StoreError(f"{shown}: the answer log is closed ({text})")
    if is_damage(error):
        return StoreError(
            f"{shown}: the answer log is damaged ({text}): start again, and it is rebuilt "
            "from what can be read"
        )
    if "full" in text or "No space left" in text or ("I/O" in text and _is_full(path)):
        return UnwritableError(f"{shown}: the disk is full: make room; nothing kept so far is lost")
    if "locked" in text or "busy" in text:
        return StoreError(
            f"{shown}: another program holds the answer log for more than "
            f"{_BUSY_SECONDS:.0f} seconds: close it and try again"
        )
    if isinstance(error, OSError) and error.strerror:
        text = error.strerror
    return unwritable(path, text)


def _is_full(path: Path) -> bool:
    """Whether the disk has no room even for what the library keeps beside a file: it calls that
    a fault of the disk."""
    try:
        return shutil.disk_usage(path.parent).free < _BESIDE_BYTES
    except OSError:
        return False


def unwritable(path: Path, reason: str) -> UnwritableError:
    """The error of a log that cannot be written, and what to do."""
    return UnwritableError(
        f"{harmless(str(path))}: the answer log cannot be written ({reason}): make its folder "
        "writable, or set DRILL_HOME to another folder"
    )


def one_line(error: Exception) -> str:
    """What the library says, harmless to print: it quotes the schema, and that may be damaged."""
    return harmless(" ".join(str(error).split())[:120])


# -- names beside a log


def suspect(path: Path) -> Path:
    """The mark of a file in which something unreadable was met."""
    return path.with_name(path.name + ".suspect")


def free_name(path: Path, label: str) -> Path:
    """A name beside ``path`` that is not taken: ``answers.db.damaged-1``."""
    number = 1
    while (name := path.with_name(f"{path.name}.{label}-{number}")).exists():
        number += 1
    return name


def remove(path: Path) -> None:
    """Take a log away with all that the library keeps beside it."""
    for suffix in ("", *BESIDE):
        path.with_name(path.name + suffix).unlink(missing_ok=True)
