"""A question over a screen, answered by Enter or Esc."""

from __future__ import annotations

from collections.abc import Callable

from drill.tui.actions import Place
from drill.tui.screens.base import Sheet, bindings
from drill.tui.text import BLANK, Lines, Role, Span, line, paragraph


class ConfirmScreen(Sheet):
    """Asks, and does something on yes."""

    PLACE = Place.CONFIRM
    BINDINGS = bindings(Place.CONFIRM)

    def __init__(
        self, question: str, more: str, yes: Callable[[], None], words: tuple[str, str]
    ) -> None:
        """``words`` are what yes and no are called in the last line."""
        super().__init__()
        self._question, self._more, self._yes, self._words = question, more, yes, words

    def lines(self, width: int, height: int) -> Lines:
        body = [
            line(Span(f"  {row}", Role.TITLE))
            for row in (part[0].text for part in paragraph(self._question, width - 4))
        ]
        more = [line(Span(f"  {row[0].text}")) for row in paragraph(self._more, width - 4)]
        above = max(0, (height - len(body) - len(more) - 1) // 3)
        return (*[BLANK] * above, *body, BLANK, *more)

    def words_instead(self) -> dict[str, str]:
        return {"yes": self._words[0], "no": self._words[1]}

    def action_yes(self) -> None:
        self.app.pop_screen()
        self._yes()

    def action_no(self) -> None:
        self.app.pop_screen()

    def action_quit_asked(self) -> None:
        self.trainer.leave(130)
