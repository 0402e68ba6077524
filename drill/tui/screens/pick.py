"""Choosing from a list: type to find, Enter takes it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from drill.errors import DrillError
from drill.tui.actions import Place
from drill.tui.draft import Draft
from drill.tui.sheet import Acts, RowSheet, TypingSheet
from drill.tui.text import Lines
from drill.tui.views.pick import Pick, pick_lines
from drill.tui.ways import Program, ToHelp, ToPick
from drill.wording.screens import ADD, CHOOSE_FIRST, DONE, TAKE


class PickScreen(RowSheet, TypingSheet):
    """One list."""

    PLACE = Place.PICK
    ANYTHING = True

    def __init__(self, program: Program, asked: ToPick) -> None:
        super().__init__(program)
        self._asked = asked
        self._view: Pick = asked.pick
        self.answer.open = True

    def lines(self, width: int, height: int) -> Lines:
        here, aside = self._view.here, self._asked.aside
        drawn = aside(here.id, width, height) if aside and here else ()
        return pick_lines(replace(self._view, aside=drawn), self.glyphs, width, height)

    def words_instead(self) -> dict[str, str]:
        return {
            "mark": "mark" if self._view.several else "",
            "take": self._enter(),
            "hear.pick": "hear" if self._asked.hear else "",
            "back.pick": self._asked.leave_word,
        }

    def _enter(self) -> str:
        """What Enter does, in a word."""
        if not (self._view.several and self._view.marked):
            return TAKE
        return ADD if self._view.adds else DONE

    def typed(self, draft: Draft) -> None:
        self._view = self._view.searched(draft.text)
        typed = self._asked.typed
        self.show(choices=typed(draft.text) if typed else self._view.choices)

    def acts(self) -> Acts:
        return {
            **super().acts(),
            "help": self._help,
            "take": self._take,
            "mark": self._mark,
            "hear": self._hear,
            "back": self._leave,
        }

    def row_count(self) -> int:
        return len(self._view.found)

    def _help(self) -> None:
        """The keys that do something in this list."""
        words = self.words_instead()
        self.program.go(ToHelp(self.PLACE, tuple(each for each, word in words.items() if not word)))

    def _mark(self) -> None:
        self._view = self._view.marking()
        self.redraw()

    def _hear(self) -> None:
        here, hear = self._view.here, self._asked.hear
        if here is not None and hear is not None:
            self.say(hear(here.id))

    def _take(self) -> None:
        taken = self._view.taken
        if not taken:
            self.say(CHOOSE_FIRST)
            return
        self._tell(self._asked.done, taken)

    def _leave(self) -> None:
        if self._asked.leave is None:
            self.program.back()
        else:
            self._tell(self._asked.leave)

    def _tell(self, way: Callable[..., str | None], *taken: tuple[str, ...]) -> None:
        """Go on, or say why not."""
        try:
            said = way(*taken)
        except DrillError as error:
            said = str(error)
        if said and self.is_active:
            self.say(said)


class StartScreen(PickScreen):
    """One of the questions of the first start; what comes after it is not built on it."""

    PLACE = Place.START
