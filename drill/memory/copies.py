"""A copy of the log a day, kept for a week: for what no page of the log itself can give back.

They lie in a folder beside the log, ``copies/answers-2030-06-01.db``, each a whole log that
``drill restore`` and ``drill merge`` take.
"""

from __future__ import annotations

import os
import re
import stat
from contextlib import suppress
from pathlib import Path

from drill.errors import DrillError
from drill.files import make_folder
from drill.memory.database import Link, copy_to

KEPT = 7
FOLDER = "copies"
_NAME = re.compile(r"answers-(\d{4}-\d\d-\d\d)\.db")


def copies_of(path: Path) -> tuple[Path, ...]:
    """The daily copies of the log at ``path``, the newest first."""
    try:
        names = os.listdir(path.parent / FOLDER)
    except OSError:
        return ()
    found = (path.parent / FOLDER / name for name in sorted(names, reverse=True))
    return tuple(each for each in found if _NAME.fullmatch(each.name) and _ordinary(each))


def _ordinary(path: Path) -> bool:
    try:
        return stat.S_ISREG(os.lstat(path).st_mode)
    except OSError:
        return False


def keep_copy(link: Link, path: Path, day: str) -> None:
    """Copy the log, once a day; what is older than a week of such days goes.

    ``day`` is an ISO date.  A copy that cannot be made is let go: the disk may be full, and
    the practice will say so when an answer cannot be kept.
    """
    target = path.parent / FOLDER / f"answers-{day}.db"
    if target.exists() or not link.execute("SELECT 1 FROM answers LIMIT 1").fetchone():
        return
    with suppress(DrillError, OSError):
        make_folder(target.parent, private=True)
        copy_to(link, target)
        # Days after today are from a clock that was wrong: the first to go.
        known = sorted(copies_of(path), key=lambda each: (each.name <= target.name, each.name))
        for old in known[:-KEPT]:
            old.unlink()


def drop_copies(path: Path) -> None:
    """Take the copies away: their log was changed for another one on purpose."""
    for each in copies_of(path):
        with suppress(OSError):
            each.unlink()
