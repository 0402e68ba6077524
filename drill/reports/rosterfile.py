"""A roster that is being written: its rows one by one, and back to the same file.

What does not count stays where it stands (lines that begin with ``#``, empty ones), and so do the
words of the first line, what stands between values, and how lines end.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from drill.errors import Fault, FaultsError
from drill.files import decoded, small_file, write_whole
from drill.reports.people import (
    Person,
    all_rows,
    column_of,
    counts,
    divider_of,
    is_bare,
    read_roster,
)
from drill.shown import harmless

Cells = list[str]
"""The values of one student in the order of the columns; what is not there is empty."""
_MOST_BYTES = 8 * 1024 * 1024
_NO_NAME = ("the name is missing", "name")
_NO_ROW = ("a row that begins with # does not count", "")
_NONE = ("", "")


def roster_text(path: Path) -> str:
    """The text of a roster's file, with its byte-order mark.  Raises DataError."""
    data = small_file(path, _MOST_BYTES, "a roster")
    if data is None:
        fault = Fault(harmless(str(path)), 0, 0, "cannot be read: no such file or directory")
        raise FaultsError((fault,))
    return decoded(data, str(path), "save the roster as UTF-8")


def roster_of(name: str | None) -> tuple[Person, ...]:
    """The people of a roster file, nobody without one.  Raises DataError."""
    return () if name is None else read_roster(roster_text(Path(name)), name)


class RosterFile:
    """The rows of one roster."""

    def __init__(self, text: str = "", file: str = "roster") -> None:
        """A new one from no text.  Raises FaultsError for what is no table at all."""
        self._mark = "\ufeff" if text.startswith("\ufeff") else ""
        text = text.removeprefix(self._mark)
        lines = list(io.StringIO(text, newline=""))
        self._divider = divider_of(text)
        self._end = "\r\n" if "\r\n" in text else "\n"
        self._rows: list[Cells | str] = [
            cells if counts(cells) else "".join(lines[first - 1 : last]).rstrip("\r\n")
            for first, last, cells in all_rows(text, harmless(file))
        ]
        """All rows; one that does not count as it stands."""
        rows = [each for each in self._rows if isinstance(each, list)]
        if rows and not is_bare(rows[0]):
            self._heads = rows[0]
        else:
            self._heads = ["name"]
            self._rows.insert(self._rows.index(rows[0]) if rows else len(self._rows), self._heads)

    @property
    def columns(self) -> tuple[str, ...]:
        """What the columns are, such as ``name`` and ``horn``, in the order of the file."""
        return tuple(column_of(each) for each in self._heads)

    @property
    def students(self) -> tuple[Cells, ...]:
        """The rows of students, in order."""
        rows = (each for each in self._rows if isinstance(each, list))
        return tuple(each for each in rows if each is not self._heads)

    def value(self, student: Cells, column: str) -> str:
        """What stands in a column; empty where there is none."""
        at = self.columns.index(column) if column in self.columns else len(student)
        return student[at] if at < len(student) else ""

    def put(self, student: Cells, column: str, value: str) -> None:
        """Put a value; a column that is not there yet is added after the others."""
        if column not in self.columns:
            if not value:
                return
            self._heads.append(column)
        at = self.columns.index(column)
        student += [""] * (at + 1 - len(student))
        student[at] = " ".join(value.split())

    def add(self, **values: str) -> None:
        """A student more, at the end."""
        student: Cells = []
        self._rows.append(student)
        for column, value in values.items():
            self.put(student, column, value)

    def remove(self, student: Cells) -> None:
        """Take a student off."""
        self._rows = [each for each in self._rows if each is not student]

    def text(self) -> str:
        """What the file says."""
        width = len(self._heads)
        rows = (
            each if isinstance(each, str) else self._joined([*each, *[""] * (width - len(each))])
            for each in self._rows
        )
        return self._mark + "".join(f"{each}{self._end}" for each in rows)

    def _joined(self, cells: Sequence[str]) -> str:
        out = io.StringIO()
        csv.writer(out, delimiter=self._divider, lineterminator="").writerow(cells)
        return out.getvalue()

    def faults(self) -> tuple[tuple[tuple[str, str], ...], str]:
        """What is wrong with each student and in which column, and with the roster as a whole;
        empty for nothing, and where it is in no single column."""
        found: dict[int, tuple[str, str]] = {}
        whole = ""
        try:
            read_roster(self.text())
        except FaultsError as error:
            for each in error.faults:
                found.setdefault(each.line, (each.told, each.of))
        told_of = []
        line = 1
        for row in self._rows:
            told = found.pop(line, _NONE)
            if isinstance(row, str):
                line += row.count("\n")
            elif row is self._heads:
                whole = told[0]
            elif counts(row):
                told_of.append(told)
            else:
                told_of.append(_NO_ROW if any(row) else _NO_NAME)
            line += 1
        return tuple(told_of), whole or next(iter(found.values()), _NONE)[0]

    def keep(self, path: Path) -> None:
        """Write the file, whole or not at all; it is for its owner's eyes.  Raises DrillError."""
        write_whole(path, self.text().encode(), private=True)


def open_roster(path: Path) -> RosterFile:
    """The roster of a file, as it stands.  Raises DataError for one that cannot be read."""
    return RosterFile(roster_text(path), str(path))
