"""How commands give what they made: reports, objects of JSON, and files that are written."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drill.errors import FaultsError, TakenError, UsageError
from drill.files import file_name, make_folder, write_all, write_whole
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.shown import harmless
from drill.wording import options
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
    need_files_apart(*files)


def need_files_apart(*files: str | None) -> None:
    """Raises UsageError where two of the files to write are one; None and "-" are none."""
    paths = [os.path.realpath(each) for each in files if each not in (None, STDOUT)]
    twice = next((each for each in paths if paths.count(each) > 1), None)
    if twice:
        raise UsageError(options.one_file_twice(harmless(twice)))


def need_spare(path: Path, *read: str | None) -> None:
    """Raises UsageError where what is made would take the place of what cannot be made again: a
    deck, what a student handed in, or a file that was ``read`` for it."""
    from drill.reports.reading import is_results, start_of  # the log comes with it

    what = ""
    if is_results(start_of(path)):
        what = options.RESULTS_FILE
    elif path.suffix == ".toml" and path.exists():
        what = options.DECK
    elif any(each and _is_one(path, Path(each)) for each in read):
        what = options.ITS_SOURCE
    if what:
        raise UsageError(options.made_by_hand(harmless(str(path)), what))


def _is_one(path: Path, other: Path) -> bool:
    try:
        return path.samefile(other)
    except (OSError, ValueError):  # one of them is not there
        return False


def give(report: Report, tools: Tools, *, as_json: bool) -> None:
    """Print the report, as text in the terminal's columns or as JSON."""
    if as_json:
        from drill.reports.data import json_lines

        tools.out.writelines(json_lines(report))
        return
    from drill.reports.text import text

    tools.out.write(text(report, tools.columns))


def need_deck(text: str) -> None:
    """Raises UsageError where what a command wrote does not read back as a deck: an option is too
    long, or has what no deck may have."""
    from drill.decks.load import loads

    try:
        loads(text, "deck")
    except FaultsError as error:
        raise UsageError("\n".join(each.told for each in error.faults)) from None


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
    read: tuple[str | None, ...] = ()
    """Files that were read for it, which may never go."""

    def write(self, name: str, pieces: Iterable[str]) -> None:
        """Write a report, in the place of no deck or results file.  Raises UsageError."""
        if name == STDOUT:
            self.tools.out.writelines(pieces)
            return
        path = Path(name)
        need_spare(path, *self.read)
        write_whole(path, "".join(pieces).encode(), private=not self.shared, replace=self.replace)
        self.tools.say(f"{harmless(str(path))} written")

    def page(self, name: str, report: Report) -> None:
        """Write a report as a page, as ``write`` does."""
        from drill.reports.html import page

        self.write(name, [page(report)])

    def keep(self, texts: Iterable[tuple[Path, str]]) -> None:
        """Write files, all or none, without a word.  Raises TakenError, DrillError."""
        files = ((path, text.encode()) for path, text in texts)
        write_all(files, private=not self.shared, replace=self.replace)

    def decks(self, folder: Path, texts: Iterable[tuple[str, str]]) -> list[Path]:
        """Write decks into a folder that is made, each under what it is called.  None takes its
        place before all of them are written, so that a full disk leaves none.

        Raises UsageError where two would have one name or an option is out of bounds, TakenError,
        DrillError.
        """
        from drill.decks.load import SUFFIX

        files: dict[Path, str] = {}
        for called, text in texts:
            path = folder / f"{file_name(called) or 'deck'}{SUFFIX}"
            if path in files:
                raise UsageError(two_of_one_name(path.name))
            need_deck(text)
            files[path] = text
        taken = [path for path in files if os.path.lexists(path)]
        if taken and not self.replace:
            first, more = harmless(str(taken[0])), len(taken) - 1
            raise TakenError(files_there(first, more, self.tools.do(Remedy.REPLACE)), taken[0])
        make_folder(folder)
        self.keep(files.items())
        return list(files)
