"""The answer log on disk: the one door to sqlite3.

One file, in write-ahead mode, one short transaction an answer.  ``append`` returns only
after the commit, so an answer whose verdict was drawn survives a kill of the program at
any instant.  A loss of *power* (not of the program) can take back the last answers, as
``synchronous=NORMAL`` leaves flushing to the system between checkpoints; it cannot tear
the file.

The log is append-only (triggers refuse changes) and is the only truth: the model is
rebuilt from it.  A damaged file is set aside whole and rebuilt from what can be read;
a newer version's file is refused and not touched.  Every fault is a ``StoreError`` with
one line that says what to do.
"""

from __future__ import annotations

import shutil
import sqlite3
import struct
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from types import TracebackType

from drill.errors import StoreError
from drill.memory.items import Answer, Item
from drill.memory.salvage import pages_of_log, salvage, wal_path
from drill.memory.schema import (
    ANSWER_COLUMNS,
    APPLICATION_ID,
    FUNCTIONS,
    ITEM_COLUMNS,
    MIGRATIONS,
    PAGE_SIZE,
    BadRowError,
    Row,
    answer_row,
    clean,
    item_row,
    read_answer,
    read_item,
)
from drill.memory.turns import turn
from drill.places import ANSWERS

FILE_NAME = ANSWERS
"""The file's name in the data folder."""
_BUSY_SECONDS = 10.0
_CHECKED_BYTES = 16 * 1024 * 1024
"""Files up to this size have their structure checked whenever they are opened."""
_ROWS_CHECKED_BYTES = 4 * 1024 * 1024
"""Files up to this size have every row checked too.  In a larger one a bad row is found when
it is read; it leaves a mark, and the next start checks all."""
_HEADER = b"SQLite format 3\0"
_ANSWERS = ", ".join((*ANSWER_COLUMNS, "checksum"))
_ITEMS = ", ".join((*ITEM_COLUMNS, "checksum"))


def _insert(table: str, columns: Sequence[str]) -> str:
    marks = ", ".join("?" * (len(columns) + 1))
    names = ", ".join((*columns, "checksum"))
    return f"INSERT OR IGNORE INTO {table} ({names}) VALUES ({marks})"


_PUT_ANSWER = _insert("answers", ANSWER_COLUMNS)
_PUT_ITEM = _insert("items", ITEM_COLUMNS)


class _DamagedError(Exception):
    """The file is not what was written; internal, always turned into a rebuild or StoreError."""


@dataclass(frozen=True, slots=True)
class Logged:
    """An answer with its place in this file."""

    seq: int
    """From 1, growing; differs from machine to machine."""
    answer: Answer


@dataclass(frozen=True, slots=True)
class Reach:
    """A beginning of the log in this file: by these numbers it is known again."""

    seq: int
    """Its last row; 0 for an empty log."""
    rows: int
    stamps: int
    """A sum over the stamps of its rows."""
    stamp: int
    """Stamp and uuid of the row that is last in the log's order."""
    uuid: str

    @property
    def order(self) -> tuple[int, str]:
        """The order of that row; see ``Answer.order``."""
        return (self.stamp, self.uuid)


@dataclass(frozen=True, slots=True)
class MergeCounts:
    """What a merge did."""

    added: int
    """Answers that were new here."""
    known: int
    """Answers that were here already."""
    items: int
    """Items that were new here."""


