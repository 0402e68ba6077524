"""A log beside other files: merged, copied, restored, and read where it may only be read.

Another log is never opened where it lies: it is copied, checked and brought up to date in a
folder of its own, and only its copy is read.
"""

from __future__ import annotations

import os
import shutil
import stat
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from drill.errors import DrillError, StoreError
from drill.memory.bounds import unfit, unfit_item
from drill.memory.database import (
    ANSWERS,
    ITEMS,
    PUT_ANSWER,
    DamagedError,
    DatabaseError,
    Link,
    UnwritableError,
    connect,
    copy_to,
    count_new,
    faults,
    free_name,
    one_line,
    put_all,
    transaction,
)
from drill.memory.items import Answer, Item
from drill.memory.logfile import open_log, refuse_newer, refuse_what_is_no_file
from drill.memory.salvage import wal_path
from drill.memory.schema import (
    HEADER,
    MIGRATIONS,
    BadRowError,
    put,
    read_answer,
    read_item,
)
from drill.memory.store import FILE_NAME, Store
from drill.memory.turns import turn
from drill.shown import counted, harmless

_Value = TypeVar("_Value", Answer, Item)


@dataclass(frozen=True, slots=True)
class MergeCounts:
    """What a merge did."""

    added: int
    """Answers that were new here."""
    known: int
    """Answers that were here already."""
    refused: tuple[str, ...] = ()
    """A line for each row that this program cannot have written and that was left out."""


def merge(store: Store, other: Path) -> MergeCounts:
    """Take in every answer of another log: the union, all at once or not at all.

    A row that this program cannot have written is left out and told.  The order of
    merges does not matter, and merging twice changes nothing.  Raises StoreError when
    ``other`` is missing, newer or damaged; it is never changed.
    """
    if _is_here(store, other):
        return MergeCounts(0, store.count())
    with _copied(Path(other), rows=False) as theirs:
        theirs.text_factory = _read_text
        with _intact(other):
            answers, items, refused = _fitting(theirs)
    with faults(store.path):
        added, _ = put_all(store.link, answers, items)
    return MergeCounts(added, len(answers) - added, refused)


def backup(store: Store, target: Path) -> Path:
    """A whole copy in one file at ``target``, which must not exist yet; gives its path.

    Safe while programs write.  Raises StoreError.
    """
    if os.path.lexists(target):
        shown = harmless(str(target))
        raise StoreError(f"{shown} exists already: name a new file for the backup")
    with faults(store.path):
        try:
            copy_to(store.link, target)
        except StoreError:
            raise
        except DrillError as error:
            raise StoreError(str(error)) from error
    return target


def restore(store: Store, source: Path) -> Path:
    """Make the log what it was in a backup; gives the copy of the present log kept beside it.

    Raises StoreError when ``source`` is missing, newer or damaged; nothing is changed then.
    """
    if _is_here(store, source):
        shown = harmless(str(source))
        raise StoreError(f"{shown}: this is the answer log itself: name a backup of it")
    with _copied(Path(source)) as theirs, turn(store.path):
        kept = backup(store, free_name(store.path, "before-restore"))
        store.become(theirs)
    return kept


def fitting(store: Store) -> tuple[list[Answer], list[Item], tuple[str, ...]]:
    """The rows that this program can have written, and a line for each other one."""
    with faults(store.path):
        return _fitting(store.link)


def set_aside(store: Store) -> tuple[Path, Path] | None:
    """Take what this program cannot have written out of the log.

    Gives the copy of the whole log and the log of what was taken out, both kept beside
    it; None where there is nothing of the kind.  Raises StoreError.
    """
    answers, items, refused = fitting(store)
    if not refused:
        return None
    with faults(store.path):
        everything = list(store.link.execute(f"SELECT {ANSWERS} FROM answers"))
    good = {put(answer.uuid) for answer in answers}
    bad = [row for row in everything if row[0] not in good]
    aside = free_name(store.path, "set-aside")
    with tempfile.TemporaryDirectory(prefix="drill-") as folder, turn(store.path):
        kept = backup(store, free_name(store.path, "before-repair"))
        with closing(connect(Path(folder) / "aside.db", MIGRATIONS)[0]) as link:
            with transaction(link):
                count_new(link, PUT_ANSWER, bad)
            copy_to(link, aside)
        with closing(connect(Path(folder) / FILE_NAME, MIGRATIONS)[0]) as link:
            put_all(link, answers, items)
            store.become(link)
    return kept, aside


def _read_text(text: bytes) -> str:
    """A text of a row, also where a hurt byte makes it none: its checksum tells."""
    return text.decode(errors="surrogateescape")


def _is_here(store: Store, other: Path) -> bool:
    """Whether another name leads to this very file: it must not be opened a second time, for
    closing it would give up the library's locks."""
    try:
        return os.path.samefile(other, store.path)
    except (OSError, ValueError):
        return False


