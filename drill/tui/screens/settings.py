"""Settings: look at them and change them; where they are kept is the desk's affair."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from drill.errors import DrillError
from drill.tui.actions import Place
from drill.tui.context import Setting
from drill.tui.draft import Draft
from drill.tui.sheet import Acts, TypingSheet, bindings, moved
from drill.tui.text import Lines
from drill.tui.views.settings import Settings, settings
from drill.tui.ways import Program


class SettingsScreen(TypingSheet):
    """Every setting, one chosen."""

    PLACE = Place.SETTINGS
    ANYTHING = True
    BINDINGS = bindings(Place.SETTINGS)

    def __init__(self, program: Program) -> None:
        super().__init__(program)
        self._view = Settings()

    def on_mount(self) -> None:
        self._load()

    def _load(self, notice: str = "") -> None:
        desk = self.studio.context.settings
        rows: tuple[Setting, ...] = ()
        try:
            rows = desk.settings() if desk else ()
        except DrillError as error:
            notice = str(error)
        chosen = max(0, min(self._view.chosen, len(rows) - 1))
        self._view = replace(self._view, rows=rows, chosen=chosen, editing=None, notice=notice)
        self.answer.open = False
        self.redraw()

    def lines(self, width: int, height: int) -> Lines:
        return settings(self._view, self.glyphs, width, height)

    def words_instead(self) -> dict[str, str]:
        return {"change": "keep" if self._view.editing is not None else "change"}

    def typed(self, draft: Draft) -> None:
        self._view = replace(self._view, editing=draft.text)
        self.redraw()

    def _put(self, value: str) -> None:
        desk, row = self.studio.context.settings, self._view.rows[self._view.chosen]
        if desk is not None:
            said = desk.put(row.name, value)
            self.program.follow()
            self._load(said)

    # What its keys do.

    def acts(self) -> Acts:
        rows = {verb: partial(self._go, verb) for verb in ("up", "down", "first", "last")}
        return {
            **super().acts(),
            **rows,
            "left": partial(self._turn, -1),
            "right": partial(self._turn, 1),
            "change": self._change,
            "back": self._back,
        }

    def _go(self, verb: str) -> None:
        if self._view.editing is None:
            chosen = moved(verb, self._view.chosen, len(self._view.rows))
            self._view = replace(self._view, chosen=chosen, notice="")
            self.redraw()

    def _turn(self, by: int) -> None:
        """Take the next value, or the one before, of a setting that has a choice."""
        if not self._view.rows or self._view.editing is not None:
            return
        row = self._view.rows[self._view.chosen]
        if row.choices:
            here = row.choices.index(row.value) if row.value in row.choices else -by
            self._put(row.choices[(here + by) % len(row.choices)])

    def _change(self) -> None:
        if not self._view.rows:
            return
        if self._view.editing is not None:
            self._put(self._view.editing.strip())
            return
        row = self._view.rows[self._view.chosen]
        if row.choices:
            self._turn(1)
            return
        self.answer.draft, self.answer.open = Draft(row.value), True
        self.typed(self.answer.draft)

    def _back(self) -> None:
        if self._view.editing is not None:
            self._load()
        else:
            self.program.back()
