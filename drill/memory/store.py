"""The answer log as the rooms above know it: answers appended and read.

``append`` returns only after the commit, so an answer whose verdict was drawn survives a
kill of the program at any instant.  A loss of *power* (not of the program) can take back the
last answers, as ``synchronous=NORMAL`` leaves flushing to the system between checkpoints; it
cannot tear the file.

The log is append-only (triggers refuse changes) and is the only truth: the model is
rebuilt from it.  A damaged file is set aside whole and rebuilt from what can be read;
a newer version's file is refused and not touched.  Every fault is a ``StoreError`` with
one line that says what to do.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from types import TracebackType

from drill.errors import DrillError, StoreError
from drill.files import make_folder
from drill.memory.bounds import LAST_STAMP
from drill.memory.copies import drop_copies, keep_copy
from drill.memory.database import (
    ANSWERS,
    ITEMS,
    PUT_ANSWER,
    PUT_ITEM,
    Link,
    Migrations,
    UnwritableError,
    faults,
    take_over,
    transaction,
)
from drill.memory.items import Answer, Item
from drill.memory.lastseen import LastSeen, forget, note
from drill.memory.logfile import open_log
from drill.memory.salvage import wal_path
from drill.memory.schema import (
    MIGRATIONS,
    Row,
    answer_row,
    clean,
    item_row,
    put,
    read_answer,
    read_item,
)
from drill.memory.turns import turn
from drill.places import ANSWERS as FILE_NAME
from drill.shown import harmless

_OPEN: Counter[tuple[int, int] | None] = Counter()
"""The files that this process has open, each with how often."""

__all__ = ["FILE_NAME", "Logged", "Reach", "Store"]


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


class Store:
    """An open answer log; use it in a ``with`` or call ``close``."""

    def __init__(self, path: Path, link: Link, notices: tuple[str, ...] = ()) -> None:
        self.path = path
        self.notices = notices
        """What happened on opening that the player should read; empty when all was well."""
        self.link = link
        """The open connection, for the memory room alone."""
        self.generation = 0
        """Grows when the log is found to be another one than before: restored meanwhile."""
        self._file = _identity(path)
        self._newest: Row | None = None
        """Number and uuid of a row that must stand there as long as the log is the same."""
        self._closed = False
        _OPEN[self._file] += 1

    @classmethod
    def open(
        cls, path: Path, migrations: Migrations = MIGRATIONS, *, day: str | None = None
    ) -> Store:
        """The store at ``path``, made when it is missing, migrated when it is older.

        ``day``, an ISO date, keeps the daily copy of that day; None keeps none.  Raises
        StoreError when the folder cannot be written or the file is newer.
        """
        path = Path(path)
        try:
            make_folder(path.parent, private=True)
        except DrillError as error:
            raise UnwritableError(
                f"{error}: make its folder writable, or set DRILL_HOME to another folder"
            ) from error
        with turn(path):
            store = cls(path, *open_log(path, migrations, again=_is_open(path)))
            _keep_private(path)
            try:
                with faults(path):
                    if day is not None:
                        keep_copy(store.link, path, day)
                    store._newest = store._newest_row()
            except StoreError:
                store.close()  # else the next try would take the file for one that is in use
                raise
            return store

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
        if self._closed:
            return
        self._closed = True
        self.link.close()
        _OPEN[self._file] -= 1
        if self._newest is not None and not wal_path(self.path).exists():
            forget(self.path)

    def append(self, answer: Answer, item: Item) -> Logged:
        """The answer as it was kept, once it is safe; ``item`` is kept with it when new.

        The stamp is set here.  An answer whose uuid is in the log already is not written
        again, and the one kept is given back.  Raises StoreError (disk full, no permission,
        locked by another program); the log is then as it was.
        """
        answer = clean(answer)
        with faults(self.path), transaction(self.link) as link:
            changed = not self._is_the_same()
            query = f"SELECT max(stamp) FROM answers WHERE stamp <= {LAST_STAMP}"
            (latest,) = link.execute(query).fetchone()
            at = replace(answer, stamp=0).order[0]
            stamp = at if latest is None else max(at, int(latest) + 1)
            answer = replace(answer, stamp=stamp)
            # Always: another program may have restored a log that did not know it.
            link.execute(PUT_ITEM, item_row(item))
            done = link.execute(PUT_ANSWER, answer_row(answer))
            seq = int(done.lastrowid or 0) if done.rowcount else 0
        if _identity(self.path) != self._file:
            raise StoreError(
                f"{harmless(str(self.path))}: the answer log was moved or replaced while it was "
                "open, and this answer may not be in it: start the program again"
            )
        self.generation += changed
        logged = Logged(seq, answer) if seq else self._find(answer)
        self._newest = (logged.seq, put(logged.answer.uuid))
        note(self.path, LastSeen(logged.seq, logged.answer.uuid))
        return logged

    def _is_the_same(self) -> bool:
        """Whether the row last known still stands where it stood."""
        if self._newest is None or not self._newest[0]:
            return True
        query = "SELECT uuid FROM answers WHERE seq = ?"
        found: Row | None = self.link.execute(query, self._newest[:1]).fetchone()
        return found == self._newest[1:]

    def look_again(self) -> int:
        """The generation of the log now; see ``generation``."""
        with faults(self.path):
            if not self._is_the_same():
                self.generation += 1
            self._newest = self._newest_row()
        return self.generation

    def _newest_row(self) -> Row:
        query = "SELECT seq, uuid FROM answers ORDER BY seq DESC LIMIT 1"
        return self.link.execute(query).fetchone() or (0, "")

    def _find(self, answer: Answer) -> Logged:
        query = f"SELECT seq, {ANSWERS} FROM answers WHERE uuid = ?"
        for logged in self._read(query, (put(answer.uuid),)):
            return logged
        raise StoreError(f"{harmless(str(self.path))}: the answer was not kept: check the disk")

    def answers(self) -> Iterator[Answer]:
        """Every answer, in the log's one order (``Answer.order``)."""
        query = f"SELECT seq, {ANSWERS} FROM answers ORDER BY stamp, uuid"
        return (logged.answer for logged in self._read(query, ()))

    def since(self, seq: int) -> tuple[Logged, ...]:
        """Answers added to this file after ``seq``, by whichever program, oldest first."""
        query = f"SELECT seq, {ANSWERS} FROM answers WHERE seq > ? ORDER BY seq"
        return tuple(self._read(query, (seq,)))

    def last_seq(self) -> int:
        """The largest sequence number in the file; 0 when the log is empty."""
        with faults(self.path):
            (seq,) = self.link.execute("SELECT max(seq) FROM answers").fetchone()
        return int(seq or 0)

    def reach(self, seq: int | None = None) -> Reach:
        """What the file holds up to a row, the whole of it for None.

        It reads the index alone, which is a fraction of the log.
        """
        upto = self.last_seq() if seq is None else seq
        with faults(self.path):
            rows, stamps = self.link.execute(
                "SELECT count(*), sum(stamp % 1000000007) FROM answers INDEXED BY answers_stamp "
                "WHERE seq <= ?",
                (upto,),
            ).fetchone()
            last = self.link.execute(
                "SELECT stamp, uuid FROM answers WHERE seq <= ? "
                "ORDER BY stamp DESC, uuid DESC LIMIT 1",
                (upto,),
            ).fetchone()
        stamp, uuid = last or (0, "")
        return Reach(upto, int(rows), int(stamps or 0), int(stamp), str(uuid))

    def count(self) -> int:
        """How many answers the log holds."""
        with faults(self.path):
            (number,) = self.link.execute("SELECT count(*) FROM answers").fetchone()
        return int(number)

    def items(self) -> dict[str, Item]:
        """Every item that was ever asked, by id."""
        out: dict[str, Item] = {}
        with faults(self.path):
            for row in self.link.execute(f"SELECT {ITEMS} FROM items ORDER BY id"):
                item = read_item(row)
                out[item.id] = item
        return out

    def become(self, other: Link) -> None:
        """Take over what another log holds, for every program that has this one open."""
        forget(self.path)
        with faults(self.path):
            take_over(self.link, other)
            self._newest = self._newest_row()
        drop_copies(self.path)

    def _read(self, query: str, values: Row) -> Iterator[Logged]:
        with faults(self.path):
            for seq, *row in self.link.execute(query, values):
                yield Logged(seq, read_answer(tuple(row)))


def _keep_private(path: Path) -> None:
    """The answers of a person are that person's alone; the first version left them to all."""
    with suppress(OSError):
        found = path.stat()
        if found.st_mode & 0o077 and hasattr(os, "getuid") and found.st_uid == os.getuid():
            for suffix in ("", "-wal", "-shm"):
                with suppress(FileNotFoundError):
                    os.chmod(path.with_name(path.name + suffix), found.st_mode & 0o700)


def _is_open(path: Path) -> bool:
    found = _identity(path)
    return found is not None and _OPEN[found] > 0


def _identity(path: Path) -> tuple[int, int] | None:
    """Which file stands at a path; None where none does.  An open file may be another by now."""
    try:
        found = path.stat()
    except OSError:
        return None
    return (found.st_dev, found.st_ino)
