"""How commands give what they made: reports, objects of JSON, and files that are written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drill.errors import TakenError, UsageError
from drill.files import file_name, make_folder, write_whole
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.shown import harmless

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


@dataclass(frozen=True, slots=True)
class Out:
    """How reports are written."""

    tools: Tools
    shared: bool = False
    """Whether others on this machine may read them."""
    replace: bool = True
    """Whether an older report may go."""

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
        """Write decks into a folder that is made, each under what it is called, all or none.

        Raises UsageError where two would have one name, TakenError, FaultsError.
        """
        from drill.decks.load import SUFFIX, loads

        files: dict[Path, str] = {}
        for called, text in texts:
            path = folder / f"{file_name(called) or 'deck'}{SUFFIX}"
            if path in files:
                raise UsageError(
                    f"two files would be called {path.name}: give people of one name ids in the "
                    "roster, and each group a name of its own"
                )
            loads(text, path.name)  # it reads back before anything is written
            files[path] = text
        make_folder(folder)
        taken = [path for path in files if path.exists()]
        if taken and not self.replace:
            more = f", and {len(taken) - 1} more" if taken[1:] else ""
            raise TakenError(
                f"{harmless(str(taken[0]))}{more} exists already: add --replace", taken[0]
            )
        for path, text in files.items():
            self.keep(path, text)
        return list(files)