class Store:
    """An open answer log; use it in a ``with`` or call ``close``."""

    def __init__(self, path: Path, link: sqlite3.Connection, notices: tuple[str, ...]) -> None:
        self.path = path
        self.notices = notices
        """What happened on opening that the player should read; empty when all was well."""
        self._link = link
        self._known: set[str] = set()
        self._file = _identity(path)

    @classmethod
    def open(cls, path: Path, migrations: Sequence[Sequence[str]] = MIGRATIONS) -> Store:
        """The store at ``path``, made when it is missing, migrated when it is older.

        Raises StoreError when the folder cannot be written or the file is newer.
        """
        path = Path(path)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise _unwritable(path, error.strerror or str(error)) from error
        with turn(path):
            return cls._opened(path, migrations)

    @classmethod
    def _opened(cls, path: Path, migrations: Sequence[Sequence[str]]) -> Store:
        _refuse_newer(path, len(migrations))
        try:
            link, notices = _connect(path, migrations)
        except _DamagedError as damage:
            notices = (_rebuild(path, migrations, _one_line(damage)),)
            try:
                link, more = _connect(path, migrations)
            except _DamagedError as again:
                raise StoreError(
                    f"{path}: the rebuilt answer log cannot be read ({_one_line(again)}): "
                    "check the disk, or set DRILL_HOME to another folder"
                ) from again
            notices += more
        return cls(path, link, notices)

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; a second call does nothing."""
        self._link.close()

    def append(self, answer: Answer, item: Item) -> Logged:
        """The answer as it was kept, once it is safe; ``item`` is kept with it when new.

        The stamp is set here.  An answer whose uuid is in the log already is not written
        again, and the one kept is given back.  Raises StoreError (disk full, no permission,
        locked by another program); the log is then as it was.
        """
        answer = clean(answer)
        with self._write() as link:
            (latest,) = link.execute("SELECT max(stamp) FROM answers").fetchone()
            at = replace(answer, stamp=0).order[0]
            stamp = at if latest is None else max(at, int(latest) + 1)
            answer = replace(answer, stamp=stamp)
            if item.id not in self._known:
                link.execute(_PUT_ITEM, item_row(item))
            done = link.execute(_PUT_ANSWER, answer_row(answer))
            seq = int(done.lastrowid or 0) if done.rowcount else 0
        if _identity(self.path) != self._file:
            raise StoreError(
                f"{self.path}: the answer log was moved or replaced while it was open, "
                "and this answer may not be in it: start the program again"
            )
        self._known.add(item.id)
        return Logged(seq, answer) if seq else self._find(answer)

    def _find(self, answer: Answer) -> Logged:
        uuid = answer_row(answer)[0]
        query = f"SELECT seq, {_ANSWERS} FROM answers WHERE uuid = ?"
        for logged in self._read(query, (uuid,)):
            return logged
        raise StoreError(f"{self.path}: the answer was not kept: check the disk")

    def answers(self) -> Iterator[Answer]:
        """Every answer, in the log's one order (``Answer.order``)."""
        query = f"SELECT seq, {_ANSWERS} FROM answers ORDER BY stamp, uuid"
        return (logged.answer for logged in self._read(query, ()))

    def since(self, seq: int) -> tuple[Logged, ...]:
        """Answers added to this file after ``seq``, by whichever program, oldest first."""
        query = f"SELECT seq, {_ANSWERS} FROM answers WHERE seq > ? ORDER BY seq"
        return tuple(self._read(query, (seq,)))

    def last_seq(self) -> int:
        """The largest sequence number in the file; 0 when the log is empty."""
        with self._faults():
            (seq,) = self._link.execute("SELECT max(seq) FROM answers").fetchone()
        return int(seq or 0)

    def reach(self, seq: int | None = None) -> Reach:
        """What the file holds up to a row, the whole of it for None.

        It reads the index alone, which is a fraction of the log.
        """
        upto = self.last_seq() if seq is None else seq
        with self._faults():
            rows, stamps = self._link.execute(
                "SELECT count(*), sum(stamp % 1000000007) FROM answers INDEXED BY answers_stamp "
                "WHERE seq <= ?",
                (upto,),
            ).fetchone()
            last = self._link.execute(
                "SELECT stamp, uuid FROM answers WHERE seq <= ? "
                "ORDER BY stamp DESC, uuid DESC LIMIT 1",
                (upto,),
            ).fetchone()
        stamp, uuid = last or (0, "")
        return Reach(upto, int(rows), int(stamps or 0), int(stamp), str(uuid))

    def count(self) -> int:
        """How many answers the log holds."""
        with self._faults():
            (number,) = self._link.execute("SELECT count(*) FROM answers").fetchone()
        return int(number)

    def items(self) -> dict[str, Item]:
        """Every item that was ever asked, by id."""
        out: dict[str, Item] = {}
        with self._faults():
            for row in self._link.execute(f"SELECT {_ITEMS} FROM items ORDER BY id"):
                item = read_item(row)
                out[item.id] = item
        return out

    def merge(self, other: Path) -> MergeCounts:
        """Take in every answer of another log: the union, all at once or not at all.

        The order of merges does not matter, and merging twice changes nothing.  Raises
        StoreError when ``other`` is missing, newer or damaged; it is never changed.
        """
        other = Path(other)
        with _copy_of(other) as copy:
            answers, items = tuple(copy.answers()), copy.items()
        with self._write() as link:
            new_items = _count_new(link, _PUT_ITEM, map(item_row, items.values()))
            added = _count_new(link, _PUT_ANSWER, map(answer_row, answers))
        return MergeCounts(added, len(answers) - added, new_items)

    def backup(self, target: Path) -> Path:
        """A whole copy in one file at ``target``, which must not exist yet; gives its path.

        Safe while programs write.
        """
        target = Path(target)
        if target.exists():
            raise StoreError(f"{target} exists already: name a new file for the backup")
        part = target.with_name(target.name + ".part")
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            part.unlink(missing_ok=True)
            with self._faults():
                _copy_database(self._link, part)
            part.rename(target)
        except (OSError, sqlite3.Error) as error:
            part.unlink(missing_ok=True)
            raise StoreError(f"{target}: the backup cannot be written: {error}") from error
        return target

    def restore(self, source: Path) -> Path:
        """Make the log what it was in a backup; gives the copy of the present log kept beside it.

        Raises StoreError when ``source`` is missing, newer or damaged; nothing is changed then.
        """
        with _copy_of(Path(source)) as copy:
            kept = self.backup(_free_name(self.path, "before-restore"))
            with self._faults():
                copy._link.backup(self._link)
        self._known.clear()
        return kept

    def _read(self, query: str, values: Row) -> Iterator[Logged]:
        with self._faults():
            for seq, *row in self._link.execute(query, values):
                yield Logged(seq, read_answer(tuple(row)))

    @contextmanager
    def _write(self) -> Iterator[sqlite3.Connection]:
        """One transaction, written whole or not at all."""
        with self._faults():
            self._link.execute("BEGIN IMMEDIATE")
            try:
                yield self._link
                self._link.execute("COMMIT")
            except BaseException:
                if self._link.in_transaction:
                    self._link.execute("ROLLBACK")
                raise

    @contextmanager
    def _faults(self) -> Iterator[None]:
        """Turns the library's faults into one clear line."""
        try:
            yield
        except (sqlite3.Error, ValueError, OverflowError, MemoryError) as error:
            if _is_damage(error):
                with suppress(OSError):
                    _suspect(self.path).touch()
            raise _explained(self.path, error) from error


