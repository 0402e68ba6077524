"""Lines of a file, each with the instant at which it was read."""

from __future__ import annotations

import codecs
import os
import queue
import threading
from collections.abc import Callable
from typing import TextIO

from drill.errors import UsageError
from drill.practice.time.strokes import Stroke
from drill.wording.bouts import TERMINAL_ONLY


class StampedLines:
    """Lines of a file, stamped by a thread at the read itself."""

    def __init__(self, source: TextIO, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._source = source  # kept: a file that is forgotten closes itself
        self._lines: queue.SimpleQueue[Stroke | None] = queue.SimpleQueue()
        self._ended = False
        encoding = source.encoding or "utf-8"
        self._decoder = codecs.getincrementaldecoder(encoding)("replace")
        # Not through the buffer: a thread that waits in it would hold its lock at the end.
        threading.Thread(
            target=self._read, args=(source.fileno(),), name="lines", daemon=True
        ).start()

    @property
    def ended(self) -> bool:
        return self._ended

    def line(self, until: float | None) -> Stroke | None:
        if self._ended:
            return None
        wait = None if until is None else max(0.0, until - self._clock())
        try:
            found = self._lines.get(timeout=wait)
        except queue.Empty:
            return None
        self._ended = found is None
        return found

    def _read(self, handle: int) -> None:
        rest = ""
        while True:
            try:
                data = os.read(handle, 4096)
            except OSError:
                data = b""
            at = self._clock()
            *lines, rest = (rest + self._decoder.decode(data, not data)).split("\n")
            for text in lines:
                self._lines.put(Stroke(text.rstrip("\r"), at))
            if not data:
                if rest:
                    self._lines.put(Stroke(rest, at))
                self._lines.put(None)
                return


def stamped(source: TextIO, clock: Callable[[], float], *, as_json: bool) -> StampedLines:
    """Stamped lines of standard input.  Raises UsageError where it is no terminal."""
    if not (as_json or source.isatty()):
        raise UsageError(TERMINAL_ONLY)
    return StampedLines(source, clock)
