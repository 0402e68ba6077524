"""A roster that is written or changed, as a form; each student a form of their own."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path

from drill.errors import TheoryError
from drill.reports.people import KNOWN
from drill.reports.rosterfile import Cells, RosterFile, open_roster
from drill.shown import harmless
from drill.theory.instruments import INSTRUMENTS, find_instrument
from drill.tui.formed.files import Wanted
from drill.tui.formed.filling import Filling, horn_list
from drill.tui.formed.saving import keep
from drill.tui.views.form import Row, RowKind
from drill.tui.ways import Program, ToForm
from drill.wording.desk import (
    COLUMN_THERE,
    NO_HORN,
    NO_NAME_YET,
    ROSTER_ROWS,
    WHERE,
    column_told,
    on_roster,
    roster_title,
    taken_off,
)

CSV = ".csv"
_STUDENT, _COLUMN = "student:", "column:"


class RosterForm(Filling):
    """Who is in the class."""

    file = Wanted(WHERE, (CSV,), new=True)

    def __init__(self, program: Program, path: Path | None = None) -> None:
        """``path`` is the file that is changed; None begins a new one.  Raises DrillError."""
        super().__init__(program, ROSTER_ROWS)
        self._roster = RosterFile() if path is None else open_roster(path)
        self._mine, self._as_kept = path, self._roster.text()
        self._more: list[str] = []
        """Columns that were asked for here; the file has them once a student has a value."""
        self.title = roster_title(harmless(path.name) if path else "")

    @property
    def unkept(self) -> bool:
        """True where something was changed since it was begun, opened or kept."""
        return self._roster.text() != self._as_kept

    @property
    def columns(self) -> tuple[str, ...]:
        """What each student has, those that mean something first."""
        return tuple(
            dict.fromkeys(("name", *KNOWN, *filter(None, self._roster.columns), *self._more))
        )

    def rows(self) -> tuple[Row, ...]:
        found, whole = self._roster.faults()
        students = tuple(
            self._row(number, each, told)
            for number, (each, (told, _)) in enumerate(
                zip(self._roster.students, found, strict=True)
            )
        )
        done = replace(self.act(), fault=whole if students else "")
        written = self.written("file", self._path)
        return (self.typed("add"), *students, self.typed("column"), written, done)

    def _row(self, number: int, student: Cells, fault: str) -> Row:
        value = partial(self._roster.value, student)
        told = [_horn(self._program, value("horn"))] if value("horn") else []
        told += [value(each) for each in self.columns if each not in ("name", "horn")]
        name = harmless(value("name")) or NO_NAME_YET
        return Row(
            f"{_STUDENT}{number}",
            name,
            harmless(", ".join(filter(None, told))),
            RowKind.OPEN,
            fault=fault,
        )

    def put(self, name: str, text: str) -> str | None:
        if name == "column":
            return self._column(text.casefold())
        student, _, horn = text.partition(",")
        if student.strip():
            self._roster.add(name=student, horn=_known(horn) or horn)
        return None

    def _column(self, column: str) -> str | None:
        if not column:
            return None
        if column in self.columns:
            return COLUMN_THERE
        self._more.append(column)
        return column_told(harmless(column))

    def press(self, name: str) -> str | None:
        if name.startswith(_STUDENT):
            student = self._roster.students[int(name.removeprefix(_STUDENT))]
            self._program.go(ToForm(StudentForm(self._program, self, self._roster, student)))
            return None
        return super().press(name)

    @property
    def _path(self) -> Path:
        return self.paths.get("file", self._mine or Path.cwd() / f"roster{CSV}")

    def do(self) -> str | None:
        found, whole = self._roster.faults()
        if fault := whole or next((told for told, _ in found if told), ""):
            return fault
        return keep(self, self._program, self._path, self._mine, self._written)

    def _written(self, path: Path) -> str:
        self._roster.keep(path)
        self._mine = self.paths["file"] = self._program.studio.desk["roster"] = path
        self._as_kept = self._roster.text()
        self.title = roster_title(harmless(path.name))
        return on_roster(len(self._roster.students), harmless(path.name))


class StudentForm(Filling):
    """One student of a roster."""

    def __init__(
        self, program: Program, over: RosterForm, roster: RosterFile, student: Cells
    ) -> None:
        """``over`` is the roster's form, which hears what was done."""
        super().__init__(program, ROSTER_ROWS)
        self._over, self._roster, self._student = over, roster, student
        self.title = harmless(self._value("name")) or NO_NAME_YET

    def rows(self) -> tuple[Row, ...]:
        of_all = zip(self._roster.students, self._roster.faults()[0], strict=True)
        fault, column = next(each for student, each in of_all if student is self._student)
        rows = [self._row(each) for each in self._over.columns]
        at = next((i for i, row in enumerate(rows) if row.name == f"{_COLUMN}{column}"), 0)
        rows[at] = replace(rows[at], fault=fault)
        label, told = ROSTER_ROWS["out"]
        return (*rows, Row("out", label, kind=RowKind.ACT, help=told))

    def _row(self, column: str) -> Row:
        label, told = ROSTER_ROWS[column] if column in KNOWN else (harmless(column), "")
        value = self._value(column)
        if column == "horn":
            return Row(f"{_COLUMN}{column}", label, _horn(self._program, value), RowKind.OPEN, told)
        return Row(f"{_COLUMN}{column}", label, harmless(value), RowKind.TEXT, told, value)

    def _value(self, column: str) -> str:
        return self._roster.value(self._student, column)

    def put(self, name: str, text: str) -> None:
        self._roster.put(self._student, name.removeprefix(_COLUMN), text)

    def press(self, name: str) -> None:
        if name == "out":
            self._roster.remove(self._student)
            self._over.said = taken_off(self.title)
            self._program.back()
        else:
            self._program.go(
                horn_list(self._program, ROSTER_ROWS["horn"][0], NO_HORN, partial(self.put, "horn"))
            )


def _known(horn: str) -> str:
    """The id of a horn; empty for one that nobody knows."""
    try:
        return find_instrument(horn).id if horn.strip() else ""
    except TheoryError:
        return ""


def _horn(program: Program, value: str) -> str:
    """A horn by its name; one that nobody knows as it stands."""
    if known := _known(value):
        return program.studio.words.horn(INSTRUMENTS[known])
    return harmless(value) or NO_HORN
