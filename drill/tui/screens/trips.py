"""What trips me: slips, accidentals, degrees and keys, each with a practice of just that."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, tzinfo
from pathlib import Path

from textual import work

from drill.decks.schema import Deck
from drill.memory.items import clocked, practice_day
from drill.memory.pool import Pool
from drill.memory.state import State as Memory
from drill.practice.introduction import introduction
from drill.practice.looking import forecast_for
from drill.practice.machine import plan_for
from drill.practice.syllabus import Syllabus
from drill.practice.time.tempi import locked_in
from drill.reports.progress import ProgressSource, progress
from drill.reports.progresstrips import Spot
from drill.tui.actions import Place
from drill.tui.practices import ToPractice
from drill.tui.sheet import Acts, RowSheet
from drill.tui.text import Lines
from drill.tui.tripping import sections
from drill.tui.views.trips import TripsView, trips_lines
from drill.tui.ways import Program
from drill.wording.ahead import forecast_words
from drill.wording.known import NO_LONGER_ASKED, NOTHING_YET, known_told


class TripsScreen(RowSheet):
    """What trips the player in one deck."""

    PLACE = Place.TRIPS

    def __init__(self, program: Program, deck: Path | Deck) -> None:
        super().__init__(program)
        self._deck = deck
        self._view: TripsView = TripsView(deck.stem if isinstance(deck, Path) else deck.title)

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self.call_after_refresh(self.count)

    @work(exclusive=True, exit_on_error=False)
    async def count(self) -> None:
        """Work it out; again after each practice."""
        now, do = self.studio.context.utc_now(), self.studio.backroom.do
        found, syllabus, memory, zone = await do(lambda: self._counted(now))
        self._show(found)
        told = await self.studio.lookout.do(lambda: self._ahead(memory, syllabus, now, zone))
        self._show(replace(self._view, forecast=told))

    def _counted(self, now: datetime) -> tuple[TripsView, Syllabus, Memory, tzinfo | None]:
        """What trips, without what is to come; and what that is worked out from."""
        seats = self.studio.open_seats()
        syllabus, room = seats.syllabus(seats.opened(self._deck)), seats.room
        answers = tuple(clocked(tuple(room.answers()), now))
        deck = syllabus.deck
        today = practice_day(now, room.zone)
        tempos = locked_in(syllabus, answers)
        spots = tuple(
            Spot(entry.item, entry.cell.label, entry.cell.degree, entry.cell.direction)
            for entry in syllabus.entries.values()
            if not entry.back
        )
        source = ProgressSource(deck, spots, room.memory, answers, room.store.items(), tempos)
        made = progress(source, now, today)
        found = sections(made, syllabus, answers, self.studio.words)
        whole = made.whole
        figures = known_told(whole.tried, whole.cells, whole.asked, whole.recall)
        shown = TripsView(deck.title, found, figures)
        return shown, syllabus, room.memory.branch(), room.zone

    def _ahead(self, memory: Memory, syllabus: Syllabus, now: datetime, zone: tzinfo | None) -> str:
        """When the deck will be by heart, in words; ``memory`` is a branch."""
        deck = syllabus.deck
        pool = Pool(memory, syllabus.items, self.studio.context.seed, introduction(syllabus))
        ahead = forecast_for(memory, pool, deck, plan_for(deck, now), now, zone)
        return forecast_words(ahead, date.fromisoformat(practice_day(now, zone)), deck.due)

    def _show(self, found: TripsView) -> None:
        chosen = min(self._view.chosen, max(0, len(found.trips) - 1))
        self._view = replace(found, chosen=chosen)
        self.redraw()

    def lines(self, width: int, height: int) -> Lines:
        return trips_lines(self._view, self.glyphs, width, height)

    def words_instead(self) -> dict[str, str]:
        return {} if self._view.here else {"begin.trips": ""}

    def acts(self) -> Acts:
        return {**super().acts(), "begin": self._begin}

    def row_count(self) -> int:
        return len(self._view.trips)

    def _begin(self) -> None:
        here = self._view.here
        if here is None:
            self.say(NOTHING_YET)
        elif not here.items:
            self.say(NO_LONGER_ASKED)
        else:
            self.program.go(ToPractice(self._deck, here.items))
