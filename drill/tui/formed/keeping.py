"""The player's answers as a whole: backed up, brought back, those of another machine added."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from drill.tui.formed.files import Wanted, file_list
from drill.tui.formed.filling import Filling
from drill.tui.formed.saving import rename
from drill.tui.views.form import Row
from drill.tui.ways import Program, ToErrand, ToPick, ToQuestion
from drill.wording.desk import (
    BACKUP,
    BACKUP_ROWS,
    MERGE,
    RESTORE,
    RESTORE_ASKED,
    RESTORE_MORE,
    RESTORE_WORDS,
    WHERE,
)

LOGS = (".db", ".sqlite", ".sqlite3")
_NEW = Wanted(WHERE, LOGS, new=True)


class BackupForm(Filling):
    """All answers to one file."""

    title = BACKUP
    file = _NEW

    def __init__(self, program: Program) -> None:
        super().__init__(program, BACKUP_ROWS)

    def rows(self) -> tuple[Row, ...]:
        return self.written("file", self._path), self.act()

    def do(self) -> None:
        self._program.go(self._errand(self._path))

    @property
    def _path(self) -> Path:
        now = self._program.studio.context.utc_now().astimezone()
        return self.paths.get("file", Path.cwd() / f"answers-{now:%Y-%m-%d}{LOGS[0]}")

    def _errand(self, to: Path) -> ToErrand:
        again = rename(self._program, _NEW, to.parent, self._errand)
        # A backup is never written over: it may be all that is left.
        return ToErrand(BACKUP, ("backup", str(to)), over="", another=again)


def restore_list(program: Program) -> ToPick:
    """The backup to bring back; it is asked before anything is done."""

    def done(path: Path) -> None:
        again = ToErrand(RESTORE, ("restore", str(path), "--yes"))
        asked = ToQuestion(RESTORE_ASKED, RESTORE_MORE, partial(program.go, again), RESTORE_WORDS)
        program.go(asked, instead=True)

    return file_list(program, Wanted(RESTORE, LOGS), Path.cwd(), done)


def merge_list(program: Program) -> ToPick:
    """The log whose answers are added."""

    def done(path: Path) -> None:
        program.go(ToErrand(MERGE, ("merge", str(path))), instead=True)

    return file_list(program, Wanted(MERGE, LOGS), Path.cwd(), done)
