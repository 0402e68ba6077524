"""A page: lines of text drawn as they are given, and nothing else.

One page fills a screen, so that a key changes it in one round: only the rows that
differ are painted again.
"""

from __future__ import annotations

from collections.abc import Callable

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from drill.shown import in_cells
from drill.tui.draft import Draft
from drill.tui.text import Line, Lines, Role


class Page(Widget, can_focus=True):
    """Shows lines; each role has a component class ``page--ROLE`` in the style sheet."""

    COMPONENT_CLASSES = {f"page--{role.value}" for role in Role}  # noqa: RUF012 - as Textual's own

    def __init__(self, set_page: Callable[[int, int], Lines]) -> None:
        """``set_page`` gives the lines for a width and a height."""
        super().__init__()
        self._set_page = set_page
        self._shown: Lines = ()
        self._inks: dict[Role | None, Style] = {}
        """How each role is painted, and under None the page itself; looked up once for all rows."""

    @property
    def shown(self) -> Lines:
        """The lines on the page."""
        return self._shown

    def update(self) -> None:
        """Arrange the page anew and paint the rows that changed."""
        width, height = self.size
        lines = self._set_page(width, height) if width and height else ()
        before, self._shown = self._shown, lines
        if len(before) != len(lines):
            self.refresh()
            return
        changed = [
            Region(0, row, width, 1)
            for row, (old, new) in enumerate(zip(before, lines, strict=True))
            if old != new
        ]
        if changed:
            self.refresh(*changed)

    def on_resize(self) -> None:
        self._shown = ()
        self.update()

    def notify_style_update(self) -> None:
        """Draw anew: every stretch is styled."""
        super().notify_style_update()
        self._inks = {}
        self.refresh()

    def render_line(self, y: int) -> Strip:
        style = self._ink(None)
        if y >= len(self._shown):
            return Strip.blank(self.size.width, style)
        strip = Strip(self._segments(self._shown[y]))
        return strip.adjust_cell_length(self.size.width, style)

    def _segments(self, line: Line) -> list[Segment]:
        return [Segment(in_cells(span.text), self._ink(span.role)) for span in line]

    def _ink(self, role: Role | None) -> Style:
        ink = self._inks.get(role)
        if ink is None:
            named = self.get_component_rich_style
            ink = self._inks[role] = named(f"page--{role.value}") if role else self.rich_style
        return ink


class AnswerPage(Page):
    """A page on which an answer is typed; with ``anything``, any text, while it is open.

    It keeps the draft and tells ``typed`` of each new one by a plain call and not by a
    message: a message would take a second round before the key is seen.
    """

    def __init__(
        self,
        set_page: Callable[[int, int], Lines],
        typed: Callable[[Draft], None],
        act: Callable[[list[str]], bool],
        *,
        anything: bool = False,
    ) -> None:
        """``act`` does what a key (by any of its names) is for on the screen, if it is for
        something there."""
        super().__init__(set_page)
        self._typed = typed
        self._act = act
        self._anything = anything
        self.draft = Draft()
        self.open = False
        """Whether keys are taken; while no prompt is open they are kept for the next one."""

    def on_key(self, event: events.Key) -> None:
        """Every key in its turn: a binding would be looked up two queues later, and a quick
        player's next letters would be before the Enter that they came after."""
        draft = None
        if self.open or not self._anything:
            draft = self.draft.key(event.key, event.character, anything=self._anything)
        if draft is not None:
            self.draft = draft
            if self.open:
                self._typed(draft)
        elif not self._act(event.aliases):
            return
        event.stop()
        event.prevent_default()

    def on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()
        if self._anything and not self.open:
            return
        self.draft = self.draft.paste(event.text)
        if self.open:
            self._typed(self.draft)
