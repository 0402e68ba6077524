"""The class report as files, as a form."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from drill.tui.formed.files import Wanted
from drill.tui.formed.filling import FOLDERS, Filling, name_of
from drill.tui.views.form import Row
from drill.tui.ways import Program
from drill.wording.desk import (
    NO_ROSTER,
    REPORT,
    REPORT_KINDS,
    REPORT_NAMES,
    REPORT_ROWS,
    TAKEN_IN,
    WHERE,
)

_PAGES = "--pages"
_ENDINGS = {"--html": ".html", "--csv": ".csv"}


class GivingForm(Filling):
    """A page, a table for a grade book, or a page for each student."""

    title = REPORT

    def __init__(self, program: Program) -> None:
        super().__init__(program, REPORT_ROWS)

    def choices(self, name: str) -> Mapping[str, str]:
        return REPORT_KINDS if name == "kind" else REPORT_NAMES

    def rows(self) -> tuple[Row, ...]:
        results = self.paths.get("results")
        return (
            self.turned("kind"),
            self.turned("names"),
            self.opened("results", name_of(results, TAKEN_IN)),
            self.opened("roster", name_of(self.roster, NO_ROSTER)),
            self.written("folder" if self._several else "file", self._target),
            self.act(),
        )

    def do(self) -> str:
        results, names = self.paths.get("results"), self.value("names")
        words = ["class", *([str(results)] if results else []), "--quiet", "--no-replace"]
        words += [f"--anonymous={names}"] if names else []
        words += [f"--roster={self.roster}"] if self.roster else []
        wanted = FOLDERS if self._several else self.file
        return self.write_to(words, self.value("kind"), self._target, wanted)

    @property
    def _several(self) -> bool:
        return self.value("kind") == _PAGES

    @property
    def file(self) -> Wanted:
        return Wanted(WHERE, (_ENDINGS[self.value("kind")],), new=True)

    @property
    def _target(self) -> Path:
        """Where it goes: as chosen, else called after the day, in the folder one is in."""
        now = self._program.studio.context.utc_now().astimezone()
        name = f"class-{now:%Y-%m-%d}"
        if self._several:
            return self.paths.get("folder", Path.cwd() / name)
        ending = _ENDINGS[self.value("kind")]
        return self.paths.get("file", Path.cwd() / name).with_suffix(ending)
