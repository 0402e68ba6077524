"""Help, made from the table of actions, and how notes are typed."""

from __future__ import annotations

from drill.tui.actions import Place, at, keys_of, shown_key
from drill.tui.layout import block, hung
from drill.tui.reading import ReadSheet
from drill.tui.text import BLANK, Line, Role, Stretch
from drill.tui.ways import Program, ToHelp
from drill.wording.keys import TYPING


class HelpScreen(ReadSheet):
    """The keys of the screen beneath."""

    PLACE = Place.HELP

    def __init__(self, program: Program, asked: ToHelp) -> None:
        super().__init__(program)
        self._about, self._without = asked.about, asked.without

    def heading(self) -> str:
        return self._about.called

    def body(self, width: int) -> list[Line]:
        rows: list[Line] = []
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
        return rows
