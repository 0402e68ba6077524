"""The plan of a folder of assignments, as a form."""

from __future__ import annotations

import os
from pathlib import Path

from drill.reports.people import ROSTER
from drill.tui.formed.filling import Filling, name_of
from drill.tui.outside import Errands
from drill.tui.views.form import Row
from drill.tui.ways import Program, ToReport
from drill.wording.desk import (
    NO_FOLDER,
    NO_ROSTER,
    ONE,
    PLAN,
    PLAN_ROWS,
    ROSTER_THERE,
    TAKEN_IN,
)


class PlanForm(Filling):
    """What is out, due, in and missing."""

    title = PLAN

    def __init__(self, program: Program, errands: Errands) -> None:
        super().__init__(program, PLAN_ROWS)
        self._errands = errands

    def rows(self) -> tuple[Row, ...]:
        folder, results = self._folder, self.paths.get("results")
        return (
            self.opened("plan", name_of(folder, ONE)),
            self.opened("roster", name_of(self.roster, self._no_roster)),
            self.opened("results", name_of(results, TAKEN_IN)),
            self.act(),
        )

    def do(self) -> str | None:
        folder, results = self._folder, self.paths.get("results")
        if folder is None:
            return NO_FOLDER
        errands, roster = self._errands, self.roster
        handed = (results,) if results else ()
        self._program.go(ToReport(PLAN, lambda: errands.plan(folder, roster, handed)))
        return None

    @property
    def _no_roster(self) -> str:
        """What serves where none is chosen."""
        there = self._folder is not None and os.path.isfile(self._folder / ROSTER)
        return ROSTER_THERE if there else NO_ROSTER

    @property
    def _folder(self) -> Path | None:
        return self._program.studio.desk.get("plan")
