"""What trips me: slips, accidentals, degrees and keys, each with a practice of just that."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

from textual import work

from drill.decks.schema import Deck
from drill.memory.items import practice_day
from drill.practice.time.tempi import DEFAULT_BPM, locked_in
from drill.reports.progress import Progress, Source, progress
from drill.reports.progressreport import due_words
from drill.reports.progresstrips import Spot
from drill.tui.actions import Place
from drill.tui.practices import ToPractice
from drill.tui.sheet import Acts, Sheet, bindings, moved
from drill.tui.text import Lines
from drill.tui.tripping import sections
from drill.tui.views.trips import Trips, trips_lines
from drill.tui.ways import Program
from drill.tui.words import Words


class TripsScreen(Sheet):
    """What trips the player in one deck."""

    PLACE = Place.TRIPS
    BINDINGS = bindings(Place.TRIPS)

    def __init__(self, program: Program, deck: Path | Deck) -> None:
        super().__init__(program)
        self._deck = deck
        self._view = Trips(deck.stem if isinstance(deck, Path) else deck.title)

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self.call_after_refresh(self.count)

    @work(exclusive=True, exit_on_error=False)
    async def count(self) -> None:
        """Work it out; again after each practice."""

        def job() -> Trips:
            seats, now = self.studio.open_seats(), self.studio.context.utc_now()
            syllabus, room = seats.syllabus(seats.opened(self._deck)), seats.room
            answers = tuple(room.answers())
            today = practice_day(now, room.zone)
            deck = syllabus.deck
            tempos = locked_in(
                syllabus, answers, date.fromisoformat(today), deck.tempo or DEFAULT_BPM
            )
            spots = tuple(
                Spot(entry.item, entry.cell.label, entry.cell.degree, entry.cell.direction)
                for entry in syllabus.entries.values()
                if not entry.back
            )
            source = Source(deck, spots, room.memory, answers, room.store.items(), tempos)
            made = progress(source, now, today)
            words = Words(room.marker.language, self.glyphs)
            found = sections(made, syllabus, answers, words)
            return Trips(deck.title, found, _figures(made), due_words(made))

        found = await self.studio.backroom.do(job)
        chosen = moved("last", 0, len(found.trips)) if found.trips else 0
        self._view = replace(found, chosen=min(self._view.chosen, chosen))
        self.redraw()

    def lines(self, width: int, height: int) -> Lines:
        return trips_lines(self._view, self.glyphs, width, height)

    def words_instead(self) -> dict[str, str]:
        return {"begin.trips": "practise this" if self._view.here else ""}

    def say(self, notice: str) -> None:
        self._view = replace(self._view, notice=notice)
        self.redraw()

    def acts(self) -> Acts:
        rows = {verb: partial(self._go, verb) for verb in ("up", "down", "first", "last")}
        return {**super().acts(), **rows, "begin": self._begin}

    def _go(self, verb: str) -> None:
        rows = self._view.trips
        if rows:
            chosen = moved(verb, self._view.chosen, len(rows))
            self._view = replace(self._view, chosen=chosen, notice="")
            self.redraw()

    def _begin(self) -> None:
        here = self._view.here
        if here is None:
            self.say("nothing to practise here yet")
        elif not here.items:
            self.say("the deck does not ask these cells any more")
        else:
            self.program.go(ToPractice(self._deck, here.items))


def _figures(made: Progress) -> str:
    """How much is known, in a sentence."""
    whole = made.whole
    known = f"{whole.tried} of {whole.cells} cells asked, {whole.asked} answers"
    return f"{known}; recall expected now {round(100 * whole.recall)} %."