_DAMAGE = ("malformed", "not a database", "decode", "corrupt", "unsupported file format")


def _is_damage(error: Exception) -> bool:
    """Whether a fault says that the file is not what was written."""
    if isinstance(error, sqlite3.Error):
        text = str(error)
        return type(error) is sqlite3.DatabaseError or any(sign in text for sign in _DAMAGE)
    return isinstance(error, ValueError | MemoryError)  # BadRowError is a ValueError


def _suspect(path: Path) -> Path:
    """The mark of a file in which something unreadable was met."""
    return path.with_name(path.name + ".suspect")


def _explained(path: Path, error: Exception) -> StoreError:
    """A StoreError that says what to do."""
    text = str(error)
    if isinstance(error, sqlite3.DataError | OverflowError):
        return StoreError(f"{path}: the answer is too large to be kept ({text})")
    if isinstance(error, sqlite3.ProgrammingError):
        return StoreError(f"{path}: the answer log is closed ({text})")
    if _is_damage(error):
        return StoreError(
            f"{path}: the answer log is damaged ({text}): start again, and it is rebuilt "
            "from what can be read"
        )
    if "full" in text:
        return StoreError(f"{path}: the disk is full: make room; nothing kept so far is lost")
    if "locked" in text or "busy" in text:
        return StoreError(
            f"{path}: another program holds the answer log for more than "
            f"{_BUSY_SECONDS:.0f} seconds: close it and try again"
        )
    return _unwritable(path, text)


def _one_line(error: Exception) -> str:
    """What the library says, harmless to print: it quotes the schema, and that may be damaged."""
    text = " ".join(str(error).split())[:120]
    return "".join(sign if sign.isprintable() else "?" for sign in text)


def _unwritable(path: Path, reason: str) -> StoreError:
    return StoreError(
        f"{path}: the answer log cannot be written ({reason}): make its folder writable, "
        "or set DRILL_HOME to another folder"
    )


def _identity(path: Path) -> tuple[int, int] | None:
    """Which file stands at a path; None where none does.  An open file may be another by now."""
    try:
        found = path.stat()
    except OSError:
        return None
    return (found.st_dev, found.st_ino)


def _refuse_newer(path: Path, known: int) -> None:
    """Raises StoreError for a newer version's file, without opening it as a database."""
    try:
        with path.open("rb") as file:
            head = file.read(100)
    except FileNotFoundError:
        return
    except OSError as error:
        raise _unwritable(path, error.strerror or str(error)) from error
    heads = [head, *(page for number, page in pages_of_log(path) if number == 1)]
    for page in heads:
        if page[:16] != _HEADER or len(page) < 72:
            continue
        version, application = (struct.unpack_from(">I", page, at)[0] for at in (60, 68))
        if application == APPLICATION_ID and known < version < 1 << 16:
            raise StoreError(
                f"{path}: this answer log was written by a newer version (layout {version}, "
                f"this program knows up to {known}): update the program; the file was not touched"
            )


