"""How commands give what they made: reports, objects of JSON, and files that are written."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drill.errors import TakenError, UsageError
from drill.files import file_name, make_folder, write_all, write_whole
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.shown import harmless
from drill.wording.handing import files_there, two_of_one_name
from drill.wording.remedies import Remedy

if TYPE_CHECKING:
    from drill.reports.report import Report


def picked(value: object, *names: str, **called: str) -> dict[str, Any]:
    """Attributes of a value as an object of JSON; ``called`` gives another name to one."""
    paths = {**dict(zip(names, names, strict=True)), **called}
    return {name: attrgetter(path)(value) for name, path in paths.items()}


def need_one_output(*files: str | None, as_json: bool) -> None:
    """Raises UsageError where several of the files, or one and JSON, are standard output."""
    if files.count(STDOUT) + as_json > 1:
        raise UsageError("only one of the reports can go to standard output")


def give(report: Report, tools: Tools, *, as_json: bool) -> None:
    """Print the report, as text in the terminal's columns or as JSON."""
    if as_json:
        from drill.reports.data import json_lines

        tools.out.writelines(json_lines(report))
        return
    from drill.reports.text import text

    tools.out.write(text(report, tools.columns))


@contextmanager
def or_replaced(tools: Tools) -> Iterator[None]:
    """Says of a file that is there already how it is written over."""
    try:
        yield
    except TakenError as error:
        raise TakenError(f"{error}, or {tools.do(Remedy.REPLACE)}", error.path) from None


@dataclass(frozen=True, slots=True)
class Out:
    """How files for others are written: reports, pages and decks."""

    tools: Tools
    shared: bool = False
    """Whether others on this machine may read those that were not there before."""
    replace: bool = True
    """Whether an older file may go."""

    def write(self, name: str, pieces: Iterable[str]) -> None:
        """Write a report; what a student handed in may never go.  Raises TakenError."""
        if name == STDOUT:
            self.tools.out.writelines(pieces)
            return
        from drill.reports.reading import is_results, start_of  # the log comes with it

        path = Path(name)
        if is_results(start_of(path)):
            raise UsageError(f"{harmless(str(path))} is a results file: name another file")
        self.keep(path, "".join(pieces))
        self.tools.say(f"{harmless(str(path))} written")

    def page(self, name: str, report: Report) -> None:
        """Write a report as a page, as ``write`` does."""
        from drill.reports.html import page

        self.write(name, [page(report)])

    def keep(self, path: Path, text: str) -> None:
        """Write a file without a word.  Raises TakenError."""
        write_whole(path, text.encode(), private=not self.shared, replace=self.replace)

    def decks(self, folder: Path, texts: Iterable[tuple[str, str]]) -> list[Path]:
        """Write decks into a folder that is made, each under what it is called.  None takes its
        place before all of them are written, so that a full disk leaves none.

        Raises UsageError where two would have one name, TakenError, FaultsError, DrillError.
        """
        from drill.decks.load import SUFFIX, loads

        files: dict[Path, bytes] = {}
        for called, text in texts:
            path = folder / f"{file_name(called) or 'deck'}{SUFFIX}"
            if path in files:
                raise UsageError(two_of_one_name(path.name))
            loads(text, path.name)  # it reads back before anything is written
            files[path] = text.encode()
        taken = [path for path in files if os.path.lexists(path)]
        if taken and not self.replace:
            first, more = harmless(str(taken[0])), len(taken) - 1
            raise TakenError(files_there(first, more, self.tools.do(Remedy.REPLACE)), taken[0])
        make_folder(folder)
        write_all(files, replace=self.replace, private=not self.shared)
        return list(files)
