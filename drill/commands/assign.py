"""``drill assign``: an assignment for each student, group or level of a roster."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from drill.commands.giving import Out
from drill.commands.options import day, need_plain
from drill.decks.load import find, load
from drill.decks.schema import Assignment, Deck
from drill.decks.write import write
from drill.errors import ExitCode, UsageError
from drill.opening.tools import Tools
from drill.reports.people import KNOWN, Person
from drill.reports.results import name_key
from drill.reports.rosterfile import roster_of
from drill.shown import counted, harmless
from drill.wording.remedies import Remedy
from drill.wording.squares import horn_text

EXAMPLES = """\
examples:
  drill assign warm-up.toml --roster roster.csv --out-dir week-3
  drill assign warm-up.toml --roster roster.csv --by group --out-dir week-3
  drill assign easy.toml --roster roster.csv --by level --only level=1 \\
      --due 2030-10-15 --out-dir week-3
"""

STUDENT = "student"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The deck, the roster, for whom, and the folder."""
    add = parser.add_argument
    add("deck", metavar="DECK", help="the deck to hand out")
    add("--roster", metavar="FILE", required=True, help="roster.csv with id, name, group, horn")
    add(
        "--by", default=STUDENT, metavar="COLUMN",
        help="one for each student (default), group, level, or another column of the roster",
    )  # fmt: skip
    add("--only", action="append", default=[], metavar="COLUMN=VALUE", help="only those")
    add("--id", metavar="ID", help="what you call the assignment (else the deck's name)")
    add("--given", type=day, metavar="DATE", help="the day from which it is out (else today)")
    add("--due", type=day, metavar="DATE", help="the day by which it should be known")
    add("--line", metavar="TEXT", default="", help="a line to them, shown when it is taken in")
    add("--out-dir", metavar="FOLDER", required=True, help="the folder for the files")
    add("--replace", action="store_true", help="write over files that exist")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Write the assignments.  Raises UsageError, FaultsError."""
    need_plain(args, "id", "line")
    roster = roster_of(args.roster)
    people = _only(roster, args.only, tools)
    _check_column(args.by, roster)
    deck = load(find(args.deck, tools.house.deck_folders))
    given = args.given or tools.today
    if args.due and args.due < given:
        raise UsageError(f"it is due on {args.due}, before it is given out on {given}")
    deck = replace(deck, due=args.due or deck.due)
    id_ = args.id or deck.name or "assignment"
    folder = Path(args.out_dir)
    plain = Assignment(id_, given, who="; ".join(args.only), line=args.line)
    texts = (
        (f"{name} {deck.name}", write(replace(deck, assignment=mine), heading=_heading(mine)))
        for name, mine in _assignments(people, args.by, plain)
    )
    files = Out(tools, replace=args.replace).decks(folder, texts)
    _say(deck, people, len(files), folder, tools)
    return ExitCode.OK


def _only(roster: Sequence[Person], wanted: Iterable[str], tools: Tools) -> tuple[Person, ...]:
    """The people who fit every ``column=value``.  Raises UsageError where nobody does."""
    people = tuple(roster)
    for each in wanted:
        column, is_, value = each.partition("=")
        if not is_:
            raise UsageError(f"--only {each}: write column=value, such as level=1")
        _check_column(column, roster)
        people = tuple(
            person for person in people if name_key(person.value(column)) == name_key(value)
        )
    if not people:
        raise UsageError(tools.do(Remedy.ONLY))
    return people


def _check_column(column: str, roster: Sequence[Person]) -> None:
    known = (STUDENT, *KNOWN, *(name for name, _ in roster[0].more))
    if column not in known:
        raise UsageError(f"the roster has no column {column!r}: it has {', '.join(known[1:])}")


def _assignments(
    people: Sequence[Person], by: str, plain: Assignment
) -> Iterable[tuple[str, Assignment]]:
    """What each file is called, and for whom it is."""
    if by in (STUDENT, "id", "name"):
        horns: dict[str, set[str]] = {}
        for person in people:
            horns.setdefault(person.id or name_key(person.name), set()).add(person.horn)
        for person in people:
            several = len(horns[person.id or name_key(person.name)]) > 1
            words = (person.id, person.name, person.horn if several else "")
            mine = replace(
                plain,
                who="",
                student=person.id,
                name=person.name,
                group=person.group,
                horn=person.horn,
            )
            yield " ".join(filter(None, words)), mine
        return
    for value in dict.fromkeys(person.value(by) for person in people):
        some = [person for person in people if person.value(by) == value]
        common = {person.horn for person in some}
        horn = common.pop() if by == "horn" and len(common) == 1 else ""
        who = "; ".join(filter(None, (f"{by}={value}", plain.who)))
        group = value if by == "group" else ""
        yield f"{by} {value or 'none'}", replace(plain, group=group, who=who, horn=horn)


def _heading(given: Assignment) -> tuple[str, ...]:
    whose = given.name or given.group or "everyone"
    return (f"Assignment {given.id} for {whose}. Take it in with: drill deck add FILE",)


def _say(deck: Deck, people: Sequence[Person], files: int, folder: Path, tools: Tools) -> None:
    horns = [person.horn for person in people if person.horn]
    tools.say(f"{counted(files, 'file')} for {counted(len(people), 'student')} written to "
              f"{harmless(str(folder))}")  # fmt: skip
    if deck.own and horns:
        names = ", ".join(horn_text(horn) for horn in dict.fromkeys(horns))
        tools.say(f"each opens on the student's own horn ({names})")
    elif not deck.own and set(horns) - {deck.instrument}:
        tools.say(
            f"look: this deck is for {deck.horn.name} alone, and the roster has other horns; one "
            'deck for all of them has instrument = "own" and concert_keys'
        )
    if deck.own and not all(person.horn for person in people):
        tools.say(f"who has no horn on the roster {tools.do(Remedy.SET_HORN)}")
    told = f"Give them out by a shared folder, a stick or mail; {tools.do(Remedy.ADD_DECK)}"
    for line in told.splitlines():
        tools.say(line)
