"""What the forms of the teacher's desk have in common: values typed, turned and chosen."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from drill.decks.mine import horns
from drill.reports.results import SUFFIX
from drill.shown import harmless
from drill.tui.formed.files import Wanted, deck_list, file_list
from drill.tui.formed.saving import errand
from drill.tui.views.form import Row, RowKind
from drill.tui.views.pick import Choice, Pick
from drill.tui.ways import Program, ToPick
from drill.wording.desk import A_ROSTER, ASSIGNMENTS, NO_DAY, ONE, RESULTS_FILES, WHERE, in_folder

ROSTERS = Wanted(A_ROSTER, (".csv", ".txt"))
RESULTS = Wanted(RESULTS_FILES, (SUFFIX, ".zip"), folder=True)
FOLDERS = Wanted(WHERE, (), folder=True, new=True, files=False)
_LISTS = {
    "roster": ROSTERS, "results": RESULTS, "place": RESULTS, "folder": FOLDERS,
    "plan": Wanted(ASSIGNMENTS, (), folder=True, files=False),
}  # fmt: skip
"""What kind of file or folder a row opens a list of."""
_SHARED = ("roster", "plan")
"""What all forms of the desk know."""
Words = Mapping[str, tuple[str, str]]
"""Label and help of each row."""


class Filling:
    """A form that is filled in and then done; it writes nothing itself."""

    title = ""
    said = ""

    def __init__(self, program: Program, words: Words, deck: Path | None = None) -> None:
        """``deck`` is the one chosen; None while none is."""
        self._program, self._table = program, words
        self.texts: dict[str, str] = {}
        self.paths: dict[str, Path] = {} if deck is None else {"deck": deck}
        """What was chosen; ``studio.desk`` has what the whole desk shares."""
        self._turned: dict[str, int] = {}

    def choices(self, name: str) -> Mapping[str, str]:
        """The values of a row that is turned, with their words."""
        raise NotImplementedError(name)

    def value(self, name: str) -> str:
        """What a row is turned to."""
        values = tuple(self.choices(name))
        return values[self._turned.get(name, 0) % len(values)]

    def turn(self, name: str, by: int) -> None:
        self._turned[name] = (self._turned.get(name, 0) + by) % len(self.choices(name))

    def put(self, name: str, text: str) -> str | None:
        self.texts[name] = text
        return None

    @property
    def file(self) -> Wanted | None:
        """What kind of file its row opens a list of; None where it has no such row."""
        return None

    def press(self, name: str) -> str | None:
        wanted = self.file if name == "file" else _LISTS.get(name)
        if name == "do":
            return self.do()
        if name == "deck":
            self._program.go(deck_list(self._program, _kept(self.paths, name, self._program.back)))
        elif wanted is not None:
            shelf = self._program.studio.desk if name in _SHARED else self.paths
            done = _kept(shelf, name, self._program.back)
            self._program.go(file_list(self._program, wanted, Path.cwd(), done))
        return None

    def do(self) -> str | None:
        """Do what the form is for; what is missing, empty where nothing is."""
        raise NotImplementedError

    def write_to(self, words: Sequence[str], option: str, to: Path, wanted: Wanted) -> str:
        """Have a command write there, as its option says."""
        self._program.go(errand(self._program, self.title, words, option, to, wanted))
        return ""

    # Rows.

    def turned(self, name: str) -> Row:
        """A row that is turned."""
        label, told = self._table[name]
        return Row(name, label, self.choices(name)[self.value(name)], RowKind.TURN, told)

    def typed(self, name: str, shown: str = "") -> Row:
        """A row that is typed; ``shown`` stands there while nothing was."""
        label, told = self._table[name]
        text = self.texts.get(name, "")
        fault = day_fault(text) if name == "due" else ""
        return Row(name, label, text or shown, RowKind.TEXT, told, text, fault)

    def opened(self, name: str, shown: str) -> Row:
        """A row that opens a list."""
        label, told = self._table[name]
        return Row(name, label, shown, RowKind.OPEN, told)

    @property
    def roster(self) -> Path | None:
        """The roster in force; None for none."""
        return self._program.studio.desk.get("roster")

    def written(self, name: str, path: Path | None) -> Row:
        """The row of a file or folder that will be written."""
        label, told = self._table[name]
        told = in_folder(told, harmless(str(path.parent)) if path else "")
        return Row(name, label, harmless(path.name) if path else ONE, RowKind.OPEN, told)

    def act(self) -> Row:
        """The row that does it."""
        label, told = self._table["do"]
        return Row("do", label, kind=RowKind.ACT, help=told)


def _kept(shelf: dict[str, Path], name: str, back: Callable[[], object]) -> Callable[[Path], None]:
    """Told a path, it is kept under a name, and one goes back."""

    def done(path: Path) -> None:
        shelf[name] = path
        back()

    return done


def horn_list(program: Program, title: str, none: str, take: Callable[[str], object]) -> ToPick:
    """The horns, to choose one; ``take`` is told its id, empty for ``none``."""

    def done(ids: tuple[str, ...]) -> None:
        take(ids[0])
        program.back()

    rows = (Choice("", none), *(Choice(each.id, each.name) for each in horns()))
    return ToPick(Pick(title, rows), done)


def name_of(path: Path | None, none: str) -> str:
    """The name of a file or folder that was chosen; ``none`` where none was."""
    return harmless(path.name or str(path)) if path else none


def options(texts: Mapping[str, str], *names: str) -> list[str]:
    """The options of what was typed."""
    return [f"--{name}={text}" for name in names if (text := texts.get(name))]


def day_fault(text: str) -> str:
    """What is wrong with a day; empty for nothing, and for no day."""
    try:
        if text:
            dt.date.fromisoformat(text)
    except ValueError:
        return NO_DAY
    return ""
