"""Bytes for standard output."""

from __future__ import annotations

from typing import TextIO

from drill.errors import DrillError, UsageError
from drill.wording.machine import NO_BYTES, stdout_closed

STDOUT = "-"
"""In the place of a file's name: standard output."""


def put(out: TextIO, data: bytes) -> None:
    """Write the bytes to standard output, untouched.

    Raises UsageError where that is a terminal, DrillError where it cannot be written.
    """
    stream = getattr(out, "buffer", None)
    if stream is None or out.isatty():
        raise UsageError(NO_BYTES)
    try:
        out.flush()
        stream.write(data)
        stream.flush()
    except BrokenPipeError:
        raise
    except OSError as fault:
        raise DrillError(stdout_closed(fault)) from fault
