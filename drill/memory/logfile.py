"""An answer log as a file: looked at before it is opened, mended when it is damaged.

Nothing is opened that is no ordinary file.  What stands in the write-ahead log is kept in
memory before the library reads it, for the library drops without a word whatever it cannot
follow.  Where answers are missing then, they are looked for in the pages of both files and
in the daily copies, and what is found is put back.
"""

from __future__ import annotations

import os
import shutil
import stat
import struct
from contextlib import closing, suppress
from pathlib import Path

from drill.errors import DrillError, StoreError
from drill.files import whole, write_whole
from drill.memory.copies import copies_of
from drill.memory.database import (
    BESIDE,
    DamagedError,
    DatabaseError,
    Link,
    Migrations,
    UnwritableError,
    connect,
    explained,
    free_name,
    one_line,
    put_all,
    remove,
    suspect,
    unwritable,
)
from drill.memory.lastseen import forget, note_path, noted
from drill.memory.salvage import Salvage, joined, pages_of_log, read_wal, salvage
from drill.memory.schema import APPLICATION_ID, HEADER, put
from drill.shown import counted, harmless

MOST_SEARCHED = 256 * 1024 * 1024
"""Bytes of a damaged file that are searched, page by page: a log of half a million answers.  A
file without the header of a log is refused where it is larger than ``_MOST_FOREIGN``."""
_MOST_FOREIGN = 32 * 1024 * 1024
_AN_HOUR = 3600.0


def open_log(
    path: Path, migrations: Migrations, *, again: bool = False
) -> tuple[Link, tuple[str, ...]]:
    """The log at ``path``, made, mended or migrated as needed, and what the player should read.

    ``again``: this very process has the file open already, so it is not looked at but through
    the library, which would lose its locks by it.  Raises StoreError: it cannot be written, it
    is newer, it is no file of ours.
    """
    if again:
        try:
            return connect(path, migrations)
        except DamagedError as damage:
            raise explained(path, damage) from damage
    refuse_what_is_no_file(path)
    refuse_newer(path, len(migrations))
    ahead = read_wal(path)
    begun: tuple[str, ...] = ()
    try:
        _refuse_torn(path, ahead)
        begun = _begun(path, migrations)
        link, notices = connect(path, migrations)
    except DamagedError as damage:
        notices = (_rebuilt(path, migrations, one_line(damage), ahead),)
        try:
            link, more = connect(path, migrations)
        except DamagedError as still:
            raise StoreError(
                f"{harmless(str(path))}: the rebuilt answer log cannot be read "
                f"({one_line(still)}): check the disk, or set DRILL_HOME to another folder"
            ) from still
        forget(path)
        return link, notices + more
    try:
        return _complete(path, migrations, link, begun + notices, ahead)
    except (DatabaseError, OSError) as error:
        raise explained(path, error) from error


# -- before it is opened


def refuse_what_is_no_file(path: Path) -> None:
    """Raises StoreError where a pipe, a device or a folder stands in the place of a file of the
    log: opening it might never end."""
    for each in (path, *(path.with_name(path.name + suffix) for suffix in BESIDE), note_path(path)):
        try:
            mode = os.stat(each).st_mode
        except FileNotFoundError:
            continue
        except OSError as error:
            raise unwritable(path, error.strerror or str(error)) from error
        if not stat.S_ISREG(mode):
            what = "a folder" if stat.S_ISDIR(mode) else "not an ordinary file"
            raise StoreError(
                f"{harmless(str(each))}: {what}, where the answer log should be: move it away, "
                "or set DRILL_HOME to another folder"
            )


