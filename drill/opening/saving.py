"""The names of files that a person asked for, and bytes for standard output."""

from __future__ import annotations

import re
import unicodedata
from typing import TextIO

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
