"""What goes wrong, as values with one clear message each, and the exit codes.

A wrong *answer* is never an error: see ``marking``.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path


class ExitCode(IntEnum):
    """Exit codes of the program, after the common shell and BSD ``sysexits`` practice."""

    OK = 0
    FAILURE = 1
    USAGE = 2
    BAD_DATA = 65
    """A deck, results file or store that cannot be read (``EX_DATAERR``)."""
    HUNG_UP = 129
    """The terminal is gone (128 + SIGHUP)."""
    INTERRUPTED = 130
    """Ended by ctrl+c (128 + SIGINT)."""
    TERMINATED = 143
    """Ended by SIGTERM (128 + 15)."""


class DrillError(Exception):
    """A fault the user can understand; ``str()`` is one line that says what was expected."""

    exit_code: ExitCode = ExitCode.FAILURE


class UsageError(DrillError):
    """A command or option that cannot be understood."""

    exit_code = ExitCode.USAGE


class TakenError(UsageError):
    """A file is there already, and nothing said that it may be written over."""

    def __init__(self, message: str, path: Path) -> None:
        super().__init__(message)
        self.path = path
        """The file; the first of several."""


class DataError(DrillError):
    """Data that cannot be read."""

    exit_code = ExitCode.BAD_DATA


class TheoryError(UsageError):
    """A cell, key, scale or instrument that does not exist or does not fit."""


class StoreError(DrillError):
    """The answer log cannot be opened or written."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault at one place of a text file."""

    file: str
    line: int
    """From 1; 0 when the fault has no place."""
    column: int
    """From 1; 0 when the fault has no place."""
    message: str
    hint: str = ""
    of: str = ""
    """The value that it is about, by its name in the file; empty where that is not told."""

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}:{self.column}: " if self.line else f"{self.file}: "
        return where + self.told

    @property
    def told(self) -> str:
        """What is wrong and what would mend it, without the place."""
        return self.message + (f" ({self.hint})" if self.hint else "")


class FaultsError(DataError):
    """Every fault of a file at once, a line each."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults
