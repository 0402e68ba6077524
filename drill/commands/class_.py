"""``drill class``: who knows what, from the results that students handed in."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from pathlib import Path

from drill.errors import DataError, ExitCode, UsageError
from drill.files import write_whole
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.reports.classroom import Classroom, classroom, read_roster
from drill.reports.gathering import files_in, gather, tasks
from drill.reports.reading import is_results, read_bytes
from drill.shown import harmless

EXAMPLES = """\
examples:
  drill class results/                                 a folder of results files
  drill class results/ --roster names.txt --html class.html
  drill class monday/ friday/ --csv class.csv --json
"""

MOST_ROSTER_BYTES = 1024 * 1024


def arguments(parser: argparse.ArgumentParser) -> None:
    """The results, and where the report goes."""
    add = parser.add_argument
    add("results", nargs="+", metavar="RESULTS", help="results files, or folders of them")
    add("--roster", metavar="FILE", help="a list of names, one a line: who has not started")
    add("--html", metavar="FILE", help="write a page to read and print")
    add("--csv", metavar="FILE", help="write a table for a spreadsheet")
    add("--json", action="store_true", help="print the report as JSON")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Print the report and write the files asked for; 65 where a file could not be read.

    Raises UsageError, DataError where no file could be read.
    """
    if sum((args.html == STDOUT, args.csv == STDOUT, args.json)) > 1:
        raise UsageError("only one of the reports can go to standard output")
    now, zone = tools.now(), tools.house.zone
    roster = _roster(args.roster)
    files, remarks = files_in([Path(each) for each in args.results])
    found = gather(tasks(files, now))
    room = classroom(found, now, roster=roster, remarks=remarks)
    if not room.students:
        raise DataError("\n".join([str(each) for each in room.remarks] or ["no results files"]))
    if STDOUT in (args.html, args.csv):
        pass  # the page or table takes the report's place
    elif args.json:
        from drill.reports.tables import json_lines

        tools.out.writelines(json_lines(room))
    else:
        from drill.reports.classtext import text

        tools.out.write(text(room, zone))
    if args.html:
        from drill.reports.page import page

        _write(args.html, [page(room, zone)], tools)
    if args.csv:
        from drill.reports.tables import csv_lines

        _write(args.csv, csv_lines(room), tools)
    _say_bad(room, tools, said=not args.json and STDOUT not in (args.html, args.csv))
    return ExitCode.BAD_DATA if room.unreadable else ExitCode.OK


def _roster(name: str | None) -> tuple[str, ...]:
    if name is None:
        return ()
    try:
        return read_roster(read_bytes(Path(name), MOST_ROSTER_BYTES).decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise DataError(
            f"{harmless(name)}: this is no UTF-8 text: save the roster as UTF-8"
        ) from None
    except DataError as error:
        raise DataError(f"{harmless(name)}: {error}") from None


def _write(name: str, pieces: Iterable[str], tools: Tools) -> None:
    """Write a report; an older report may go, what a student handed in may not."""
    if name == STDOUT:
        tools.out.writelines(pieces)
        return
    path = Path(name)
    try:
        if path.exists() and is_results(read_bytes(path)[:20]):
            raise UsageError(f"{harmless(str(path))} is a results file: name another file")
    except DataError:
        pass  # larger than any results file
    write_whole(path, "".join(pieces).encode(), private=True)
    tools.say(f"{harmless(str(path))} written")


def _say_bad(room: Classroom, tools: Tools, *, said: bool) -> None:
    """Name on standard error what was left out, where the report does not show it."""
    if not said:
        for remark in room.unreadable:
            tools.say(str(remark))
