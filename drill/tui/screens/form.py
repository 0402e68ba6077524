"""A form: rows that are turned, typed, chosen from a list, or pressed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from drill.errors import DrillError
from drill.tui.actions import Place
from drill.tui.draft import Draft
from drill.tui.forms import Formed, Unkept
from drill.tui.sheet import Acts, RowSheet, TypingSheet
from drill.tui.text import Lines
from drill.tui.views.form import FormView, RowKind, form_lines
from drill.tui.ways import Program, ToQuestion
from drill.wording.forms import DO_IT, LEAVE_IT, LEAVE_UNKEPT

_LONGEST = 2000
"""Characters that can be typed on a row: as many as a deck's note may have."""


class FormScreen(RowSheet, TypingSheet):
    """One form."""

    PLACE = Place.FORM
    ANYTHING = True

    def __init__(self, program: Program, formed: Formed) -> None:
        super().__init__(program)
        self._formed = formed
        self._view: FormView = FormView(formed.title, ())

    def on_screen_resume(self) -> None:
        if self._view.editing is None:  # else something was looked at while a value was typed
            notice, self._formed.said = self._formed.said, ""
            self._load(notice)
        super().on_screen_resume()

    def _load(self, notice: str = "") -> None:
        rows = self._view.rows
        try:
            rows = self._formed.rows()
        except DrillError as error:
            notice = str(error)
        chosen = max(0, min(self._view.chosen, len(rows) - 1))
        self._view = FormView(self._formed.title, rows, chosen, None, notice)
        self.answer.open = False
        self.redraw()

    def lines(self, width: int, height: int) -> Lines:
        return form_lines(self._view, self.glyphs, width, height)

    def words_instead(self) -> dict[str, str]:
        here = self._view.here
        words = {
            RowKind.TURN: "change",
            RowKind.TEXT: "change",
            RowKind.OPEN: "choose",
            RowKind.ACT: DO_IT,
        }
        if self._view.editing is not None:
            return {"change": "keep", "back.form": LEAVE_IT}
        return {"change": words[here.kind] if here else ""}

    def typed(self, draft: Draft) -> None:
        self.show(editing=draft.text)

    def acts(self) -> Acts:
        return {
            **super().acts(),
            "left": partial(self._turn, -1),
            "right": partial(self._turn, 1),
            "change": self._change,
            "back": self._back,
        }

    def row_count(self) -> int:
        return len(self._view.rows) if self._view.editing is None else 0

    def _turn(self, by: int) -> None:
        here = self._view.here
        if here is not None and self._view.editing is None and here.kind is RowKind.TURN:
            self._load(self._said(partial(self._formed.turn, here.name, by)))

    def _change(self) -> None:
        here = self._view.here
        if here is None:
            return
        editing = self._view.editing
        if editing is not None:
            text = editing.strip()
            same = editing == here.text  # a row may show less than there is, such as lines as one
            self._load("" if same else self._said(partial(self._formed.put, here.name, text)))
        elif here.kind is RowKind.TURN:
            self._turn(1)
        elif here.kind is RowKind.TEXT:
            longest = max(_LONGEST, len(here.text))
            self.answer.draft, self.answer.open = Draft(here.text, longest=longest), True
            self.typed(self.answer.draft)
        else:
            said = self._said(partial(self._formed.press, here.name))
            if self.is_active:
                self._load(said)

    def _said(self, change: Callable[[], str | None]) -> str:
        """What there is to say of a change; empty for nothing."""
        try:
            return change() or ""
        except DrillError as error:
            return str(error)

    @property
    def unkept(self) -> bool:
        """Whether something is lost where the form is left now."""
        return isinstance(self._formed, Unkept) and self._formed.unkept

    def _back(self) -> None:
        if self._view.editing is not None:
            self._load()
        elif self.unkept:
            question, more, words = LEAVE_UNKEPT
            self.program.go(ToQuestion(question, more, self.program.back, words))
        else:
            self.program.back()
