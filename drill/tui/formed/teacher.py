"""The teacher's desk and the student's end of it, as forms: decks, pages, results, hand-in."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from drill.decks.load import SUFFIX as DECK
from drill.decks.load import load
from drill.errors import DrillError
from drill.reports.results import SUFFIX
from drill.tui.context import Errands
from drill.tui.formed.files import Wanted, deck_list, file_list
from drill.tui.formed.handing import HandInForm
from drill.tui.formed.own import OwnForm
from drill.tui.formed.printing import PrintForm
from drill.tui.views.form import Kind, Row
from drill.tui.ways import Program, ToErrand, ToForm, ToReport

_DESK = (
    Row("write", "Write a deck", kind=Kind.ACT, help="Horn, patterns, keys, day; kept as a file."),
    Row("change", "Change a deck", kind=Kind.OPEN, value="choose which",
        help="One of those that ship, or your own."),
    Row("print", "Print a page or a worksheet", kind=Kind.ACT,
        help="A deck as music on paper, or with cells left open to fill in."),
    Row("collect", "Take in results", kind=Kind.OPEN, value="choose a file or folder",
        help="What students have handed in is copied to your own folder."),
    Row("class", "Class results", kind=Kind.ACT,
        help="Who knows what by heart, of all that was taken in."),
    Row("look", "Results of a folder", kind=Kind.OPEN, value="choose a file or folder",
        help="The same of results files that lie elsewhere; nothing is copied."),
    Row("add", "Take in an assignment", kind=Kind.OPEN, value="choose a file",
        help="For a student: a deck that a teacher gave you, among your own decks."),
    Row("hand", "Hand in my answers", kind=Kind.ACT,
        help="For a student: your answers to one deck as a small file for the teacher."),
)  # fmt: skip


class TeacherForm:
    """Everything between a teacher and a class."""

    title = "The teacher's desk"
    said = ""

    def __init__(self, program: Program, errands: Errands) -> None:
        self._program, self._errands = program, errands

    def rows(self) -> tuple[Row, ...]:
        return _DESK

    def turn(self, name: str, by: int) -> str:
        del name, by
        return ""

    def put(self, name: str, text: str) -> str:
        del name, text
        return ""

    def press(self, name: str) -> str:
        go, errands, deck = self._program.go, self._errands, self._program.studio.chosen
        match name:
            case "write":
                go(ToForm(OwnForm(self._program)))
            case "change":
                go(deck_list(self._program, self._change))
            case "print":
                go(ToForm(PrintForm(self._program, deck)))
            case "class":
                go(ToReport("Class results", lambda: errands.class_results(())))
            case "hand":
                go(ToForm(HandInForm(self._program, deck)))
            case "add":
                self._choose(Wanted("An assignment", (DECK,)), self._add)
            case "collect":
                self._choose(Wanted("Results", (SUFFIX, ".zip"), folder=True), self._take)
            case "look":
                self._choose(Wanted("Results", (SUFFIX, ".zip"), folder=True), self._look)
        return ""

    def _choose(self, wanted: Wanted, done: Callable[[Path], str]) -> None:
        self._program.go(file_list(self._program, wanted, Path.cwd(), done))

    def _change(self, path: Path) -> str:
        try:
            deck = load(path)
        except DrillError as error:
            return str(error)
        self._program.go(ToForm(OwnForm(self._program, deck)), instead=True)
        return ""

    def _add(self, path: Path) -> str:
        words = ("deck", "add", str(path))
        self._program.go(ToErrand("Take in an assignment", words), instead=True)
        return ""

    def _take(self, path: Path) -> str:
        self._program.go(ToErrand("Take in results", ("take-in", str(path))), instead=True)
        return ""

    def _look(self, path: Path) -> str:
        errands = self._errands
        there = ToReport(f"Results of {path.name}", lambda: errands.class_results((path,)))
        self._program.go(there, instead=True)
        return ""
