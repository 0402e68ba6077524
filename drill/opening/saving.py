"""Writing a file that a person asked for: whole or not at all, and never over another's work."""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
import unicodedata
from pathlib import Path
from typing import TextIO

from drill.decks.shown import harmless
from drill.errors import DrillError, UsageError

_RESERVED = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}
)
"""Names that Windows keeps for devices."""
LONGEST = 60
STDOUT = "-"
"""In the place of a file's name: standard output."""


def file_name(text: str) -> str:
    """The text as a file's name without suffix, safe on every system: ``tricky-keys``.

    Letters, digits and single hyphens; empty where nothing of the text is left.
    """
    plain = unicodedata.normalize("NFKC", text).casefold()
    word = re.sub(r"[^\w]+", "-", plain.replace("_", "-")).strip("-")[:LONGEST].strip("-")
    return f"{word}-1" if word in _RESERVED else word


def put(out: TextIO, data: bytes) -> None:
    """Write the bytes to standard output, untouched.

    Raises UsageError where that is a terminal, DrillError where it cannot be written.
    """
    stream = getattr(out, "buffer", None)
    if stream is None or out.isatty():
        raise UsageError("bytes are not written to a terminal: name a file, or pipe them on")
    try:
        out.flush()
        stream.write(data)
        stream.flush()
    except BrokenPipeError:
        raise
    except OSError as fault:
        raise DrillError(f"standard output cannot be written: {fault.strerror}") from fault


def save(path: Path, data: bytes, *, replace: bool = False) -> None:
    """Put the bytes in a file at one stroke: it is whole or was not touched.

    Without ``replace`` a file that exists is a UsageError, whoever made it meanwhile.
    Raises DrillError where it cannot be written.
    """
    temporary = ""
    shown = harmless(str(path))
    if not replace and os.path.lexists(path):
        raise _taken(shown)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        target = path.resolve() if replace else path
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=".", suffix=".new")
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        # mkstemp's files are for their owner alone.
        os.chmod(temporary, 0o666 & ~_umask())
        if replace:
            os.replace(temporary, target)
            temporary = ""
        else:
            _place_new(temporary, path, shown)
    except (OSError, RuntimeError, ValueError) as error:  # RuntimeError: links in a circle
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        said = f"{reason[:1].lower()}{reason[1:]}"
        raise DrillError(f"{shown}: cannot be written: {said}") from error
    finally:
        if temporary:
            with contextlib.suppress(OSError):
                os.unlink(temporary)


def _place_new(temporary: str, path: Path, shown: str) -> None:
    """Give the file its name; raises UsageError where that was taken meanwhile."""
    try:
        os.link(temporary, path)
    except OSError as error:
        if isinstance(error, FileExistsError) or os.path.lexists(path):
            raise _taken(shown) from None
        os.replace(temporary, path)  # a file system without links


def _taken(shown: str) -> UsageError:
    return UsageError(f"{shown} exists already: name another file, or add --replace")


def _umask() -> int:
    mask = os.umask(0o022)
    os.umask(mask)
    return mask