def _connect(
    path: Path, migrations: Sequence[Sequence[str]]
) -> tuple[sqlite3.Connection, tuple[str, ...]]:
    """An open, checked and migrated file; raises _DamagedError or StoreError."""
    if path.exists() and 0 < path.stat().st_size < PAGE_SIZE:
        raise _DamagedError("it is shorter than one page")
    if path.exists() and not path.stat().st_size and wal_path(path).exists():
        raise _DamagedError("it is empty, but its write-ahead log is not")
    link = None
    notices: tuple[str, ...] = ()
    if path.exists() and not path.stat().st_size:
        notices = (f"{path.name} was an empty file: a new answer log was begun in it",)
    try:
        link = sqlite3.connect(
            path, timeout=_BUSY_SECONDS, isolation_level=None, check_same_thread=False
        )
        _lend_functions(link)
        _prepare(link, path, migrations)
        notices += _migrate(link, path, migrations)
    except (_DamagedError, StoreError):
        if link is not None:
            link.close()
        raise
    except (sqlite3.Error, ValueError, MemoryError) as error:
        if link is not None:
            link.close()
        if _is_damage(error):
            raise _DamagedError(str(error)) from error
        raise _explained(path, error) from error
    return link, notices


def _lend_functions(link: sqlite3.Connection) -> None:
    """Let migrations call what only Python can compute."""
    for name, count, function in FUNCTIONS:
        link.create_function(name, count, function, deterministic=True)


def _prepare(link: sqlite3.Connection, path: Path, migrations: Sequence[Sequence[str]]) -> None:
    """Settings of the connection, and the check of what is there."""
    link.execute(f"PRAGMA page_size={PAGE_SIZE}")
    (application,) = link.execute("PRAGMA application_id").fetchone()
    tables = {name for (name,) in link.execute("SELECT name FROM sqlite_master")}
    if tables and application != APPLICATION_ID:
        if "answers" in tables:
            raise _DamagedError("it is not marked as an answer log")
        raise StoreError(
            f"{path}: this is another program's database: move it, or set DRILL_HOME to "
            "another folder; it was not changed"
        )
    if tables and _layout(link) != _expected_layout(link, migrations):
        raise _DamagedError("its tables are not as they were made")
    (mode,) = link.execute("PRAGMA journal_mode=WAL").fetchone()
    if mode not in {"wal", "memory"}:
        link.execute("PRAGMA journal_mode=DELETE")  # a network folder: slower, still safe
    link.execute("PRAGMA synchronous=NORMAL")
    link.execute("PRAGMA cache_size=-512")  # KiB: a long practice stays small
    link.execute("PRAGMA recursive_triggers=ON")
    size, suspect = path.stat().st_size, _suspect(path).exists()
    if size <= _CHECKED_BYTES or suspect:
        (verdict,) = link.execute("PRAGMA integrity_check(1)").fetchone()
        if verdict != "ok":
            raise _DamagedError(str(verdict).splitlines()[0])
    if size <= _ROWS_CHECKED_BYTES or suspect:
        _check_rows(link)
    with suppress(OSError):
        _suspect(path).unlink(missing_ok=True)


def _layout(link: sqlite3.Connection) -> list[tuple[str, ...]]:
    return sorted(link.execute("SELECT type, name, coalesce(sql, '') FROM sqlite_master"))


def _expected_layout(
    link: sqlite3.Connection, migrations: Sequence[Sequence[str]]
) -> list[tuple[str, ...]]:
    """The layout that a file of this version has."""
    (version,) = link.execute("PRAGMA user_version").fetchone()
    fresh = sqlite3.connect(":memory:")
    _lend_functions(fresh)
    try:
        for migration in migrations[:version]:
            for statement in migration:
                fresh.execute(statement)
        return _layout(fresh)
    finally:
        fresh.close()


def _check_rows(link: sqlite3.Connection) -> None:
    """Raises _DamagedError when a row's checksum does not fit."""
    tables = {name for (name,) in link.execute("SELECT name FROM sqlite_master")}
    try:
        if "items" in tables:
            for row in link.execute(f"SELECT {_ITEMS} FROM items"):
                read_item(row)
        if "answers" in tables:
            for row in link.execute(f"SELECT {_ANSWERS} FROM answers"):
                read_answer(row)
    except (BadRowError, ValueError, OverflowError) as error:
        raise _DamagedError(str(error)) from error


