"""What the tests of commands share: the real command line, and tools with a typed source."""

from __future__ import annotations

import argparse
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import ModuleType

from drill.errors import ExitCode
from drill.opening.house import House
from drill.opening.tools import Tools
from drill.places import places

NOW = datetime(2031, 3, 14, 18, 30, tzinfo=UTC)


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command did."""

    code: ExitCode
    out: str
    err: str


def ran(
    module: ModuleType,
    words: Sequence[str],
    home: Path,
    typed: str | None = None,
    columns: int | None = None,
) -> Ran:
    """Run a command with its home in a folder; ``typed`` None is a source that is no terminal,
    ``columns`` the width of the terminal that it prints to, None a pipe."""
    parser = argparse.ArgumentParser()
    module.arguments(parser)
    source = io.StringIO() if typed is None else Terminal(typed)
    house = House(places({"DRILL_HOME": str(home)}), UTC)
    out = io.StringIO() if columns is None else Terminal()
    environment = {"COLUMNS": str(columns or 33)}  # a pipe has no width, whatever this says
    tools = Tools(house, source, out, io.StringIO(), lambda: NOW, environment)
    code = module.run(parser.parse_args(list(words)), tools)
    assert isinstance(tools.out, io.StringIO)
    assert isinstance(tools.err, io.StringIO)
    return Ran(code, tools.out.getvalue(), tools.err.getvalue())
