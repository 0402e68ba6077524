"""Writing a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

from drill.decks.shown import harmless
from drill.errors import DrillError


def write_whole(path: Path, data: bytes) -> None:
    """Write the bytes; a file that is there is replaced only when all of them are safe.

    A link is followed; a device or a pipe is written to as it stands.  Raises
    DrillError, and leaves no trace, where it cannot be written.
    """
    try:
        target = Path(os.path.realpath(path))
        mode = _mode(target)
        if mode is not None and stat.S_ISDIR(mode):
            raise DrillError(f"{harmless(str(path))} cannot be written: it is a folder")
        if mode is not None and not stat.S_ISREG(mode):
            target.write_bytes(data)
            return
        if mode is not None and not os.access(target, os.W_OK):
            raise DrillError(f"{harmless(str(path))} cannot be written: it is read-only")
        _replace(target, data, _fresh_mode() if mode is None else stat.S_IMODE(mode))
    except (OSError, ValueError) as fault:
        reason = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
        where = harmless(str(path))
        raise DrillError(f"{where} cannot be written: {reason[:1].lower()}{reason[1:]}") from None


def _mode(path: Path) -> int | None:
    """Kind and permissions of what is there; None where nothing is."""
    try:
        return os.stat(path).st_mode
    except FileNotFoundError:
        return None


def _fresh_mode() -> int:
    """The permissions that a new file gets here; a temporary one is for its owner only."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _replace(path: Path, data: bytes, mode: int) -> None:
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        with contextlib.suppress(OSError):  # some file systems know no permissions
            os.chmod(temporary, mode)
        os.replace(temporary, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise
