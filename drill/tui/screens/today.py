"""Today: the first screen."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from textual import work

from drill.errors import DrillError
from drill.tui.actions import Place
from drill.tui.screens.base import Sheet, bindings
from drill.tui.text import Lines
from drill.tui.views.today import Today, suggested, today

_POLL_S = 0.5


class TodayScreen(Sheet):
    """What is due, and the decks to choose from."""

    PLACE = Place.TODAY
    BINDINGS = bindings(Place.TODAY)

    def __init__(self) -> None:
        super().__init__()
        self._view = Today()
        self._moved = False
        """Whether the player chose a deck; until then the suggestion leads."""

    def on_mount(self) -> None:
        now = self.studio.context.utc_now().astimezone()
        self._view = replace(self._view, date=f"{now:%A}, {now.day} {now:%B}")
        self.set_interval(_POLL_S, self._listen)

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self.call_after_refresh(self.count)

    def on_screen_suspend(self) -> None:
        self.workers.cancel_node(self)

    @work(exclusive=True, exit_on_error=False)
    async def count(self) -> None:
        """List the decks, then count them one by one; the room is opened on the way."""
        studio = self.studio
        studio.wake_player()
        paths = await studio.backroom.do(lambda: studio.open_seats().paths())
        fresh = await studio.backroom.do(lambda: not studio.open_seats().room.memory.turns)
        notice = " ".join(studio.notices) or self._view.notice
        self._view = replace(
            self._view, decks=tuple(studio.known(paths)), ready=True, fresh=fresh, notice=notice
        )
        self._place()
        # The deck that Enter would begin is counted first.
        order = sorted(paths, key=lambda path: path != self._path())
        for path in order:
            tally = await studio.backroom.do(lambda path=path: studio.open_seats().tally(path))  # type: ignore[misc]
            studio.tallies[path] = tally
            decks = tuple(tally if deck.path == path else deck for deck in self._view.decks)
            self._view = replace(self._view, decks=decks)
            self._place()

    def _place(self) -> None:
        """Stand on the suggestion, or where the player stands."""
        decks = self._view.decks
        chosen = suggested(decks, self.studio.context.first_deck) if decks else 0
        if self.studio.chosen is not None:
            paths = [deck.path for deck in decks]
            chosen = paths.index(self.studio.chosen) if self.studio.chosen in paths else chosen
        self._view = replace(self._view, chosen=chosen)
        self.redraw()

    def _path(self) -> Path | None:
        return self._view.decks[self._view.chosen].path if self._view.decks else None

    def failed(self, error: DrillError) -> None:
        self._view = replace(self._view, ready=True, notice=str(error))
        self.redraw()

    def lines(self, width: int, height: int) -> Lines:
        return today(self._view, self.glyphs, width, height)

    def words_instead(self) -> dict[str, str]:
        return {
            "mute": "sound on" if self.studio.muted else "mute",
            "settings": "settings" if self.studio.context.settings else "",
        }

    def say(self, notice: str) -> None:
        self._view = replace(self._view, notice=notice)
        self.redraw()

    def _listen(self) -> None:
        player = self.studio.player
        notice = player.poll() if player and self.is_current else None
        if notice:
            self.say(notice)

    # Actions.

    def action_begin(self) -> None:
        path = self._path()
        if path is None:
            return
        self.studio.chosen = None
        from drill.tui.screens.opening import OpeningScreen

        self.app.push_screen(OpeningScreen(path))

    def _go(self, index: int) -> None:
        count = len(self._view.decks)
        if not count:
            return
        index = max(0, min(index, count - 1))
        self.studio.chosen = self._view.decks[index].path
        self._view = replace(self._view, chosen=index, notice="")
        self.redraw()

    def action_up(self) -> None:
        self._go(self._view.chosen - 1)

    def action_down(self) -> None:
        self._go(self._view.chosen + 1)

    def action_first(self) -> None:
        self._go(0)

    def action_last(self) -> None:
        self._go(len(self._view.decks) - 1)

    def action_decks(self) -> None:
        self.trainer.open_decks(self._path())

    def action_map(self) -> None:
        path = self._path()
        if path is not None:
            self.trainer.open_map(path)

    def action_time(self) -> None:
        path = self._path()
        if path is not None:
            from drill.tui.screens.time import TimeScreen

            self.app.push_screen(TimeScreen(path))

    def action_settings(self) -> None:
        self.trainer.open_settings()

    def action_quit_now(self) -> None:
        self.trainer.leave(0)
