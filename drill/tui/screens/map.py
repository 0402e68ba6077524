"""The Map of a deck: look at a square, open it, practise it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from textual import work

from drill.decks.schema import Deck
from drill.memory.items import last_played
from drill.practice.time.tempi import ON_HORN, TYPED, locked_in
from drill.practice.walk import WantedRun
from drill.tui.actions import Place
from drill.tui.charts import CellChart, Chart, chart, opened
from drill.tui.practices import ToPractice
from drill.tui.sheet import Acts, RowSheet, moved
from drill.tui.text import Lines
from drill.tui.views.map import Map, Measure, map_lines
from drill.tui.ways import Program, ToTrips
from drill.wording.screens import NEXT_FIGURE


class MapScreen(RowSheet):
    """Keys and patterns of one deck."""

    PLACE = Place.MAP

    def __init__(self, program: Program, deck: Path | Deck) -> None:
        super().__init__(program)
        self._deck = deck
        self._view: Map = Map()

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self.call_after_refresh(self.count)

    @work(exclusive=True, exit_on_error=False)
    async def count(self) -> None:
        """Gather the squares; again after each practice."""

        def job() -> Chart:
            seats = self.studio.open_seats()
            syllabus = seats.syllabus(seats.opened(self._deck))
            now = self.studio.context.utc_now()
            answers = tuple(seats.room.answers())
            tempos, on_horn = (locked_in(syllabus, answers, kinds) for kinds in (TYPED, ON_HORN))
            played = last_played(answers)
            return chart(syllabus, seats.room.memory, now, tempos, played, on_horn)

        found = await self.studio.backroom.do(job)
        row, column = self._view.row, self._view.column
        if self._view.chart is None:
            column = min(range(len(found.columns)), key=lambda i: abs(found.columns[i]))
        # The deck's file may have changed meanwhile, and have fewer rows.
        row, column = min(row, len(found.rows) - 1), min(column, len(found.columns) - 1)
        self.show(chart=found, row=row, column=column)
        if self._view.cells:
            self.open_square()

    @work(exclusive=True, exit_on_error=False, group="cells")
    async def open_square(self) -> None:
        """Show the cells of the chosen square, with the slips in the log; none where it is none."""
        square = self._view.square
        if square is None:
            self.show(cells=())
            return

        def job() -> tuple[CellChart, ...]:
            seats = self.studio.open_seats()
            syllabus = seats.syllabus(seats.opened(self._deck))
            now, log = self.studio.context.utc_now(), seats.room.answers()
            return opened(syllabus, square.items, seats.room.memory, now, log)

        self.show(cells=await self.studio.backroom.do(job))

    def say(self, notice: str) -> None:
        self.show(notice=notice.splitlines()[0])

    def lines(self, width: int, height: int) -> Lines:
        return map_lines(self._view, self.studio.words, width, height)

    def words_instead(self) -> dict[str, str]:
        if self._view.cells:
            return {"measure": "", "open": ""}
        return {"measure": NEXT_FIGURE}

    # What its keys do.

    def acts(self) -> Acts:
        return {
            **super().acts(),
            "left": lambda: self._go(self._view.row, self._view.column - 1),
            "right": lambda: self._go(self._view.row, self._view.column + 1),
            "measure": self._measure,
            "open": self.open_square,
            "begin": self._begin,
            "walk": self._walk,
            "trips": lambda: self.program.go(ToTrips(self._deck)),
            "back": self._back,
        }

    def walk(self, verb: str) -> None:
        found = self._view.chart
        if found is not None:
            self._go(moved(verb, self._view.row, len(found.rows)), self._view.column)

    def _go(self, row: int, column: int) -> None:
        found = self._view.chart
        if found is None:
            return
        column = max(0, min(column, len(found.columns) - 1))
        self._view = replace(self._view, row=row, column=column, notice="")
        if self._view.cells:
            self.open_square()
        self.redraw()

    def _measure(self) -> None:
        measures = list(Measure)
        after = measures[(measures.index(self._view.measure) + 1) % len(measures)]
        self.show(measure=after)

    def _begin(self) -> None:
        square = self._view.square
        if square is not None:
            self.program.go(ToPractice(self._deck, frozenset(square.items)))

    def _walk(self) -> None:
        square = self._view.square
        if square is not None and square.items:
            self.program.go(ToPractice(self._deck, walk=WantedRun(next(iter(square.items)))))

    def _back(self) -> None:
        if self._view.cells:
            self.show(cells=())
        else:
            self.program.back()
