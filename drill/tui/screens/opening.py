"""The moment in which a deck is read and spelled; keys typed meanwhile are kept."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from textual import work

from drill.memory.kinds import Kind
from drill.tui.actions import Place
from drill.tui.layout import indent, paragraph, shortened
from drill.tui.practices import ToPractice, ToStand
from drill.tui.sheet import Acts, TypingSheet, give_place
from drill.tui.studio import is_silent
from drill.tui.text import BLANK, Lines, Role, Stretch, line
from drill.wording.screens import OPENING

if TYPE_CHECKING:
    from drill.tui.ways import Program


class OpeningScreen(TypingSheet):
    """Opens a practice and gives its place to the stand."""

    PLACE = Place.OPENING

    def __init__(self, program: Program, wanted: ToPractice) -> None:
        super().__init__(program)
        self._wanted = wanted
        self._problem = ""

    def on_mount(self) -> None:
        self.call_after_refresh(self.sit)

    @work(exclusive=True, exit_on_error=False)
    async def sit(self) -> None:
        """Sit down, then go to the stand."""
        studio, wanted = self.studio, self._wanted
        plan, silent = studio.plan, is_silent(studio)
        seat = await studio.backroom.do(
            lambda: studio.open_seats().sit(wanted, plan, silent=silent)
        )
        if set(seat.desk.plan.kinds) == {Kind.TIME}:
            from drill.tui.ways import ToTime  # no first prompt waits for the ways

            give_place(self, ToTime(seat.deck))
        else:
            give_place(self, ToStand(seat, self.answer.draft))

    def say(self, notice: str) -> None:
        self._problem = notice
        self.redraw()

    def lines(self, width: int, height: int) -> Lines:
        rows = [BLANK, line(Stretch(f" {self.glyphs.text(self._called())}", Role.TITLE)), BLANK]
        if not self._problem:
            return (*rows, line(Stretch(f" {self.glyphs.text(OPENING)}", Role.DIM)))
        for fault in self._problem.splitlines():
            told = paragraph(self.glyphs.text(fault), width - 2, Role.NOTICE)
            rows += [indent(row, 1) for row in told]
        return tuple(shortened(rows, height, width, self.glyphs.ellipsis))

    def _called(self) -> str:
        deck = self._wanted.deck
        if isinstance(deck, str):
            return deck
        return deck.stem.replace("-", " ") if isinstance(deck, Path) else deck.title

    def acts(self) -> Acts:
        return {**super().acts(), "back": self._back}

    def _back(self) -> None:
        self.workers.cancel_node(self)
        self.program.back()
