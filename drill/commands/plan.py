"""``drill plan``: week by week what is out, due, in and missing."""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from drill.commands.class_ import when_of
from drill.commands.giving import Out, give, need_one_output
from drill.commands.options import day
from drill.decks.load import SUFFIX, load
from drill.decks.schema import Deck
from drill.errors import DataError, ExitCode, FaultsError, UsageError
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.reports.classroom import classroom
from drill.reports.finding import files_in
from drill.reports.gathering import deck_key, gather, tasks
from drill.reports.people import ROSTER, Person, whose
from drill.reports.report import Column, Figure, Form, Report, Table, TableStyle
from drill.reports.results import name_key
from drill.reports.rosterfile import roster_of
from drill.reports.study import Study
from drill.shown import harmless
from drill.wording import reports as words
from drill.wording.reports import FigureHead, Head, ReportKind, Title

EXAMPLES = """\
examples:
  drill plan autumn/ --roster roster.csv       assignments in a folder
  drill plan autumn/ --roster roster.csv --results inbox/ --as-of 2030-10-15
  drill plan autumn/ --html plan.html
"""

MOST_FILES = 10_000


def arguments(parser: argparse.ArgumentParser) -> None:
    """The folder, the roster, what came in, and the day."""
    add = parser.add_argument
    add("folder", metavar="FOLDER", help="a folder of assignments: decks with dates")
    add("--roster", metavar="FILE", help=f"roster.csv (else {ROSTER} in the folder)")
    add(
        "--results", action="append", metavar="RESULTS",
        help="what was handed in (else what take-in has); may be given again",
    )  # fmt: skip
    add("--as-of", type=day, metavar="DATE", help="as it stood at the end of that day")
    add("--html", metavar="FILE", help="write a page to read and print")
    add("--json", action="store_true", help="print it as JSON")


@dataclass(frozen=True, slots=True)
class Planned:
    """One assignment, in however many files."""

    id: str
    title: str
    keys: frozenset[str]
    """Keys of the tasks that answer it: see ``gathering.deck_key``."""
    given: dt.date | None
    due: dt.date | None
    people: tuple[Person, ...]
    """For whom it is."""

    def week(self) -> dt.date | None:
        """The Monday of the week in which it is due, or else given; None without any date."""
        date = self.due or self.given
        return date - dt.timedelta(days=date.weekday()) if date else None


