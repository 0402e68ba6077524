"""``drill take-in``: read what students handed in, each file once, and say what is new."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from drill.commands.giving import give
from drill.errors import DataError, DrillError, ExitCode, UsageError
from drill.files import file_name, make_folder, write_whole
from drill.opening.tools import Tools
from drill.reports import reading
from drill.reports.finding import FileRemark, WhyNot, files_in
from drill.reports.reading import ResultsSource
from drill.reports.report import Column, Figure, Form, Report, Table, TableStyle
from drill.reports.results import SUFFIX, Results, name_key
from drill.reports.rosterfile import roster_of
from drill.shown import counted, harmless
from drill.wording import reports as words
from drill.wording.reports import FigureHead, Head, ReportKind, Title
from drill.wording.squares import horn_text

EXAMPLES = """\
examples:
  drill take-in ~/Downloads          every new results file in it, zipped or not
  drill take-in inbox/ --roster roster.csv
  drill class --roster roster.csv        the report on all that was taken in
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Where the files lie, and where they are kept."""
    add = parser.add_argument
    add("places", nargs="+", metavar="FOLDER|FILE", help="where the files lie; they stay there")
    add(
        "--into",
        metavar="FOLDER",
        help="where copies are kept (else the program's own folder)",
    )
    add("--roster", metavar="FILE", help="roster.csv or a list of names: says who sent nothing new")
    add("--json", action="store_true", help="print what is new as JSON")


@dataclass(frozen=True, slots=True)
class _NewFile:
    """One new file."""

    results: Results
    file: str


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Copy every results file that was not taken in before; 65 where one could not be read.

    Raises UsageError, DataError.
    """
    roster = roster_of(args.roster)
    folder = Path(args.into) if args.into else tools.house.places.results
    if args.into and not folder.is_dir():
        raise UsageError(f"{harmless(str(folder))}: there is no such folder: make it first")
    files, remarks = files_in([Path(each) for each in args.places])
    if not files:
        raise DataError("\n".join(map(str, remarks)) or "no results files")
    bad = [each for each in remarks if each.why is WhyNot.UNREADABLE]
    before = 0
    make_folder(folder, private=True)
    known = {_mark(path) for path in folder.glob(f"*{SUFFIX}")}
    new: list[_NewFile] = []
    stopped: DrillError | None = None
    for source in files:
        try:
            taken = _take(reading.load(source, tools.now()), source, folder, known)
        except DataError as error:
            bad.append(FileRemark(harmless(str(source)), WhyNot.UNREADABLE, harmless(str(error))))
            continue
        except DrillError as error:  # a full disk, perhaps: what is kept by then is told
            stopped = error
            break
        new += [taken] if taken else []
        before += taken is None
    ids = {each.results.id.casefold() for each in new if each.results.id}
    names = {name_key(each.results.student) for each in new if not each.results.id}
    absent = [
        person.name
        for person in (() if stopped else roster)
        if person.id.casefold() not in ids and name_key(person.name) not in names
    ]
    _say(new, before, absent, bad, args, tools)
    if stopped:
        raise stopped
    return ExitCode.BAD_DATA if bad else ExitCode.OK


def _mark(path: Path) -> str:
    """The digest in the name of a file that was taken in."""
    return path.name.removesuffix(SUFFIX).rpartition("-")[2]


def _take(
    results: Results, source: ResultsSource, folder: Path, known: set[str]
) -> _NewFile | None:
    """Keep the file as this program wrote it; None where it was taken in before."""
    mark = sha256("\n".join(_identity(results)).encode()).hexdigest()[:16]
    if mark in known:
        return None
    known.add(mark)
    names = (file_name(results.student), file_name(results.id), file_name(results.deck.name))
    name = "-".join(filter(None, names))[:100]
    data = reading.as_written(reading.source_bytes(source))
    write_whole(folder / f"{name}-{mark}{SUFFIX}", data, private=True)
    return _NewFile(results, harmless(str(source)))


def _identity(results: Results) -> Sequence[str]:
    """What makes two files the same: whose, of which deck and horn, which answers."""
    return (
        results.student, results.id, results.horn, results.deck.fingerprint, results.line,
        *(answer.uuid for answer in results.answers),
    )  # fmt: skip


def _say(
    new: Sequence[_NewFile],
    before: int,
    absent: Sequence[str],
    bad: Sequence[FileRemark],
    args: argparse.Namespace,
    tools: Tools,
) -> None:
    """What is new, what was there before, and what could not be read."""
    report = Report(
        counted(len(new), "new file"),
        ReportKind.TAKEN_IN,
        tools.now(),
        (
            Figure("new", "", len(new)),
            Figure("before", FigureHead.BEFORE, before, Form.COUNT),
            Figure("unreadable", FigureHead.UNREADABLE, len(bad), Form.COUNT),
            *((Figure("missing", "", tuple(absent)),) if args.roster else ()),
        ),
        (
            Table(
                "files",
                Title.NEW,
                (
                    Column("student", Head.STUDENT, lambda e: e.results.student, Form.NAME),
                    Column("id", Head.ID, lambda e: e.results.id),
                    Column("horn", "", lambda e: e.results.horn),
                    Column("", Head.HORN, lambda e: horn_text(e.results.horn)),
                    Column("deck", Head.DECK, lambda e: e.results.deck.name),
                    Column("answers", Head.ANSWERS, lambda e: len(e.results.answers), Form.COUNT),
                    Column("line", "", lambda e: e.results.line),
                    Column("file", "", lambda e: e.file),
                ),
                new,
                style=TableStyle.PLAIN,
            ),
            Table(
                "lines",
                Title.LINES,
                (
                    Column("", Head.STUDENT, lambda e: e.results.student, Form.NAME),
                    Column("", Head.LINE, lambda e: e.results.line),
                ),
                [each for each in new if each.results.line],
                style=TableStyle.STACKED,
            ),
        ),
        (words.not_among_line(absent),) if absent else (),
        tools.house.zone,
    )
    give(report, tools, as_json=args.json)
    for remark in bad:
        tools.say(str(remark))
