"""The Map of a deck: look at a square, open it, practise it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from textual import work

from drill.errors import DrillError
from drill.memory.items import practice_day
from drill.practice.time.tempi import DEFAULT_BPM, locked_in
from drill.tui.actions import Place
from drill.tui.charts import CellChart, Chart, chart, opened
from drill.tui.screens.base import Sheet, bindings
from drill.tui.text import Lines
from drill.tui.views.map import Map, Measure, map_lines
from drill.tui.words import Words


class MapScreen(Sheet):
    """Keys and patterns of one deck."""

    PLACE = Place.MAP
    BINDINGS = bindings(Place.MAP)

    def __init__(self, deck: Path) -> None:
        super().__init__()
        self._deck = deck
        self._view = Map()
        self._names: Words | None = None

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self.call_after_refresh(self.count)

    @work(exclusive=True, exit_on_error=False)
    async def count(self) -> None:
        """Gather the squares; again after each practice."""

        def job() -> tuple[Chart, Words]:
            seats = self.studio.open_seats()
            syllabus = seats.syllabus(seats.deck(self._deck))
            now = self.studio.context.utc_now()
            words = Words(seats.room.marker.language, self.glyphs)
            answers = tuple(seats.room.answers())
            today = date.fromisoformat(practice_day(now, seats.room.zone))
            tempos = locked_in(syllabus, answers, today, syllabus.deck.tempo or DEFAULT_BPM)
            return chart(syllabus, seats.room.memory, now, tempos), words

        found, self._names = await self.studio.backroom.do(job)
        fresh = self._view.chart is None
        column = min(range(len(found.columns)), key=lambda i: abs(found.columns[i]))
        self._view = replace(
            self._view, chart=found, cells=(), column=column if fresh else self._view.column
        )
        self.redraw()

    @work(exclusive=True, exit_on_error=False)
    async def open_square(self) -> None:
        """Show the cells of the chosen square, with the slips in the log."""
        square = self._view.square
        if square is None:
            return

        def job() -> tuple[CellChart, ...]:
            seats = self.studio.open_seats()
            syllabus = seats.syllabus(seats.deck(self._deck))
            now, log = self.studio.context.utc_now(), seats.room.answers()
            return opened(syllabus, square.items, seats.room.memory, now, log)

        self._view = replace(self._view, cells=await self.studio.backroom.do(job))
        self.redraw()

    def failed(self, error: DrillError) -> None:
        self.say(str(error).splitlines()[0])

    def say(self, notice: str) -> None:
        self._view = replace(self._view, notice=notice)
        self.redraw()

    def lines(self, width: int, height: int) -> Lines:
        if self._names is None:
            from drill.theory.language import Language

            return map_lines(self._view, Words(Language.ENGLISH, self.glyphs), width, height)
        return map_lines(self._view, self._names, width, height)

    def words_instead(self) -> dict[str, str]:
        if self._view.cells:
            return {"measure": "", "open": ""}
        return {"measure": "next figure"}

    # Actions.

    def _go(self, row: int, column: int) -> None:
        found = self._view.chart
        if found is None:
            return
        self._view = replace(
            self._view,
            row=max(0, min(row, len(found.rows) - 1)),
            column=max(0, min(column, len(found.columns) - 1)),
            notice="",
        )
        if self._view.cells:
            self.open_square()
        self.redraw()

    def action_up(self) -> None:
        self._go(self._view.row - 1, self._view.column)

    def action_down(self) -> None:
        self._go(self._view.row + 1, self._view.column)

    def action_left(self) -> None:
        self._go(self._view.row, self._view.column - 1)

    def action_right(self) -> None:
        self._go(self._view.row, self._view.column + 1)

    def action_first(self) -> None:
        self._go(0, self._view.column)

    def action_last(self) -> None:
        self._go(len(self._view.chart.rows) if self._view.chart else 0, self._view.column)

    def action_measure(self) -> None:
        measures = list(Measure)
        after = measures[(measures.index(self._view.measure) + 1) % len(measures)]
        self._view = replace(self._view, measure=after)
        self.redraw()

    def action_open(self) -> None:
        self.open_square()

    def action_begin(self) -> None:
        square = self._view.square
        if square is None:
            return
        from drill.tui.screens.opening import OpeningScreen

        self.app.push_screen(OpeningScreen(self._deck, frozenset(square.items)))

    def action_back(self) -> None:
        if self._view.cells:
            self._view = replace(self._view, cells=())
            self.redraw()
        else:
            self.trainer.back()
