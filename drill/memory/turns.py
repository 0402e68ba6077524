"""One program at a time while an answer log is opened: made, checked, migrated, rebuilt.

Two programs that begin at the same instant must not both make the file, and neither may
take the other's half-made file for a damaged one.  The lock is the system's and ends with
the process that holds it, however it ends.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from drill.clock import sleep
from drill.errors import StoreError

_WAIT_S = 0.02
PATIENCE_S = 30.0
"""How long another program may take to open its log before we say so."""


@contextmanager
def turn(path: Path, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """Holds the turn to open the log at ``path``, whose folder exists.

    Where the file system has no locks it goes on without.  Raises StoreError when
    another program keeps the turn for longer than ``patience_s`` seconds.
    """
    held = _handle(path)
    try:
        if held is not None:
            _wait(held, path, patience_s)
        yield
    finally:
        if held is not None:
            os.close(held)  # gives the lock back


def _handle(path: Path) -> int | None:
    """Something in the log's folder that can be locked; None where nothing can."""
    with suppress(OSError):
        if sys.platform == "win32":
            return os.open(path.with_name(path.name + ".lock"), os.O_RDWR | os.O_CREAT, 0o600)
        return os.open(path.parent, os.O_RDONLY)  # the folder itself: no file is left behind
    return None


def _wait(held: int, path: Path, patience_s: float) -> None:
    for _ in range(max(1, round(patience_s / _WAIT_S))):
        try:
            _take(held)
        except (BlockingIOError, PermissionError):
            sleep(_WAIT_S)
        except OSError:
            return  # a file system without locks
        else:
            return
    raise StoreError(
        f"{path}: another program has been opening the answer log for more than "
        f"{patience_s:.0f} seconds: end it and try again"
    )


def _take(held: int) -> None:
    """Takes the lock or raises at once."""
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(held, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
