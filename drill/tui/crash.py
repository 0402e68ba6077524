"""A report of an error in the program itself: a short word on screen, the rest in a file."""

from __future__ import annotations

import platform
import sys
import traceback
from datetime import datetime
from pathlib import Path

from drill import __version__
from drill.errors import DrillError
from drill.files import make_folder, write_whole
from drill.wording.crash import versions_told

_MOST_REPORTS = 20


def report(folder: Path, error: BaseException, at: datetime) -> Path | None:
    """The file with the trace of an error; None where it cannot be written.

    It holds versions and the trace, no answers.  The oldest of many reports go.
    """
    text = "".join(
        (
            versions_told(__version__, sys.version.split()[0], platform.platform()) + "\n",
            f"{at.isoformat()}\n\n",
            *traceback.format_exception(error),
        )
    )
    file = folder / f"error-{at:%Y%m%d-%H%M%S-%f}.txt"
    try:
        make_folder(folder, private=True)
        write_whole(file, text.encode(errors="backslashreplace"), private=True)
        for old in sorted(folder.glob("error-*.txt"))[:-_MOST_REPORTS]:
            old.unlink()
    except (OSError, DrillError):
        return file if file.exists() else None
    return file
