"""A question over a screen, answered by Enter or Esc."""

from __future__ import annotations

from drill.tui.actions import Place
from drill.tui.layout import paragraph
from drill.tui.sheet import Acts, Sheet
from drill.tui.text import BLANK, Lines, Role, Stretch, line
from drill.tui.ways import Program, ToQuestion


class ConfirmScreen(Sheet):
    """Asks, and does something on yes."""

    PLACE = Place.CONFIRM

    def __init__(self, program: Program, asked: ToQuestion) -> None:
        super().__init__(program)
        self._asked = asked

    def lines(self, width: int, height: int) -> Lines:
        body = [
            line(Stretch(f"  {row}", Role.TITLE))
            for row in (part[0].text for part in paragraph(self._asked.question, width - 4))
        ]
        more = [line(Stretch(f"  {row[0].text}")) for row in paragraph(self._asked.more, width - 4)]
        above = max(0, (height - len(body) - len(more) - 1) // 3)
        return (*[BLANK] * above, *body, BLANK, *more)

    def words_instead(self) -> dict[str, str]:
        return {"yes": self._asked.words[0], "no": self._asked.words[1]}

    def acts(self) -> Acts:
        return {
            **super().acts(),
            "yes": self._yes,
            "no": self.program.close,
            "quit_asked": lambda: self.program.leave(130),
        }

    def _yes(self) -> None:
        self.program.close()
        self._asked.yes()
