"""The moment in which a deck is read and spelled; keys typed meanwhile are kept."""

from __future__ import annotations

from pathlib import Path

from textual import work

from drill.errors import DrillError
from drill.memory.items import Kind
from drill.tui.actions import Place
from drill.tui.screens.base import TypingSheet, bindings
from drill.tui.text import BLANK, Lines, Role, Span, indent, line, paragraph


class OpeningScreen(TypingSheet):
    """Opens a practice and gives its place to the stand."""

    PLACE = Place.HELP
    BINDINGS = bindings(Place.HELP)

    def __init__(self, deck: Path | str, only: frozenset[str] = frozenset()) -> None:
        super().__init__()
        self._deck, self._only = deck, only
        self._problem = ""

    def on_mount(self) -> None:
        self.call_after_refresh(self.sit)

    @work(exclusive=True, exit_on_error=False)
    async def sit(self) -> None:
        """Sit down, then go to the stand."""
        self.studio.wake_player()
        seat = await self.studio.sit(self._deck, self._only)
        if set(seat.desk.plan.kinds) == {Kind.TIME}:
            from drill.tui.screens.time import TimeScreen

            self.trainer.replace_screen(TimeScreen(seat.path))
            return
        from drill.tui.screens.stand import StandScreen

        page = self.answer
        self.trainer.replace_screen(StandScreen(seat, page.draft))

    def failed(self, error: DrillError) -> None:
        self._problem = str(error)
        self.redraw()

    def lines(self, width: int, height: int) -> Lines:
        name = self._deck if isinstance(self._deck, str) else self._deck.stem
        rows = [BLANK, line(Span(f" {self.glyphs.text(name)}", Role.TITLE)), BLANK]
        if not self._problem:
            return (*rows, line(Span(f" opening the deck {self.glyphs.ellipsis}", Role.DIM)))
        for fault in self._problem.splitlines():
            told = paragraph(self.glyphs.text(fault), width - 2, Role.NOTICE)
            rows += [indent(row, 1) for row in told]
        return tuple(rows[:height])

    def action_back(self) -> None:
        self.workers.cancel_node(self)
        self.trainer.back()
