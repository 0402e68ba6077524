"""A roster: who is in the class, in which group, on which horn.

A roster is a CSV file whose first line names its columns: ``name`` and, where they are
wanted, ``id``, ``group`` and ``horn``; any other column (``level``, ``seat``) is kept and can
be asked for.  A list of names, one a line, is a roster too; lines that begin with ``#`` do
not count.  Every fault is named at its line.
"""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from drill.errors import DataError, Fault, FaultsError, TheoryError
from drill.reports.results import LONGEST_ID, LONGEST_NAME, clean_line, clean_name, name_key
from drill.shown import counted, harmless, quoted
from drill.theory.instruments import find_instrument

if TYPE_CHECKING:
    from drill.reports.study import Study

KNOWN = ("id", "name", "group", "horn")
"""The columns that mean something to the program."""
_MEANT = {
    "student": "name", "pupil": "name", "player": "name", "full name": "name",
    "number": "id", "no": "id", "student id": "id",
    "section": "group", "class": "group", "ensemble": "group", "school": "group",
    "instrument": "horn",
}  # fmt: skip
ROSTER = "roster.csv"
"""What it is called in a folder of assignments."""
MOST_ROWS = 50_000
MOST_COLUMNS = 50
LONGEST_CELL = 200


@dataclass(frozen=True, slots=True)
class Person:
    """One line of a roster."""

    name: str
    id: str = ""
    """As the roster gives it; empty for none."""
    group: str = ""
    horn: str = ""
    """Instrument id; empty where it is not said."""
    more: tuple[tuple[str, str], ...] = ()
    """The other columns, in order: name and value."""
    line: int = 0
    """Where it stands in the file, from 1; 0 for nowhere."""

    def value(self, column: str) -> str:
        """What stands in a column of any name; empty where there is no such column."""
        if column in KNOWN:
            return str(getattr(self, column))
        return dict(self.more).get(column, "")


def whose(each: Person | Study) -> tuple[str, str]:
    """What two mentions of one person have in common: the id, else the name."""
    return (each.id.casefold(), "") if each.id else ("", name_key(each.name))


def read_roster(text: str, file: str = "roster") -> tuple[Person, ...]:
    """The people of a roster, in order.  Raises FaultsError with every fault at its line."""
    shown = harmless(file)
    rows = _rows(text, shown)
    if not rows:
        raise FaultsError((Fault(shown, 0, 0, "nobody is on this roster"),))
    columns = [column_of(cell) for cell in rows[0][1]]
    if is_bare(rows[0][1]):
        columns = ["name"]
    else:
        head, rows = rows[0][0], rows[1:]
        _check_columns(columns, rows, shown, head)
    faults: list[Fault] = []
    people = []
    for line, cells in rows:
        person, said = _person(line, cells, columns, shown)
        faults += said
        people += [person] if person else []
    faults += _twice(people, shown)
    if faults:
        raise FaultsError(tuple(sorted(faults, key=lambda each: each.line)))
    return tuple(people) if any(person.id for person in people) else _once(people)


def divider_of(text: str) -> str:
    """What stands between two values; spreadsheets of some countries write semicolons."""
    first = next((line for line in text.splitlines() if counts([line.strip(' \t"')])), "")
    return max(",;\t", key=first.count)


def all_rows(text: str, file: str) -> Iterator[tuple[int, int, list[str]]]:
    """Every row, also those that do not count: its first and its last line, from 1, and its
    values.  Raises FaultsError."""
    lines = io.StringIO(text, newline="")
    reader = csv.reader(lines, delimiter=divider_of(text), strict=True)
    begins = 1
    try:
        for cells in reader:
            kept = [" ".join(unicodedata.normalize("NFC", cell).split()) for cell in cells]
            yield begins, reader.line_num, kept
            begins = reader.line_num + 1
    except csv.Error as error:
        fault = Fault(
            file, begins, 1, f"this is not a row of CSV: {error}", "quotes need their match"
        )
        raise FaultsError((fault,)) from None


def counts(cells: Sequence[str]) -> bool:
    """Whether a row is one: it is not empty, and no remark."""
    return any(cells) and not cells[0].startswith("#")


