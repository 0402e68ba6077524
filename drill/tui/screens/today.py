"""Today: the first screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual import work

from drill.memory.kinds import PLAYED, Kind
from drill.tui.actions import Place
from drill.tui.sheet import POLL_S, Acts, RowSheet, listen
from drill.tui.studio import written
from drill.tui.text import Lines
from drill.tui.views.today import Today, suggested, today
from drill.wording.soundwords import mute_label
from drill.wording.today import past_words

if TYPE_CHECKING:
    from drill.tui.practices import ToPractice
    from drill.tui.ways import Program, Way


def ToHorn(deck: Path) -> ToPractice:  # noqa: N802 - one of the ways
    """A practice whose cells are played on the horn."""
    from drill.tui.practices import ToPractice

    return ToPractice(deck, kinds=(Kind.NEXT, Kind.DEGREE, PLAYED))


class TodayScreen(RowSheet):
    """What is due, and the decks to choose from."""

    PLACE = Place.TODAY

    def __init__(self, program: Program) -> None:
        super().__init__(program)
        self._view: Today = Today()

    def on_mount(self) -> None:
        now = self.studio.context.utc_now().astimezone()
        self._view = replace(self._view, date=f"{now:%A}, {now.day} {now:%B}")
        self.set_interval(POLL_S, partial(listen, self))

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self.call_after_refresh(self.count)

    def on_screen_suspend(self) -> None:
        self.workers.cancel_node(self)

    @work(exclusive=True, exit_on_error=False)
    async def count(self) -> None:
        """List the decks, then count them one by one; the room is opened on the way.

        Where to stand is settled before anything is counted, and stays.
        """
        await written()
        studio = self.studio
        studio.wake_player()
        seen = await studio.backroom.do(lambda: studio.open_seats().seen())
        paths, last = seen.paths, seen.last
        notice = " ".join(studio.notices) or self._view.notice
        decks = tuple(studio.known(paths, seen.glances))
        if seen.given is not None and not studio.by_hand:
            studio.chosen = seen.given
        if decks and studio.chosen not in paths:
            studio.chosen = paths[suggested(decks, last, studio.context.first_deck)]
        chosen = paths.index(studio.chosen) if studio.chosen in paths else 0
        self._view = replace(
            self._view,
            decks=decks,
            chosen=chosen,
            ready=True,
            fresh=not seen.days,
            notice=notice,
            past=past_words(seen.days, seen.today),
            today=seen.today,
        )
        self.redraw()
        # The deck that Enter would begin is counted first.
        for path in sorted(paths, key=lambda path: path != studio.chosen):
            tally = await studio.tally(path)
            decks = tuple(tally if deck.path == path else deck for deck in self._view.decks)
            self.show(decks=decks)
        if seen.days and studio.chosen is not None:
            await self._look_ahead(studio.chosen, seen.today)

    async def _look_ahead(self, path: Path, today: date) -> None:
        """When the deck will be by heart; seconds of work on a branch of what is known."""
        from drill.wording.ahead import forecast_words  # not before the first frame

        studio = self.studio
        wanted = await studio.backroom.do(lambda: studio.open_seats().branch(path, studio.plan))
        if wanted is not None:
            ahead = await studio.lookout.do(wanted)
            forecast = (*self._view.forecasts, (path, forecast_words(ahead, today)))
            self.show(forecasts=forecast)

    def lines(self, width: int, height: int) -> Lines:
        return today(self._view, self.glyphs, width, height)

    def words_instead(self) -> dict[str, str]:
        context = self.studio.context
        return {
            "mute.today": mute_label(self.studio.muted),
            "settings": "settings" if context.settings else "",
            "teacher": "class" if context.errands else "",
        }

    def say(self, notice: str) -> None:
        self.show(ready=True, notice=notice)

    # What its keys do.

    def acts(self) -> Acts:
        # No first frame waits for the ways.
        from drill.tui.practices import ToPractice
        from drill.tui.ways import ToDecks, ToMap, ToOwn, ToSettings, ToTeacher, ToTime, ToTrips

        return {
            **super().acts(),
            "begin": partial(self._open, ToPractice),
            "decks": lambda: self.program.go(ToDecks(self.studio.chosen)),  # however early
            "map": partial(self._open, ToMap),
            "trips": partial(self._open, ToTrips),
            "time": partial(self._open, ToTime),
            "horn": partial(self._open, ToHorn),
            "settings": partial(self._allowed, ToSettings(), self.studio.context.settings),
            "own": lambda: self.program.go(ToOwn()),
            "teacher": partial(self._allowed, ToTeacher(), self.studio.context.errands),
            "quit_now": lambda: self.program.leave(0),
        }

    def row_count(self) -> int:
        return len(self._view.decks)

    def walk(self, verb: str) -> None:
        super().walk(verb)
        if self._view.decks:
            self.studio.choose(self._view.decks[self._view.chosen].path)

    def _open(self, way: Callable[[Path], Way]) -> None:
        """Go somewhere with the chosen deck."""
        if self._view.decks:
            self.program.go(way(self._view.decks[self._view.chosen].path))

    def _allowed(self, way: Way, needed: object) -> None:
        """Go somewhere that needs what may not be there."""
        if needed is not None:
            self.program.go(way)
