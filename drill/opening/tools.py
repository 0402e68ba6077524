"""What every command is handed: the player's house, the streams and the clock."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO, cast

from drill.errors import DrillError
from drill.opening.house import House, house
from drill.shown import printable
from drill.tui.glyphs import ASCII
from drill.wording.machine import clock_wrong, program_says

if TYPE_CHECKING:
    from drill.memory.store import Store
    from drill.settings.values import Settings
    from drill.wording.remedies import Remedy

WIDEST = 79
"""Columns of a line of data at most."""
FIRST_YEAR, LAST_YEAR = 1900, 9000
"""Of a clock with which a practice can be held, be it right or wrong."""


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
    on_screen: bool = False
    """Whether the screens have it done: what to do is said in their words."""

    def do(self, remedy: Remedy) -> str:
        """What can be done about it, in the words of who is there."""
        return remedy.told(on_screen=self.on_screen)

    def ascii_only(self) -> Tools:
        """The same, whose data and messages have no character beyond ASCII."""
        return replace(
            self, out=cast("TextIO", _AsciiOut(self.out)), err=cast("TextIO", _AsciiOut(self.err))
        )

    @property
    def columns(self) -> int:
        """Columns that a line of data may take: those of the terminal but one, and 79 where it
        has more, does not tell, or where there is none."""
        told = self.environment.get("COLUMNS", "")
        if not self.out.isatty():
            return WIDEST
        if told.isdecimal() and int(told):
            return min(WIDEST, int(told) - 1)
        try:
            return min(WIDEST, (os.get_terminal_size(self.out.fileno()).columns or 80) - 1)
        except (OSError, ValueError):  # no file, or none that is a terminal
            return WIDEST

    @property
    def today(self) -> date:
        """The present day where the player is."""
        return self.now().astimezone(self.house.zone).date()

    def say(self, text: str) -> None:
        """A line to the person, apart from the data."""
        self.err.write(program_says(text) + "\n")
        self.err.flush()

    def ask(self, question: str) -> str:
        """What the person answers, with the end of its line; empty where nobody does."""
        self.err.write(question)
        self.err.flush()
        return self.source.readline()

    def settings(self, *, said: bool = False, **flags: str | None) -> Settings:
        """The settings in force with those of a command line; a mistake in them is passed over,
        and ``said`` or not.  Raises UsageError for a flag that cannot be understood."""
        from drill.settings.load import load

        loaded = load(self.house.places, self.environment, flags, Path())
        for fault in loaded.faults if said else ():
            self.say(str(fault))
        return loaded.settings

    def give(self, value: object) -> None:
        """Data as JSON, on one line."""
        import json  # no first frame waits for it

        self.out.write(json.dumps(value, ensure_ascii=False, allow_nan=False) + "\n")

    @contextmanager
    def log(self, *, written: bool = False) -> Iterator[Store]:
        """The answer log, to be read or ``written``; what it says of itself is said.

        Raises StoreError.
        """
        opened: AbstractContextManager[Store] = (
            self.house.store() if written else self.house.reading()
        )
        with opened as store:
            for notice in store.notices:
                self.say(notice)
            yield store


class _Printable:
    """A text stream that nothing reaches that acts on a terminal, whoever wrote it."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        return self._stream.write(printable(text))

    def writelines(self, lines: Iterable[str]) -> None:
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


class _AsciiOut:
    """A text stream in which every other character has its ASCII sign."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        return self._stream.write(ASCII.text(text))

    def writelines(self, lines: Iterable[str]) -> None:
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


def open_tools(now: Callable[[], datetime], *, asking: bool = True) -> Tools:
    """The real world: this process's streams, its environment and the clock given.

    ``asking`` False leaves a person at the terminal alone: an empty source stands in
    its place, while what comes from a pipe or file is read as ever.
    """
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        # A byte or a letter that the stream cannot hold is replaced, never a crash.
        if isinstance(stream, io.TextIOWrapper):
            with contextlib.suppress(ValueError, io.UnsupportedOperation):
                stream.reconfigure(errors="replace")
    source: TextIO | None = sys.stdin
    if source is None or (source.isatty() and not asking):
        source = io.StringIO()
    out, err = (cast("TextIO", _Printable(each)) for each in (sys.stdout, sys.stderr))
    return Tools(house(os.environ, _sane(now())), source, out, err, now, os.environ)


def _sane(now: datetime) -> datetime:
    """The present instant; raises DrillError where dates near it cannot be reckoned with."""
    if not FIRST_YEAR <= now.year <= LAST_YEAR:
        raise DrillError(clock_wrong(now.isoformat()[:10]))
    return now
