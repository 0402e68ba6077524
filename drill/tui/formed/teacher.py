"""The teacher's desk and the student's end of it, as forms: decks, pages, results, hand-in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from drill.decks.load import SUFFIX as DECK
from drill.decks.load import load
from drill.errors import DrillError, FaultsError
from drill.reports.rosterfile import roster_of
from drill.shown import harmless
from drill.tui.formed.assigning import AssignForm
from drill.tui.formed.files import Wanted, deck_list, file_list
from drill.tui.formed.filling import RESULTS, ROSTERS, Filling
from drill.tui.formed.giving import GivingForm
from drill.tui.formed.handing import HandInForm
from drill.tui.formed.keeping import BackupForm, merge_list, restore_list
from drill.tui.formed.own import OwnForm
from drill.tui.formed.planning import PlanForm
from drill.tui.formed.printing import PrintForm
from drill.tui.formed.roster import RosterForm
from drill.tui.formed.saving import rename
from drill.tui.formed.tricky import TrickyForm
from drill.tui.forms import Formed
from drill.tui.views.form import Row, RowKind
from drill.tui.ways import Program, ToErrand, ToForm, ToPick, ToReport
from drill.wording.desk import AN_ASSIGNMENT, CHOOSE, DESK, ROWS, on_roster, results_of

_ASSIGNMENTS = Wanted(AN_ASSIGNMENT, (DECK,))
_OPENS = frozenset(CHOOSE)
_ROSTERS = frozenset({"roster", "people"})
"""What has the class's roster in it."""
_DESK = tuple(
    Row(
        name,
        label,
        kind=RowKind.OPEN if name in _OPENS else RowKind.ACT,
        value=CHOOSE.get(name, ""),
        help=told,
    )
    for name, (label, told) in ROWS.items()
)


class TeacherForm(Filling):
    """Everything between a teacher and a class."""

    title = DESK

    def __init__(self, program: Program) -> None:
        super().__init__(program, ROWS)
        errands = program.studio.context.errands
        assert errands is not None  # whoever asks has looked
        self._errands = errands

    def rows(self) -> tuple[Row, ...]:
        roster = self.roster
        if roster is None:
            return _DESK
        name = harmless(roster.name)
        return tuple(replace(each, value=name) if each.name in _ROSTERS else each for each in _DESK)

    def press(self, name: str) -> str | None:
        program, errands, deck = self._program, self._errands, self._program.studio.chosen
        forms: dict[str, Callable[[], Formed]] = {
            "enrol": lambda: RosterForm(program),
            "write": lambda: OwnForm(program, for_others=True),
            "print": lambda: PrintForm(program, deck),
            "hand": lambda: HandInForm(program, deck),
            "assign": lambda: AssignForm(program, deck),
            "tricky": lambda: TrickyForm(program, errands),
            "report": lambda: GivingForm(program),
            "plan": lambda: PlanForm(program, errands),
            "backup": lambda: BackupForm(program),
        }
        lists: dict[str, Callable[[], ToPick]] = {
            "roster": lambda: file_list(program, ROSTERS, Path.cwd(), self._know),
            "people": lambda: file_list(program, ROSTERS, Path.cwd(), self._people),
            "change": lambda: deck_list(program, self._change),
            "add": lambda: file_list(program, _ASSIGNMENTS, Path.cwd(), self._add),
            "collect": lambda: file_list(program, RESULTS, Path.cwd(), self._take),
            "look": lambda: file_list(program, RESULTS, Path.cwd(), self._look),
            "restore": lambda: restore_list(program),
            "merge": lambda: merge_list(program),
        }
        if name == "class":
            roster = self.roster
            program.go(ToReport(ROWS[name][0], lambda: errands.class_results((), roster)))
        elif name == "people" and self.roster is not None:
            return self._people(self.roster, instead=False)
        elif name in forms:
            program.go(ToForm(forms[name]()))
        else:
            program.go(lists[name]())
        return None

    def _know(self, path: Path) -> str:
        """Keep the roster for all rows; one with faults is opened, for there they are mended."""
        try:
            people = roster_of(str(path))
        except FaultsError:
            return self._people(path)
        except DrillError as error:
            return str(error).splitlines()[0]
        self._program.studio.desk["roster"] = path
        self.said = on_roster(len(people), harmless(path.name))
        self._program.back()
        return ""

    def _people(self, path: Path, *, instead: bool = True) -> str:
        """Open a roster to change it."""
        try:
            form = RosterForm(self._program, path)
        except DrillError as error:
            return str(error).splitlines()[0]
        self._program.go(ToForm(form), instead=instead)
        return ""

    def _change(self, path: Path) -> None:
        self._program.go(ToForm(OwnForm(self._program, load(path))), instead=True)

    def _add(self, path: Path) -> None:
        words = ("deck", "add", str(path))
        folder = self._program.studio.context.folders[0]

        def called(other: Path) -> ToErrand:
            return ToErrand(ROWS["add"][0], (*words, f"--as={other.stem}"), another=again)

        name = Wanted(ROWS["add"][0], (DECK,), new=True, here=True)
        again = rename(self._program, name, folder, called)
        self._program.go(ToErrand(ROWS["add"][0], words, another=again), instead=True)

    def _take(self, path: Path) -> None:
        self._program.go(ToErrand(ROWS["collect"][0], ("take-in", str(path))), instead=True)

    def _look(self, path: Path) -> None:
        errands, roster = self._errands, self.roster
        there = ToReport(results_of(path.name), lambda: errands.class_results((path,), roster))
        self._program.go(there, instead=True)
