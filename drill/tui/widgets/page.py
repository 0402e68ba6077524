"""A page: lines of text drawn as they are given, and nothing else.

One page fills a screen, so that a key changes it in one round: only the rows that
differ are painted again.
"""

from __future__ import annotations

from collections.abc import Callable

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from drill.shown import in_cells
from drill.tui.text import Line, Lines, Role
from drill.tui.themes import INKS


class Page(Widget, can_focus=True):
    """Shows lines, each role as ``themes.INKS`` says."""

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
            ink = self._inks[role] = self.rich_style + self._own_ink(role)
        return ink

    def _own_ink(self, role: Role | None) -> Style:
        """What a role has of its own, in the theme in force."""
        if role is None:
            return Style.null()
        names = self.app.theme_variables
        colour, style = INKS[role]
        return Style.parse(names.get(style, style)) + Style(
            color=Color.parse(names[colour]).rich_color
        )
