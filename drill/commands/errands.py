"""What the screens have done by commands: the same work, its words handed back."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from drill.errors import DrillError, ExitCode
from drill.opening.tools import Tools
from drill.tui.context import Done

if TYPE_CHECKING:
    from drill.reports.report import Report


@dataclass(frozen=True, slots=True)
class Errands:
    """One player's commands."""

    tools: Tools

    def run(self, words: Sequence[str]) -> Done:
        """Do what a command does; what it said, or what was wrong."""
        from drill.commands.table import module_of, parser_of

        out, err = io.StringIO(), io.StringIO()
        tools = replace(self.tools, source=io.StringIO(), out=out, err=err)
        module = module_of(words[0])
        try:
            with contextlib.redirect_stderr(err), contextlib.redirect_stdout(out):
                args = parser_of(words[0], module).parse_args(list(words[1:]))
                code = int(module.run(args, tools))
        except SystemExit:
            return Done(False, _told(out, err))
        except DrillError as error:
            return Done(False, _told(out, err) + str(error))
        except OSError as error:
            return Done(
                False, f"{_told(out, err)}{error.filename or ''}: {error.strerror or error}"
            )
        return Done(code == ExitCode.OK, _told(out, err))

    def class_results(self, places: Sequence[Path]) -> Report:
        """The class report of results files and folders, of what was taken in for none.

        Raises DrillError.
        """
        from drill.commands.class_ import room_of
        from drill.commands.table import module_of, parser_of
        from drill.reports.classreport import class_report

        words = [str(place) for place in places]
        args = parser_of("class", module_of("class")).parse_args(words)
        return class_report(room_of(args, self.tools), self.tools.house.zone)


def _told(out: io.StringIO, err: io.StringIO) -> str:
    """Everything said, without the program's name before each line."""
    lines = (out.getvalue() + err.getvalue()).splitlines()
    return "".join(f"{line.removeprefix('drill: ')}\n" for line in lines)
