"""The plan of a folder of assignments, as a form."""

from __future__ import annotations

from pathlib import Path

from drill.reports.people import ROSTER
from drill.shown import harmless
from drill.tui.formed.files import Wanted
from drill.tui.formed.filling import RESULTS, ROSTERS, Filling
from drill.tui.outside import Errands
from drill.tui.views.form import Row
from drill.tui.ways import Program, ToReport
from drill.wording.desk import (
    ASSIGNMENTS,
    NO_FOLDER,
    NO_ROSTER,
    ONE,
    PLAN,
    PLAN_ROWS,
    ROSTER_THERE,
    TAKEN_IN,
)

_PLANS = Wanted(ASSIGNMENTS, (), folder=True, files=False)


class PlanForm(Filling):
    """What is out, due, in and missing."""

    title = PLAN

    def __init__(self, program: Program, errands: Errands) -> None:
        super().__init__(program, PLAN_ROWS)
        self._errands = errands

    def rows(self) -> tuple[Row, ...]:
        folder, results = self._folder, self.paths.get("results")
        return (
            self.opened("folder", harmless(folder.name or str(folder)) if folder else ONE),
            self.roster_row(self._no_roster),
            self.opened("results", harmless(results.name) if results else TAKEN_IN),
            self.act(),
        )

    def press(self, name: str) -> str:
        match name:
            case "folder":
                self.choose("plan", _PLANS, shared=True)
            case "roster":
                self.choose("roster", ROSTERS, shared=True)
            case "results":
                self.choose("results", RESULTS)
            case "do":
                return self._do()
        return ""

    def _do(self) -> str:
        folder, results = self._folder, self.paths.get("results")
        if folder is None:
            return NO_FOLDER
        errands, roster = self._errands, self.roster
        handed = (results,) if results else ()
        self._program.go(ToReport(PLAN, lambda: errands.plan(folder, roster, handed)))
        return ""

    @property
    def _no_roster(self) -> str:
        """What serves where none is chosen."""
        there = self._folder is not None and (self._folder / ROSTER).is_file()
        return ROSTER_THERE if there else NO_ROSTER

    @property
    def _folder(self) -> Path | None:
        return self._program.studio.desk.get("plan")
