"""What a command did, and what it said."""

from __future__ import annotations

from textual import work

from drill.tui.actions import Place
from drill.tui.layout import indent, paragraph
from drill.tui.reading import ReadSheet
from drill.tui.sheet import give_place
from drill.tui.text import BLANK, Line, Role, Stretch, line
from drill.tui.ways import Program, ToErrand
from drill.wording.screens import DONE, NOT_FROM_HERE, WORKING


class ErrandScreen(ReadSheet):
    """Runs once, then is read."""

    PLACE = Place.ERRAND

    def __init__(self, program: Program, wanted: ToErrand) -> None:
        super().__init__(program)
        self._wanted = wanted
        self._said: str | None = None
        self._good = True

    def on_mount(self) -> None:
        self.call_after_refresh(self.run_it)

    @work(exclusive=True, exit_on_error=False)
    async def run_it(self) -> None:
        """Do it off the loop."""
        errands = self.studio.context.errands
        if errands is None:
            self.say(NOT_FROM_HERE)
            return
        done = await self.studio.backroom.do(lambda: errands.run(self._wanted.words))
        if done.taken is not None:
            from drill.tui.formed.saving import over_errand

            give_place(self, over_errand(self.program, self._wanted, done.taken))
            return
        self._said, self._good = done.said or DONE, done.good
        self.redraw()

    def say(self, notice: str) -> None:
        self._said, self._good = notice, False
        self.redraw()

    def heading(self) -> str:
        return self._wanted.title

    def body(self, width: int) -> list[Line]:
        if self._said is None:
            return [line(Stretch(f" {self.glyphs.text(WORKING)}", Role.DIM))]
        role = Role.PLAIN if self._good else Role.NOTICE
        body: list[Line] = []
        for said in self._said.splitlines():
            shown = paragraph(self.glyphs.text(said), width - 2, role)
            body += [indent(row, 1) for row in shown] or [BLANK]
        return body
