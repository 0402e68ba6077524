"""The end of a practice."""

from __future__ import annotations

from datetime import date

from textual import work

from drill.memory.items import practice_day
from drill.memory.levels import level
from drill.memory.outlook import outlook
from drill.practice.looking import advice_for, forecast_for, goal_of
from drill.practice.syllabus import Entry
from drill.tui.actions import Place
from drill.tui.digest import Tried
from drill.tui.practices import Over
from drill.tui.sheet import Acts, Sheet
from drill.tui.text import Lines
from drill.tui.views.summary import Missed, SummaryView, summary
from drill.tui.ways import Program, ToMap, ToTime, ToTrips
from drill.tui.words import Words
from drill.wording.ahead import advice_words, forecast_words
from drill.wording.asking import label
from drill.wording.known import back_told, cell_in, missed_of, note_in
from drill.wording.sentence import written
from drill.wording.soundwords import mute_label

_MOST = 12
"""Missed cells that are looked up."""


class SummaryScreen(Sheet):
    """What a practice came to."""

    PLACE = Place.SUMMARY

    def __init__(self, program: Program, over: Over) -> None:
        super().__init__(program)
        self._over = over
        self._seat, self._course, self._told = over.seat, over.state, over.summary
        self._view: SummaryView | None = None
        self._coming: dict[str, int] = {}

    def on_mount(self) -> None:
        self.call_after_refresh(self.look_back_and_ahead)

    @work(exclusive=True, exit_on_error=False)
    async def look_back_and_ahead(self) -> None:
        """Show what it came to; looking ahead in a large deck takes too long for the loop."""
        now = self.studio.context.utc_now()
        began = self._course.began or now
        words = self.studio.words
        missed = dict.fromkeys(row.item for row in self._course.answers if not row.right)
        open_ones = set(self._told.missed)
        desk, deck = self._seat.desk, self._seat.desk.syllabus.deck
        known = (desk.memory, desk.pool, deck, desk.plan, now, desk.zone)
        do = self.studio.backroom.do
        self._coming = await do(
            lambda: outlook(desk.memory, desk.pool, missed, now, desk.plan.options)
        )
        some = bool(self._seat.wanted.only)  # a few cells say nothing of the day or of the deck
        advice = "" if some else advice_words(await do(lambda: advice_for(*known)))
        cells = tuple(
            self._missed(self._seat.desk.syllabus.entries[item], words, item not in open_ones)
            for item in list(missed)[:_MOST]
            if item in self._seat.desk.syllabus.entries
        )
        minutes = max(1, round((now - began).total_seconds() / 60))
        self._view = SummaryView(
            deck.title,
            self._told,
            minutes,
            cells,
            tuple(_tried(each, words) for each in self._over.digest.missed(notes=False)),
            tuple(_tried(each, words) for each in self._over.digest.missed(notes=True)),
            self._over.digest.moved(lambda item: level(desk.memory, item, now, goal_of(deck))),
            advice,
        )
        self.redraw()
        if some:
            return
        branch = await do(desk.memory.branch)
        ahead = await self.studio.lookout.do(lambda: forecast_for(branch, *known[1:]))
        today = date.fromisoformat(practice_day(now, desk.zone))
        self.show(forecast=forecast_words(ahead, today))

    def _missed(self, entry: Entry, words: Words, made_good: bool) -> Missed:
        cell = entry.cell
        key, shape, way = entry.run.key, cell.shape, cell.direction.value
        name = words.said(cell_in(key, shape, label(entry.run.pattern, cell), way))
        notes = "" if entry.back else words.names(cell.notes, key)
        plan = self._seat.desk.plan
        following = None if plan.walk else plan.prompts  # a walk's length is its own
        back = back_told(self._coming.get(entry.item.id), following)
        return Missed(name, notes, back, made_good)

    def lines(self, width: int, height: int) -> Lines:
        return summary(self._view, self.glyphs, width, height) if self._view else ()

    def words_instead(self) -> dict[str, str]:
        return {"mute": mute_label(self.studio.muted)}

    def acts(self) -> Acts:
        seat = self._seat
        return {
            **super().acts(),
            "begin": lambda: self.program.go(seat.wanted, instead=True),
            "time": lambda: self.program.go(ToTime(seat.deck), instead=True),
            "map": lambda: self.program.go(ToMap(seat.deck)),
            "trips": lambda: self.program.go(ToTrips(seat.deck)),
        }


def _tried(tried: Tried, words: Words) -> str:
    """A key or a note with how often it was missed."""
    what = note_in(tried.note, tried.key) if tried.note else written(tried.key)
    return words.said(missed_of(what, tried.missed, tried.asked))