def refuse_newer(path: Path, known: int) -> None:
    """Raises StoreError for a newer version's file, without opening it as a database."""
    try:
        with path.open("rb") as file:
            head = file.read(100)
    except FileNotFoundError:
        return
    except OSError as error:
        raise unwritable(path, error.strerror or str(error)) from error
    pages = pages_of_log(read_wal(path))
    for page in (head, *(page for number, page in pages if number == 1)):
        if page[:16] != HEADER or len(page) < 72:
            continue
        version, application = (struct.unpack_from(">I", page, at)[0] for at in (60, 68))
        if application == APPLICATION_ID and known < version < 1 << 16:
            raise StoreError(
                f"{harmless(str(path))}: this answer log was written by a newer version (layout "
                f"{version}, this program knows up to {known}): update the program; the file was "
                "not touched"
            )


def _refuse_torn(path: Path, ahead: bytes) -> None:
    """Raises DamagedError for what the library would take for an empty log and is none."""
    size = path.stat().st_size if path.exists() else 0
    if 0 < size < 512:
        raise DamagedError("it is shorter than one page")
    if size:
        return
    what = "it is empty" if path.exists() else "it is missing"
    if ahead:
        raise DamagedError(f"{what}, but its write-ahead log is not")
    if (seen := noted(path)) is not None and seen.seq:
        raise DamagedError(f"{what}, and held {counted(seen.seq, 'answer')}")
    if path.exists() and copies_of(path):
        raise DamagedError(what)


def _begun(path: Path, migrations: Migrations) -> tuple[str, ...]:
    """Makes the log where there is none, whole at one stroke; what the player should read.

    So a kill midway leaves no half-made log, and an empty one was emptied by somebody else.
    """
    if path.exists() and path.stat().st_size:
        return ()
    copies = copies_of(path)
    notices: tuple[str, ...] = ()
    if path.exists():
        notices = (f"{path.name} was an empty file: a new answer log was begun in it",)
    elif copies:
        last = harmless(str(copies[0]))
        begun = "there was no answer log, and a new one was begun"
        notices = (f"{begun}; drill restore {last} brings back the last copy",)
    _sweep(path.parent)
    try:
        with whole(path, private=True) as part, closing(connect(part, migrations)[0]) as link:
            link.execute("PRAGMA journal_mode=DELETE")
    except DrillError as error:
        reason = str(error).rpartition(": ")[2]
        raise unwritable(path, reason) from error
    return notices


def _sweep(folder: Path) -> None:
    """Takes away what a killed start left half made."""
    for each in folder.glob(".drill-*.new*"):
        with suppress(OSError):
            if each.stat().st_mtime < folder.stat().st_mtime - _AN_HOUR:
                each.unlink()


# -- when answers are missing


def _complete(
    path: Path, migrations: Migrations, link: Link, notices: tuple[str, ...], ahead: bytes
) -> tuple[Link, tuple[str, ...]]:
    """The open log with what the library dropped put back, and what the player should read.

    A note of the last acknowledged answer decides.  Without one, whatever can be read in the
    write-ahead log must be in the file, for nothing is ever taken out of a log.
    """
    seen = noted(path)
    if seen is None:
        found = salvage(None, ahead)
        if all(_holds(link, answer.uuid) for answer in found.answers):
            return link, notices
    elif _holds(link, seen.uuid, seen.seq):
        return link, notices
    else:
        # The file must not be opened beside the library: closing it would give up its locks.
        link.close()
        found = _all_found(path, ahead)
        link, _ = connect(path, migrations)
    back, _ = put_all(link, found.answers, found.items)
    (count,) = link.execute("SELECT count(*) FROM answers").fetchone()
    lost = max(0, seen.seq - count) if seen is not None else 0
    forget(path)
    if back or lost:
        aside = _set_aside(path, ahead)
        said = (
            f"{path.name} was not as it was left: {counted(back, 'answer')} {_was(back)} found "
            "and put back"
            + (f", {counted(lost, 'answer')} {_was(lost)} not found" if lost else "")
            + (f"; what was damaged is set aside as {aside.name}" if aside else "")
        )
        notices = (*notices, said)
    return link, notices