def _fitting(link: Link) -> tuple[list[Answer], list[Item], tuple[str, ...]]:
    """What this program can have written of an open log, and a line for each other row."""
    refused: list[str] = []
    items: list[Item] = []
    answers: list[Answer] = []
    for row in link.execute(f"SELECT {ITEMS} FROM items ORDER BY id"):
        try:
            items.append(_fit(read_item(row), unfit_item))
        except (ValueError, OverflowError) as error:  # BadRowError is a ValueError
            refused.append(f"the cell {harmless(str(row[0])[:80])}: {harmless(str(error))}")
    for seq, *row in link.execute(f"SELECT seq, {ANSWERS} FROM answers ORDER BY stamp, uuid"):
        try:
            answers.append(_fit(read_answer(tuple(row)), unfit))
        except (ValueError, OverflowError) as error:
            refused.append(f"answer {seq}: {harmless(str(error))}")
    return answers, items, tuple(refused)


def _fit(value: _Value, unfit_for: Callable[[_Value], str]) -> _Value:
    """The value; raises BadRowError with the reason why it cannot be one of ours."""
    if reason := unfit_for(value):
        raise BadRowError(reason)
    return value


# -- reading alone


@contextmanager
def reading(path: Path) -> Iterator[Store]:
    """The store at ``path`` to be read alone, for as long as the block lasts.

    Where it cannot be written (a read-only disk, a full one, another user's file) a copy
    is read in its place.  Raises StoreError where it cannot be read either.
    """
    try:
        store = Store.open(path)
    except UnwritableError:
        refuse_what_is_no_file(path)
        with (
            tempfile.TemporaryDirectory(prefix="drill-") as folder,
            _read_alone(path, Path(folder) / FILE_NAME) as copy,
        ):
            yield copy
        return
    with store:
        yield store


@contextmanager
def _read_alone(path: Path, copy: Path) -> Iterator[Store]:
    """A store over a copy of the log at ``path``, mended there if it is damaged."""
    try:
        _copy_as_it_lies(path, copy)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise StoreError(f"{harmless(str(path))}: cannot be read: {reason}") from error
    link, notices = open_log(copy, MIGRATIONS)
    with Store(copy, link) as store:
        if notices:
            count = store.count()
            said = (
                f"{harmless(str(path))} is damaged, and cannot be mended where it may only be "
                f"read: {counted(count, 'answer')} could be read"
            )
            store.notices = (said,)
        yield store


@contextmanager
def _copied(path: Path, *, rows: bool = True) -> Iterator[Link]:
    """A checked and migrated copy of another log; the other is only read.

    ``rows`` False leaves its rows to be checked one by one by whoever reads them.
    Raises StoreError where it is missing, newer, no file, or damaged.
    """
    _refuse_unfit(path)
    refuse_newer(path, len(MIGRATIONS))
    with tempfile.TemporaryDirectory(prefix="drill-") as folder:
        copy = Path(folder) / FILE_NAME
        try:
            _copy_as_it_lies(path, copy)
            with _intact(path):
                link = connect(copy, MIGRATIONS, rows=rows)[0]
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise StoreError(
                f"{harmless(str(path))}: cannot be copied to be looked at: {reason}"
            ) from error
        with closing(link):
            yield link


@contextmanager
def _intact(path: Path) -> Iterator[None]:
    """Tells a fault of the library within as damage of another log."""
    try:
        yield
    except (DamagedError, DatabaseError) as error:
        raise StoreError(
            f"{harmless(str(path))}: this is not an intact answer log ({one_line(error)}): nothing "
            "was taken from it"
        ) from error


def _copy_as_it_lies(path: Path, copy: Path) -> None:
    shutil.copyfile(path, copy)
    if wal_path(path).exists():
        shutil.copyfile(wal_path(path), wal_path(copy))


def _refuse_unfit(path: Path) -> None:
    """Raises StoreError for what is no ordinary file or no database, before it is copied."""
    shown = harmless(str(path))
    try:
        mode = os.stat(path).st_mode
        if not stat.S_ISREG(mode):  # a path such as "." has no name, and nothing beside it
            what = "a folder" if stat.S_ISDIR(mode) else "not an ordinary file"
            raise StoreError(f"{shown}: {what}: name a file made by this program")
        refuse_what_is_no_file(path)
        with path.open("rb") as file:
            head = file.read(len(HEADER))
    except FileNotFoundError as error:
        said = f"{shown}: no answer log there: name a file made by this program"
        raise StoreError(said) from error
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise StoreError(f"{shown}: cannot be read: {reason}") from error
    if head and head != HEADER:
        raise StoreError(
            f"{shown}: this is not an intact answer log (it is not a database): nothing was taken "
            "from it"
        )
