"""Where the keys and values of a TOML text stand, looked for when somebody asks.

Most texts have no fault: what only reads their values does not wait for their places.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drill.decks.locate import LineColumn, Spots
    from drill.decks.locate import Path as KeyPath


class Whereabouts:
    """The places of one text; None for values that come from no text."""

    def __init__(self, text: str | None) -> None:
        self._text = text
        self._spots: Spots | None = None

    @property
    def spots(self) -> Spots:
        """All that was found; the text is looked through the first time."""
        if self._spots is None:
            from drill.decks.locate import Spots, locate

            self._spots = Spots({}, {}) if self._text is None else locate(self._text)
        return self._spots

    def key(self, path: KeyPath) -> LineColumn:
        """The key's place, as ``Spots`` tells it."""
        return self.spots.key(path)

    def value(self, path: KeyPath) -> LineColumn:
        """The value's place, as ``Spots`` tells it."""
        return self.spots.value(path)


NOWHERE = Whereabouts(None)
"""For values that come from no text."""
