"""The number and name of the last answer that was acknowledged, in a small file of its own.

A write-ahead log that was cut, changed for another or taken away looks like one in which
those answers never were.  So each program notes, after an answer is safe, which one it was;
who closes the log in good order takes the note away.  A note that is there on opening, and
whose answer is not, says that something was lost.
"""

from __future__ import annotations

import os
import stat
import zlib
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

_LONGEST = 512


@dataclass(frozen=True, slots=True)
class LastSeen:
    """One acknowledged answer."""

    seq: int
    """Its number in the file: so many answers stood there, at least."""
    uuid: str


def note_path(path: Path) -> Path:
    """The note beside a log."""
    return path.with_name(path.name + ".last")


def note(path: Path, seen: LastSeen) -> None:
    """Keep a note; one that cannot be kept is let go, for it is only a help."""
    text = f"{seen.seq} {seen.uuid}"
    line = f"{zlib.crc32(text.encode(errors='surrogatepass')):08x} {text}\n"
    data = line.encode(errors="surrogatepass")
    if len(data) > _LONGEST:
        return
    with suppress(OSError):
        flags = os.O_WRONLY | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0)
        flags |= getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        handle = os.open(note_path(path), flags, 0o600)
        try:
            # One write of one size: whoever reads meanwhile finds one note or the other.
            os.write(handle, data.ljust(_LONGEST, b"\n"))
        finally:
            os.close(handle)


def noted(path: Path) -> LastSeen | None:
    """The note; None where there is none that can be read."""
    file = note_path(path)
    try:
        if not stat.S_ISREG(os.lstat(file).st_mode):
            return None
        with file.open("rb") as source:
            line = source.read(_LONGEST).rstrip(b"\n").decode(errors="surrogatepass")
        sum_, _, text = line.partition(" ")
        seq, _, uuid = text.partition(" ")
        if int(sum_, 16) == zlib.crc32(text.encode(errors="surrogatepass")):
            return LastSeen(int(seq), uuid)
    except (OSError, ValueError):
        pass
    return None


def forget(path: Path) -> None:
    """Take the note away."""
    with suppress(OSError):
        note_path(path).unlink(missing_ok=True)
