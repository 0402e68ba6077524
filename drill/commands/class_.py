"""``drill class``: who knows what by heart, from the results that students handed in."""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Callable, Iterator
from pathlib import Path

from drill.commands.giving import Out, give, need_one_output
from drill.commands.options import add_replace, day
from drill.errors import DataError, ExitCode, UsageError
from drill.files import file_name, make_folder, taken_error
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.reports.classpages import nameless
from drill.reports.classroom import Classroom, classroom
from drill.reports.finding import files_in
from drill.reports.gathering import When, gather, tasks
from drill.reports.results import name_key
from drill.reports.rosterfile import roster_of
from drill.reports.study import Study
from drill.shown import counted, harmless
from drill.wording.options import QUIET_ALONE
from drill.wording.remedies import Remedy

EXAMPLES = """\
examples:
  drill class                                          what was taken in
  drill class results/ --roster roster.csv --html class.html
  drill class results/ --roster roster.csv --csv grades.csv --deck week-3
  drill class results/ --group "Band 1" --as-of 2030-11-30 --since 2030-10-31
  drill class results/ --anonymous --html wall.html    initials alone
  drill class results/ --pages pages/              a page for each student
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The results, whom and when, and where the report goes."""
    add = parser.add_argument
    add(
        "results", nargs="*", metavar="RESULTS",
        help="results files, or folders or zip files of them (else what take-in has)",
    )  # fmt: skip
    add(
        "--roster", metavar="FILE", help="roster.csv with id, name, group, horn; or a list of names"
    )
    add("--deck", metavar="NAME", help="only this deck")
    add("--group", action="append", metavar="NAME", help="only this group; may be given again")
    add("--horn", action="append", metavar="ID", help="only this horn; may be given again")
    add("--folders", action="store_true", help="each folder below is a group, such as a school")
    add("--as-of", type=day, metavar="DATE", help="as it stood at the end of that day")
    add("--since", type=day, metavar="DATE", help="compare with the end of that day")
    add(
        "--anonymous", nargs="?", const="initials", choices=("initials", "ids"),
        help="initials (or ids) in place of names",
    )  # fmt: skip
    add("--html", metavar="FILE", help="write a page to read and print")
    add("--pages", metavar="FOLDER", help="write a page for each student")
    add("--csv", metavar="FILE", help="write one row a student, for a grade book")
    add("--csv-cells", metavar="FILE", help="write one row a student, key and pattern")
    add("--json", action="store_true", help="print the report as JSON")
    add("--shared", action="store_true", help="files that others on this machine may read")
    add("--quiet", action="store_true", help="write the files alone: do not print the report too")
    add_replace(parser)


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Print the report and write the files asked for; 65 where a file could not be read.

    Raises UsageError, DataError where no file could be read.
    """
    files = (args.html, args.csv, args.csv_cells)
    need_one_output(*files, as_json=args.json)
    if args.quiet and not (args.json or args.pages or any(files)):
        raise UsageError(QUIET_ALONE)
    room = room_of(args, tools)
    printed = STDOUT not in files and not args.quiet
    shown = nameless(room, args.anonymous) if args.anonymous else room
    _print(args, shown, tools, printed=printed)
    if not printed or args.json or args.anonymous:  # the report does not show it
        for remark in room.unreadable:
            tools.say(str(remark))
    return ExitCode.BAD_DATA if room.unreadable else ExitCode.OK


def room_of(args: argparse.Namespace, tools: Tools) -> Classroom:
    """The class that the options ask for.  Raises UsageError, DataError."""
    when = when_of(args, tools)
    roster = roster_of(args.roster)
    files, remarks = files_in(places_of(args.results, tools), by_folder=args.folders)
    found = gather(tasks(files, when, roster, args.deck or ""))
    room = classroom(
        found,
        when.instant,
        roster=roster,
        remarks=remarks,
        day=when.day.isoformat() if when.day else tools.today.isoformat(),
        since=args.since.isoformat() if args.since else "",
        wanted=_wanted(args),
    )
    if not room.started and not (roster and room.students):
        said = [str(each) for each in room.remarks]
        raise DataError("\n".join(said or [_nobody(args, bool(files))]))
    return room


def places_of(named: list[str], tools: Tools) -> list[Path]:
    """The files and folders named, else the folder of what was taken in.  Raises UsageError."""
    if named:
        return [Path(each) for each in named]
    folder = tools.house.places.results
    if not folder.is_dir():
        raise UsageError(tools.do(Remedy.TAKE_IN))
    return [folder]


def _nobody(args: argparse.Namespace, any_file: bool) -> str:
    if any_file and (args.deck or args.group or args.horn):
        return "nobody fits --deck, --group and --horn"
    return "no results files"


def when_of(args: argparse.Namespace, tools: Tools) -> When:
    """The instants of the report.  Raises UsageError for days that cannot be."""
    now, today = tools.now(), tools.today
    until, since = args.as_of, args.since
    if until and until > today:
        raise UsageError(f"--as-of {until}: that day is still to come")
    if since and since >= (until or today):
        raise UsageError(f"--since {since} is not before {until or 'today'}")

    def end_of(date: dt.date) -> dt.datetime:
        midnight = dt.datetime.combine(date + dt.timedelta(days=1), dt.time(), tools.house.zone)
        return min(now, midnight.astimezone(dt.UTC))

    return When(
        now, until, end_of(until) if until else None, (since, end_of(since)) if since else None
    )


def _wanted(args: argparse.Namespace) -> Callable[[Study], bool] | None:
    """Who counts; None for all.  Raises TheoryError for a horn that does not exist."""
    if not args.group and not args.horn:
        return None
    from drill.theory.instruments import find_instrument

    groups = {name_key(each) for each in args.group or ()}
    horns = {find_instrument(each).id for each in args.horn or ()}

    def wanted(student: Study) -> bool:
        return (not groups or name_key(student.group) in groups) and (
            not horns or not horns.isdisjoint(student.horns)
        )

    return wanted


# -- the reports


def _print(args: argparse.Namespace, room: Classroom, tools: Tools, *, printed: bool) -> None:
    from drill.reports.classreport import class_report
    from drill.reports.data import csv_lines

    report = class_report(room, tools.house.zone)
    out = Out(tools, args.shared, args.replace, (args.roster, *args.results))
    if args.json or printed:
        give(report, tools, as_json=args.json)
    if args.html:
        out.page(args.html, report)
    if args.csv:
        out.write(args.csv, csv_lines(report.table("students")))
    if args.csv_cells:
        out.write(args.csv_cells, csv_lines(report.table("cells")))
    if args.pages:
        student_files(Path(args.pages), room, out)


def student_files(folder: Path, room: Classroom, out: Out) -> None:
    """A page for each student, and one file with all of them to print."""
    from drill.reports.classpages import student_pages
    from drill.reports.html import page

    every = folder / "all.html"
    if not out.replace and every.exists():  # before any of them is written
        raise taken_error(every)
    make_folder(folder, private=not out.shared)
    whole = student_pages(room, out.tools.house.zone)

    def pages_of() -> Iterator[tuple[Path, str]]:
        taken = {"all"}
        for student, report in zip(room.students, whole.inner, strict=True):
            name = plain = file_name(f"{student.name} {student.id}") or "student"
            number = len(taken)
            while name in taken:
                name, number = f"{plain}-{number}", number + 1
            taken.add(name)
            yield folder / f"{name}.html", page(report)
        yield every, page(whole)

    out.keep(pages_of())
    pages, where = counted(len(whole.inner), "page"), harmless(str(folder))
    out.tools.say(f"{pages}, and all.html to print them, in {where}")