def _all_found(path: Path, ahead: bytes) -> Salvage:
    """What can be read in the file, in its write-ahead log and in the daily copies."""
    found = [salvage(path, ahead), *(salvage(each, b"") for each in copies_of(path))]
    return joined(
        (answer for each in found for answer in each.answers),
        (item for each in found for item in each.items),
    )


def _holds(link: Link, uuid: str, seq: int = 0) -> bool:
    """Whether the answer is in the log, and so many rows with it."""
    (last,) = link.execute("SELECT coalesce(max(seq), 0) FROM answers").fetchone()
    query = "SELECT 1 FROM answers WHERE uuid = ?"
    return int(last) >= seq and link.execute(query, (put(uuid),)).fetchone() is not None


def _set_aside(path: Path, ahead: bytes) -> Path | None:
    """Keep the write-ahead log as it was found; None where there was none."""
    if not ahead:
        return None
    aside = free_name(path, "damaged")
    aside = aside.with_name(aside.name + "-wal")
    with suppress(DrillError):
        write_whole(aside, ahead, private=True)
    return aside


def _rebuilt(path: Path, migrations: Migrations, reason: str, ahead: bytes) -> str:
    """Set the damaged file aside and fill a new one with what can be read; gives the notice.

    The new file is complete before it takes the old one's place, so a kill midway leaves
    the damaged file where it was, for the next start.
    """
    _refuse_vast(path)
    kept = _all_found(path, ahead)
    own = {answer.uuid for answer in salvage(path, ahead).answers} if copies_of(path) else None
    seen = noted(path)
    fresh = path.with_name(path.name + ".rebuilding")
    aside = free_name(path, "damaged")
    try:
        remove(fresh)
        link, _ = connect(fresh, migrations)
        put_all(link, kept.answers, kept.items)
        link.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        link.close()
        _move_aside(path, aside)
        fresh.replace(path)
        suspect(path).unlink(missing_ok=True)
    except (OSError, DatabaseError, StoreError) as error:
        with suppress(OSError):
            remove(fresh)
        raise UnwritableError(
            f"{harmless(str(path))}: the answer log is damaged ({reason}) and cannot be rebuilt "
            f"here ({one_line(error)}): make room, or copy it to a folder with room and set "
            "DRILL_HOME to that folder"
        ) from error
    more = 0 if own is None else sum(answer.uuid not in own for answer in kept.answers)
    lost = max(0, seen.seq - len(kept.answers)) if seen is not None else 0
    read = counted(len(kept.answers) - more, "answer")
    gone = f", {counted(lost, 'answer')} {_was(lost)} not found" if lost else ""
    return (
        f"the answer log was damaged ({reason}): {read} could be read and are "
        f"kept{f', {more} more came from the daily copies' if more else ''}"
        f"{gone}"
        f"{f'; the damaged file is set aside as {aside.name}' if aside.exists() else ''}"
    )


def _refuse_vast(path: Path) -> None:
    """Raises StoreError for a damaged file that is too large to be searched in a moment."""
    try:
        with path.open("rb") as file:
            ours, size = file.read(len(HEADER)) == HEADER, os.fstat(file.fileno()).st_size
    except OSError:
        return
    if size > (MOST_SEARCHED if ours else _MOST_FOREIGN):
        raise StoreError(
            f"{harmless(str(path))}: this is not an answer log, or one too large to be mended "
            f"({size / 1e6:,.0f} MB): move it away, then put back a copy with drill restore; the "
            "file was not touched"
        )


def _move_aside(path: Path, aside: Path) -> None:
    """Give the damaged file a second name, and what lies beside it too."""
    for suffix in ("", "-wal", "-shm"):
        old, new = path.with_name(path.name + suffix), aside.with_name(aside.name + suffix)
        if not old.exists():
            continue
        try:
            os.link(old, new)
        except OSError:  # a file system without links
            shutil.copy2(old, new)
        if suffix:
            old.unlink()


def _was(count: int) -> str:
    return "was" if count == 1 else "were"