def _rows(text: str, file: str) -> list[tuple[int, list[str]]]:
    """The rows that count, each with its line in the file.  Raises FaultsError."""
    rows: list[tuple[int, list[str]]] = []
    for line, _, cells in all_rows(text.lstrip("\ufeff"), file):
        rows += [(line, cells)] if counts(cells) else []
        if len(rows) > MOST_ROWS:
            fault = Fault(file, line + 1, 1, f"more than {MOST_ROWS:,} people")
            raise FaultsError((fault,))
    return rows


def is_bare(first: Sequence[str]) -> bool:
    """Whether a roster whose first row this is has no line of columns: it is a list of names."""
    return len(first) == 1 and column_of(first[0]) != "name"


def column_of(cell: str) -> str:
    """What a column of the first line is: ``horn`` for *Instrument*."""
    word = cell.casefold().replace("_", " ")
    return _MEANT.get(word, word)


def _check_columns(columns: Sequence[str], rows: Sequence[object], file: str, line: int) -> None:
    faults = []
    if "name" not in columns:
        hint = "such as id,name,group,horn"
        faults.append(Fault(file, line, 1, "the first line names no column name", hint))
    faults += [
        Fault(file, line, 1, f"the column {quoted(each)} stands here twice")
        for each in sorted({each for each in columns if each and columns.count(each) > 1})
    ]
    if len(columns) > MOST_COLUMNS:
        faults.append(Fault(file, line, 1, f"more than {MOST_COLUMNS} columns"))
    if not rows:
        faults.append(Fault(file, line, 1, "nobody is on this roster"))
    if faults:
        raise FaultsError(tuple(faults))


def _person(
    line: int, cells: Sequence[str], columns: Sequence[str], file: str
) -> tuple[Person | None, list[Fault]]:
    """One row as a person, and what is wrong with it."""
    faults: list[Fault] = []

    def wrong(message: str, of: str = "") -> None:
        faults.append(Fault(file, line, 1, harmless(message), of=of))

    def clean(column: str, made: Callable[[str], str]) -> str:
        try:
            return made(values[column]) if values.get(column) else ""
        except (DataError, TheoryError) as error:
            wrong(str(error), column)
            return ""

    if [cell for cell in cells[len(columns) :] if cell]:
        wrong(f"{len(cells)} values under {counted(len(columns), 'column')}")
    values = dict.fromkeys(columns, "") | dict(zip(columns, cells, strict=False))
    for column, value in values.items():
        if len(value) > LONGEST_CELL and column not in KNOWN:  # those have bounds of their own
            wrong(f"{column or 'a value'} is longer than {LONGEST_CELL} characters", column)
    name = clean("name", clean_name)
    id_ = clean("id", lambda text: clean_line(text, LONGEST_ID, "the id"))
    group = clean("group", lambda text: clean_line(text, LONGEST_NAME, "the group"))
    if not values["name"]:
        wrong("the name is missing", "name")
    horn = clean(
        "horn", lambda text: find_instrument(clean_line(text, LONGEST_CELL, "the horn")).id
    )
    if faults:
        return None, faults
    more = tuple((key, value) for key, value in values.items() if key and key not in KNOWN)
    return Person(name, id_, group, horn, more, line), []


def _twice(people: Iterable[Person], file: str) -> list[Fault]:
    """Faults for ids that two people have, and for people of one name that nothing tells apart.

    One person may stand there on two horns: with the same id and name.
    """
    faults = []
    by_id: dict[str, Person] = {}
    by_name: dict[tuple[str, str], Person] = {}
    for person in people:
        if person.id:
            first = by_id.setdefault(person.id.casefold(), person)
            if name_key(first.name) != name_key(person.name):
                message = f"the id {quoted(person.id)} is {first.name}'s in line {first.line}"
                faults.append(
                    Fault(file, person.line, 1, harmless(message), "ids are one each", "id")
                )
            elif first is not person and first.horn == person.horn:
                message = f"{person.name} stands in line {first.line} already"
                faults.append(Fault(file, person.line, 1, harmless(message)))
        same = by_name.setdefault((name_key(person.name), person.horn), person)
        if same is not person and (person.id == "") != (same.id == ""):
            message = f"{person.name} stands in line {same.line} too: only one of them has an id"
            faults.append(
                Fault(file, person.line, 1, harmless(message), "give each an id of their own", "id")
            )
    return faults


def _once(people: Iterable[Person]) -> tuple[Person, ...]:
    """Of people without ids each name and horn once."""
    found: dict[tuple[str, str], Person] = {}
    for each in people:
        found.setdefault((name_key(each.name), each.horn), each)
    return tuple(found.values())