def _migrate(
    link: sqlite3.Connection, path: Path, migrations: Sequence[Sequence[str]]
) -> tuple[str, ...]:
    """Bring an older file up to date, one transaction a version, after keeping a copy."""
    (version,) = link.execute("PRAGMA user_version").fetchone()
    if version == len(migrations):
        return ()
    if version > len(migrations):
        raise StoreError(
            f"{path}: this answer log was written by a newer version: update the program"
        )
    notices: tuple[str, ...] = ()
    if version:
        copy = _free_name(path, f"layout-{version}")
        _copy_database(link, copy)
        notices = (f"the answer log was brought up to date; the old one is kept as {copy.name}",)
    for number in range(version, len(migrations)):
        link.execute("BEGIN IMMEDIATE")
        try:
            (now,) = link.execute("PRAGMA user_version").fetchone()
            if now == number:  # else another program was faster
                for statement in migrations[number]:
                    link.execute(statement)
                link.execute(f"PRAGMA application_id={APPLICATION_ID}")
                link.execute(f"PRAGMA user_version={number + 1}")
            link.execute("COMMIT")
        except BaseException:
            if link.in_transaction:
                link.execute("ROLLBACK")
            raise
    return notices


def _rebuild(path: Path, migrations: Sequence[Sequence[str]], reason: str) -> str:
    """Set the damaged file aside and fill a new one with what can be read; gives the notice.

    The new file is complete before it takes the old one's place, so a kill midway leaves
    the damaged file where it was, for the next start.
    """
    kept = salvage(path)
    fresh = path.with_name(path.name + ".rebuilding")
    aside = _free_name(path, "damaged")
    try:
        _remove(fresh)
        link, _ = _connect(fresh, migrations)
        link.execute("BEGIN IMMEDIATE")
        _count_new(link, _PUT_ITEM, map(item_row, kept.items))
        _count_new(link, _PUT_ANSWER, map(answer_row, kept.answers))
        link.execute("COMMIT")
        link.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        link.close()
        shutil.copy2(path, aside)
        for suffix in ("-wal", "-shm"):
            beside = path.with_name(path.name + suffix)
            if beside.exists():
                shutil.copy2(beside, aside.with_name(aside.name + suffix))
                beside.unlink()
        fresh.replace(path)
        _suspect(path).unlink(missing_ok=True)
    except (OSError, sqlite3.Error) as error:
        raise StoreError(
            f"{path}: the answer log is damaged ({reason}) and cannot be rebuilt here "
            f"({error}): copy it to a folder with room and set DRILL_HOME to that folder"
        ) from error
    return (
        f"the answer log was damaged ({reason}): {len(kept.answers)} answers could be read and "
        f"are kept; the damaged file is set aside as {aside.name}"
    )


def _count_new(link: sqlite3.Connection, statement: str, rows: Iterable[Row]) -> int:
    return sum(link.execute(statement, row).rowcount for row in rows)


def _copy_database(link: sqlite3.Connection, target: Path) -> None:
    """A copy of everything committed, in one file without a write-ahead log."""
    copy = sqlite3.connect(target, isolation_level=None)
    try:
        link.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")
    finally:
        copy.close()


@contextmanager
def _copy_of(path: Path) -> Iterator[Store]:
    """A checked and migrated copy of another log, which is itself only read."""
    if not path.is_file():
        raise StoreError(f"{path}: no answer log there: name a file made by this program")
    _refuse_newer(path, len(MIGRATIONS))
    with tempfile.TemporaryDirectory(prefix="drill-") as folder:
        copy = Path(folder) / FILE_NAME
        try:
            shutil.copyfile(path, copy)
            if wal_path(path).exists():
                shutil.copyfile(wal_path(path), wal_path(copy))
            link, _ = _connect(copy, MIGRATIONS)
        except (_DamagedError, OSError) as error:
            raise StoreError(
                f"{path}: this is no intact answer log ({error}): nothing was taken from it"
            ) from error
        with Store(path, link, ()) as store:
            yield store


def _free_name(path: Path, label: str) -> Path:
    """A name beside ``path`` that is not taken: ``answers.db.damaged-1``."""
    number = 1
    while (name := path.with_name(f"{path.name}.{label}-{number}")).exists():
        number += 1
    return name


def _remove(path: Path) -> None:
    for suffix in ("", "-wal", "-shm"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)
