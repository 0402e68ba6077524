"""What every command is handed: the player's house, the streams and the clock."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TextIO

from drill.commands.opening import House, house


@dataclass(frozen=True, slots=True)
class Tools:
    """The world outside, as a command sees it."""

    house: House
    source: TextIO
    """Standard input."""
    out: TextIO
    """Data and transcripts."""
    err: TextIO
    """Messages to a person."""
    now: Callable[[], datetime]
    """The present instant in UTC."""
    environment: Mapping[str, str]

    def say(self, text: str) -> None:
        """A line to the person, apart from the data."""
        self.err.write(f"drill: {text}\n")
        self.err.flush()


def open_tools(now: Callable[[], datetime]) -> Tools:
    """The real world: this process's streams, its environment and the clock given."""
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        # A byte or a letter that the stream cannot hold is replaced, never a crash.
        if isinstance(stream, io.TextIOWrapper):
            with contextlib.suppress(ValueError, io.UnsupportedOperation):
                stream.reconfigure(errors="replace")
    return Tools(house(os.environ, now()), sys.stdin, sys.stdout, sys.stderr, now, os.environ)
