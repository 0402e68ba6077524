"""A page that is read: longer than the screen, it is gone through line by line."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from drill.tui.layout import top
from drill.tui.sheet import Acts, Sheet
from drill.tui.text import BLANK, Line, Lines
from drill.wording.screens import MORE_LINES, lines_told


class ReadSheet(Sheet):
    """A title, and lines beneath it; where some are out of sight, it says which are seen."""

    _top = 0
    """The first line that is seen."""
    _whole = True
    """Whether all of them were, when they were drawn last."""

    def heading(self) -> str:
        """What stands at the top."""
        raise NotImplementedError

    def body(self, width: int) -> Sequence[Line]:
        """All lines beneath it, for a width."""
        raise NotImplementedError

    def lines(self, width: int, height: int) -> Lines:
        body, room = self.body(width), max(1, height - 2)
        self._whole = len(body) <= room
        self._top = max(0, min(self._top, len(body) - room))
        seen = body[self._top : self._top + room]
        where = "" if self._whole else lines_told(self._top + 1, self._top + len(seen), len(body))
        return (
            top(self.glyphs.text(self.heading()), where, width, self.glyphs.ellipsis),
            BLANK,
            *seen,
        )

    def words_instead(self) -> dict[str, str]:
        return {} if self._whole else {"down": MORE_LINES}

    def acts(self) -> Acts:
        by = {"up": -1, "down": 1, "first": -(10**6), "last": 10**6}
        return {
            **super().acts(),
            **{verb: partial(self._scroll, rows) for verb, rows in by.items()},
        }

    def _scroll(self, rows: int) -> None:
        self._top = max(0, self._top + rows)
        self.redraw()
