"""A report: its tables one after the other, sorted by a column, a row opened."""

from __future__ import annotations

from functools import partial

from textual import work

from drill.tui.actions import Place
from drill.tui.sheet import Acts, RowSheet
from drill.tui.text import Lines
from drill.tui.views.report import Shown, columns_of, report_lines
from drill.tui.ways import Program, ToReport


class ReportScreen(RowSheet):
    """One report."""

    PLACE = Place.REPORT

    def __init__(self, program: Program, wanted: ToReport) -> None:
        super().__init__(program)
        self._wanted = wanted
        self._view: Shown = Shown(wanted.title)

    def on_mount(self) -> None:
        self.call_after_refresh(self.read_it)

    @work(exclusive=True, exit_on_error=False)
    async def read_it(self) -> None:
        """Make it off the loop."""
        self.show(report=await self.studio.backroom.do(self._wanted.load))

    def lines(self, width: int, height: int) -> Lines:
        return report_lines(self._view, self.glyphs, width, height)

    def words_instead(self) -> dict[str, str]:
        return {"open.report": "", "sort": "", "table": ""} if self._view.opened else {}

    def acts(self) -> Acts:
        return {
            **super().acts(),
            "open": partial(self._open, True),
            "table": partial(self._turn, 1),
            "table_before": partial(self._turn, -1),
            "sort": self._sort,
            "back": self._back,
        }

    def row_count(self) -> int:
        return len(self._view.items)

    def _open(self, opened: bool) -> None:
        self.show(opened=opened and self._view.item is not None)

    def _turn(self, by: int) -> None:
        count = len(self._view.tables)
        if count and not self._view.opened:
            at = (self._view.table + by) % count
            self.show(table=at, chosen=0, sort=None)

    def _sort(self) -> None:
        table, sort = self._view.here, self._view.sort
        if table is not None and not self._view.opened:
            following = 0 if sort is None else sort + 1
            last = following >= len(columns_of(table))
            self.show(sort=None if last else following, chosen=0)

    def _back(self) -> None:
        if self._view.opened:
            self._open(False)
        else:
            self.program.back()
