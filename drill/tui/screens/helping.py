"""Help, made from the table of actions, and how notes are typed."""

from __future__ import annotations

from drill.tui.actions import Place, at, keys_of, shown_key
from drill.tui.sheet import Sheet
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, block, hung, line
from drill.tui.ways import Program, ToHelp
from drill.wording.keys import TYPING


class HelpScreen(Sheet):
    """The keys of the screen beneath."""

    PLACE = Place.HELP

    def __init__(self, program: Program, asked: ToHelp) -> None:
        super().__init__(program)
        self._about, self._without = asked.about, asked.without

    def lines(self, width: int, height: int) -> Lines:
        rows: list[Line] = [line(Stretch(f" {self._about.called}", Role.TITLE)), BLANK]
        keymap = self.studio.wishes.keymap
        for action in at(self._about):
            if action.id in self._without:
                continue
            keys = " ".join(shown_key(key, self.glyphs) for key in keys_of(action, keymap))
            rows += hung(Stretch(f" {keys:<13} ", Role.KEY), action.help, width)
        if self._about is Place.STAND:
            rows.append(BLANK)
            for sentence in TYPING.splitlines():
                rows += block(self.glyphs.text(sentence), width)
        return tuple(rows[:height])
