"""A page on which something is typed."""

from __future__ import annotations

from collections.abc import Callable

from textual import events

from drill.tui.draft import Draft
from drill.tui.text import Lines
from drill.tui.widgets.page import Page


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
        active: Callable[[], bool],
        *,
        anything: bool = False,
    ) -> None:
        """``act`` does what a key (by any of its names) is for on the screen, if it is for
        something there; ``active`` tells whether no other screen has come over it."""
        super().__init__(set_page)
        self._typed = typed
        self._act = act
        self._active = active
        self._anything = anything
        self.draft = Draft()
        self.open = False
        """Whether keys are taken; while no prompt is open they are kept for the next one."""

    def on_key(self, event: events.Key) -> None:
        """Every key in its turn: a binding would be looked up two queues later, and a quick
        player's next letters would be before the Enter that they came after."""
        if not self._active():  # the key before it led to another screen: it is for that one
            self.app.post_message(events.Key(event.key, event.character))
            event.stop()
            event.prevent_default()
            return
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