@dataclass(frozen=True, slots=True)
class PlanRow:
    """How an assignment stands on a day."""

    planned: Planned
    handed_in: tuple[str, ...]
    """Names of those who handed in."""
    met: int
    """Of them, those who met the goal."""
    late: int
    """Of them, those who met it after it was due."""
    missing: tuple[str, ...]
    """Names of those who did not hand in, whether it is due or not."""
    state: str
    """``to come``, ``out``, ``due``, ``over``."""


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Print the plan; 65 where a deck or a results file could not be read.  Raises UsageError."""
    need_one_output(args.html, as_json=args.json)
    report, unread = plan_of(args, tools)
    if args.html != STDOUT:
        give(report, tools, as_json=args.json)
    if args.html:
        Out(tools, read=(args.roster, str(Path(args.folder) / ROSTER))).page(args.html, report)
    for said in unread:
        tools.err.write(f"{said}\n")
    return ExitCode.BAD_DATA if unread else ExitCode.OK


def plan_of(args: argparse.Namespace, tools: Tools) -> tuple[Report, tuple[str, ...]]:
    """The plan that the options ask for, and what could not be read.

    Raises UsageError, DataError where there is no deck.
    """
    args.since = None
    folder = Path(args.folder)
    if not folder.is_dir():
        raise UsageError(f"{harmless(str(folder))}: there is no such folder")
    own = folder / ROSTER
    roster = roster_of(args.roster or (str(own) if own.is_file() else None))
    when = when_of(args, tools)
    today = when.day or tools.today
    decks, bad = _decks(folder)
    planned = _planned(decks, roster)
    if not planned:
        raise DataError("\n".join(map(str, bad)) or f"no deck in {harmless(str(folder))}")
    named = [Path(each) for each in args.results or ()]
    kept = tools.house.places.results
    files, remarks = files_in(named or ([kept] if kept.is_dir() else []))
    found = list(gather(tasks(files, when, roster)))
    room = classroom(found, when.instant, remarks=remarks, day=today.isoformat())
    rows = [row_of(each, room.students, today) for each in planned]
    unread = (*map(str, bad), *(f"drill: {remark}" for remark in room.unreadable))
    return _report(rows, today, tools), unread


def _decks(folder: Path) -> tuple[list[Deck], list[FaultsError]]:
    """Every deck below the folder, and what is wrong with the others."""
    good: list[Deck] = []
    bad: list[FaultsError] = []
    paths = sorted(path for path in folder.rglob(f"*{SUFFIX}") if path.is_file())
    if len(paths) > MOST_FILES:
        raise UsageError(f"more than {MOST_FILES} decks in one folder")
    for path in paths:
        try:
            good.append(load(path))
        except FaultsError as error:
            bad.append(error)
    return good, bad


def _planned(decks: Iterable[Deck], roster: Sequence[Person]) -> list[Planned]:
    """The assignments, those of one id together, in the order of their dates."""
    by_id: dict[str, list[Deck]] = {}
    for deck in decks:
        given = deck.assignment
        by_id.setdefault((given.id if given else "") or deck.name, []).append(deck)
    made = []
    for id_, some in by_id.items():
        dates = [each.assignment.given for each in some if each.assignment]
        people = dict.fromkeys(person for deck in some for person in _people(deck, roster))
        made.append(
            Planned(
                id_,
                some[0].title,
                frozenset(map(deck_key, some)),
                min((date for date in dates if date), default=None),
                max((deck.due for deck in some if deck.due), default=None),
                tuple(people),
            )
        )
    return sorted(made, key=lambda each: (each.week() or dt.date.max, each.id))


def _people(deck: Deck, roster: Sequence[Person]) -> Iterable[Person]:
    """For whom one deck is: a student, a group, or everybody on the roster."""
    given = deck.assignment
    if given is None or not (given.student or given.name or given.who or given.group):
        return roster
    if given.student or given.name:
        same = [
            person
            for person in roster
            if (given.student and person.id == given.student)
            or (not given.student and name_key(person.name) == name_key(given.name))
        ]
        return same[:1] or [Person(given.name or given.student, given.student, given.group)]
    wanted = given.who or f"group={given.group}"
    pairs = [each.strip().partition("=") for each in wanted.split(";")]
    return [
        person
        for person in roster
        if all(name_key(person.value(column)) == name_key(value) for column, _, value in pairs)
    ]


def row_of(planned: Planned, students: Sequence[Study], today: dt.date) -> PlanRow:
    """How an assignment stands on a day, a student on however many horns counted once."""
    done = [
        (student, task)
        for student in students
        for task in student.tasks
        if task.task.key in planned.keys
    ]
    due = planned.due.isoformat() if planned.due else ""
    there = {whose(student): student.name for student, _ in done}
    missing = {whose(each): each.name for each in planned.people if whose(each) not in there}
    state = "out"
    if planned.given and planned.given > today:
        state = "to come"
    elif planned.due and planned.due < today:
        state = "over"
    elif planned.due and planned.due - today < dt.timedelta(days=7):
        state = "due"
    met = {whose(student) for student, task in done if task.met_on}
    late = {whose(student) for student, task in done if due and task.met_on > due}
    return PlanRow(
        planned, tuple(there.values()), len(met), len(late), tuple(missing.values()), state
    )


# -- the report


def _report(rows: Sequence[PlanRow], today: dt.date, tools: Tools) -> Report:
    states = [row.state for row in rows]
    overdue = sum(len(row.missing) for row in rows if row.state == "over")
    return Report(
        today.isoformat(),
        ReportKind.PLAN,
        tools.now(),
        (
            Figure("day", "", today.isoformat()),
            Figure("assignments_count", FigureHead.ASSIGNMENTS, len(rows), Form.COUNT),
            Figure("", FigureHead.OUT, states.count("out") + states.count("due"), Form.COUNT),
            Figure("", FigureHead.DUE, states.count("due"), Form.COUNT),
            Figure("overdue", FigureHead.OVERDUE, overdue, Form.COUNT),
        ),
        (
            Table(
                "weeks",
                Title.WEEKS,
                (
                    Column("week", Head.WEEK_OF, lambda e: _iso(e.planned.week()), Form.DAY),
                    Column("id", Head.ASSIGNMENT, lambda e: e.planned.id),
                    Column("title", "", lambda e: e.planned.title),
                    Column("given", Head.GIVEN, lambda e: _iso(e.planned.given), Form.DAY),
                    Column("due", Head.DUE, lambda e: _iso(e.planned.due), Form.DAY),
                    Column("state", Head.STATE, lambda e: e.state),
                    Column("for", Head.FOR, lambda e: len(e.planned.people), Form.COUNT),
                    Column("in", Head.IN, lambda e: len(e.handed_in), Form.COUNT),
                    Column("goal_met", Head.MET, lambda e: e.met, Form.COUNT),
                    Column("late", Head.LATE, lambda e: e.late, Form.COUNT),
                    Column("missing", Head.MISSING, lambda e: len(e.missing), Form.COUNT),
                    Column("missing_names", "", lambda e: e.missing),
                    Column("in_names", "", lambda e: e.handed_in),
                ),
                rows,
                how=words.PLAN,
            ),
            Table(
                "missing",
                Title.ABSENT,
                (
                    Column("", Head.ASSIGNMENT, lambda e: e.planned.id),
                    Column("", Head.STATE, lambda e: e.state),
                    Column("", Head.MISSING, lambda e: e.missing, Form.LIST),
                ),
                [row for row in rows if row.missing and row.state != "to come"],
                style=TableStyle.STACKED,
            ),
        ),
        zone=tools.house.zone,
    )


def _iso(date: dt.date | None) -> str | None:
    return date.isoformat() if date else None
