"""Settings: look at them and change them; where they are kept is the desk's affair."""

from __future__ import annotations

from dataclasses import replace

from drill.errors import DrillError
from drill.tui.actions import Place
from drill.tui.context import SettingsDesk
from drill.tui.draft import Draft
from drill.tui.screens.base import TypingSheet, bindings
from drill.tui.text import Lines
from drill.tui.views.settings import Settings, settings


class SettingsScreen(TypingSheet):
    """Every setting, one chosen."""

    PLACE = Place.SETTINGS
    ANYTHING = True
    BINDINGS = bindings(Place.SETTINGS)

    def __init__(self, desk: SettingsDesk) -> None:
        super().__init__()
        self._desk = desk
        self._view = Settings()

    def on_mount(self) -> None:
        self._load()

    def _load(self, notice: str = "") -> None:
        try:
            rows = self._desk.settings()
        except DrillError as error:
            rows, notice = (), str(error)
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
        row = self._view.rows[self._view.chosen]
        self._load(self._desk.put(row.name, value))

    # Actions.

    def _go(self, index: int) -> None:
        if self._view.rows and self._view.editing is None:
            chosen = max(0, min(index, len(self._view.rows) - 1))
            self._view = replace(self._view, chosen=chosen, notice="")
            self.redraw()

    def action_up(self) -> None:
        self._go(self._view.chosen - 1)

    def action_down(self) -> None:
        self._go(self._view.chosen + 1)

    def action_first(self) -> None:
        self._go(0)

    def action_last(self) -> None:
        self._go(len(self._view.rows))

    def _turn(self, by: int) -> None:
        """Take the next value, or the one before, of a setting that has a choice."""
        if not self._view.rows or self._view.editing is not None:
            return
        row = self._view.rows[self._view.chosen]
        if row.choices:
            here = row.choices.index(row.value) if row.value in row.choices else -by
            self._put(row.choices[(here + by) % len(row.choices)])

    def action_left(self) -> None:
        self._turn(-1)

    def action_right(self) -> None:
        self._turn(1)

    def action_change(self) -> None:
        if not self._view.rows:
            return
        if self._view.editing is not None:
            self._put(self._view.editing.strip())
            return
        row = self._view.rows[self._view.chosen]
        if row.choices:
            self._turn(1)
            return
        page = self.answer
        page.draft, page.open = Draft(row.value), True
        self.typed(page.draft)

    def action_back(self) -> None:
        if self._view.editing is not None:
            self._load()
        else:
            self.trainer.back()
