"""A page on which notes are played in time: each key with the instant at which it was read."""

from __future__ import annotations

from collections.abc import Callable

from textual import events
from textual.message import Message

from drill.practice.time.strokes import Stroke
from drill.tui.draft import TAKE_BACK, typed
from drill.tui.text import Lines
from drill.tui.widgets.page import Page

_SIGNS = {"up": "♯", "down": "♭"}
"""Keys that stand for signs, as on the stand."""


class StrokePage(Page):
    """Tells ``struck`` of each key while it is open, by a plain call.

    Textual makes a key's event in the thread that reads the terminal, at once after the
    read: the age of the event, taken off the clock that is handed in, is that instant.
    """

    def __init__(
        self,
        set_page: Callable[[int, int], Lines],
        struck: Callable[[Stroke], None],
        clock: Callable[[], float],
    ) -> None:
        super().__init__(set_page)
        self._struck = struck
        self._clock = clock
        self.open = False
        """Whether a bout is being played: only then are keys notes."""
        self.repeating: Callable[[float], None] | None = None
        """Told of the space bar while no bout is played: a held key measures the terminal."""

    def read_at(self, event: events.Key) -> float:
        """The instant, on the clock handed in, at which a key was read."""
        age = Message().time - event.time  # a fresh message tells the time of Textual's clock
        return self._clock() - max(0.0, age)

    def on_key(self, event: events.Key) -> None:
        if not self.open:
            if event.key == "space" and self.repeating is not None:
                self.repeating(self.read_at(event))
                event.stop()
                event.prevent_default()
            return
        text = event.key if event.key == TAKE_BACK else _SIGNS.get(event.key)
        text = text or typed(event.key, event.character)
        if text is None:
            return
        event.stop()
        event.prevent_default()
        self._struck(Stroke(text, self.read_at(event)))
