"""In time: the click sounds, letters are typed on the beat, and the time is told.

Nothing is judged before the bout is over; see ``rehearsal``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from textual import work

from drill.decks.schema import Deck
from drill.practice.looking import advice_for
from drill.practice.time.course import begin, time_desk, time_plan
from drill.practice.time.strokes import Stroke
from drill.tui.actions import Place
from drill.tui.rehearsal import HeldKey, Rehearsal, next_click
from drill.tui.sheet import POLL_S, Acts, Sheet, news
from drill.tui.text import Lines
from drill.tui.views.time import InTime, in_time
from drill.tui.ways import Program
from drill.tui.widgets.page import Page
from drill.tui.widgets.strokes import StrokePage
from drill.wording.ahead import advice_words
from drill.wording.screens import BREAK_OFF
from drill.wording.soundwords import mute_label

_TICK_S = 1 / 30
"""How often the beat is looked up while it sounds: the take itself keeps the time."""

_SETTING = {
    "play": "play", "onward": "onward", "faster": "faster", "slower": "slower",
    "hear": "hear.time", "letters": "letters", "eighths": "eighths", "tapped": "tapped",
    "clicks": "clicks", "calibrate": "calibrate",
}  # fmt: skip
"""What can be done between bouts, and the ids of its actions."""


class TimeScreen(Sheet):
    """One practice in time with a deck."""

    PLACE = Place.TIME

    def __init__(self, program: Program, deck: Path | Deck) -> None:
        super().__init__(program)
        self._deck = deck
        self.rehearsal: Rehearsal | None = None
        self._opening = InTime(title=deck.stem if isinstance(deck, Path) else deck.title)
        self._held_key = HeldKey()
        self._ended = False

    def make_page(self) -> Page:
        self._strokes = StrokePage(self.set_page, self._struck, self.studio.context.monotonic)
        self._strokes.repeating = self._repeated
        return self._strokes

    def on_mount(self) -> None:
        self.set_interval(POLL_S, self._listen)
        self._beating = self.set_interval(_TICK_S, self._tick, pause=True)
        self.call_after_refresh(self.open_deck)

    @work(exclusive=True, exit_on_error=False)
    async def open_deck(self) -> None:
        """Spell the deck and read the tempi from the log."""
        studio, context = self.studio, self.studio.context
        studio.wake_player()
        plan_of, setting = studio.plan, context.timing(studio.wishes)

        def job() -> Rehearsal:
            seats, now = studio.open_seats(), context.utc_now()
            deck = seats.opened(self._deck)
            seats.room.catch_up()
            plan = time_plan(plan_of(deck, now), setting, context.tempo)
            syllabus = seats.syllabus(deck)
            desk = time_desk(seats.room, syllabus, plan, context.seed, context.new_id)
            return Rehearsal(seats.room, desk, begin(desk, now), studio)

        self.rehearsal = await studio.backroom.do(job)
        self.redraw()

    def acts(self) -> Acts:
        found = dict(super().acts())
        made = self.rehearsal
        mute = found["mute"]
        back: Acts = {"mute": lambda: (self.on_screen_suspend(), mute()), "back": self._back}
        if made is None:
            verbs = tuple(_SETTING)
            return {**found, **dict.fromkeys(verbs, self.redraw), **back}
        setting = made.setting
        pair = None if setting.notes_per_beat else 2
        letters = replace(setting, letters=not setting.letters)
        eighths = replace(setting, notes_per_beat=pair)
        doing: dict[str, Callable[[], object]] = {
            "onward": made.another,
            "faster": partial(made.retime, 1),
            "slower": partial(made.retime, -1),
            "hear": made.hear,
            "letters": partial(made.reset, letters),
            "eighths": partial(made.reset, eighths),
            "tapped": partial(made.reset, replace(setting, tapped=not setting.tapped)),
            "clicks": partial(made.reset, replace(setting, click=next_click(made.clicks))),
        }
        shown = {
            verb: partial(_one_after_the_other, job, self.redraw) for verb, job in doing.items()
        }
        begin = {"play": made.play, "calibrate": made.calibrate}
        begun = {verb: partial(self._begin, start) for verb, start in begin.items()}
        return {**found, **shown, **back, **begun}

    def _begin(self, start: Callable[[], bool]) -> None:
        if start():
            self._strokes.open = True
            self._beating.resume()
        self.redraw()

    def _tick(self) -> None:
        if self.rehearsal is None or self.rehearsal.tick():
            self._beating.pause()
            self._strokes.open = False
        made = self.rehearsal
        ended = made is not None and made.bout is None
        if made is not None and ended and not self._ended:
            self.run_worker(_look_ahead(made, self), exclusive=True, exit_on_error=False)
        self._ended = ended
        self.redraw()

    def _struck(self, stroke: Stroke) -> None:
        """A key while the bout is played."""
        if self.rehearsal is not None:
            self.rehearsal.strike(stroke)
            self.redraw()

    def _repeated(self, at: float) -> None:
        """The space bar while no bout is played."""
        jitter = self._held_key.stroke(at)
        if jitter is not None and self.rehearsal is not None:
            self.rehearsal.measured(jitter)
            self.redraw()

    def on_screen_suspend(self) -> bool:
        """Break off what is played; whether anything was."""
        playing = self.rehearsal is not None and self.rehearsal.busy
        if self.rehearsal is not None:
            self.rehearsal.stop()
        self._tick()
        return playing

    def _back(self) -> None:
        if self.on_screen_suspend():
            self.redraw()
            return
        self.workers.cancel_node(self)
        self.program.back()

    def lines(self, width: int, height: int) -> Lines:
        view = self.rehearsal.view() if self.rehearsal else self._opening
        return in_time(view, self.studio.words, width, height)

    def words_instead(self) -> dict[str, str]:
        made = self.rehearsal
        if made is None:
            return {}
        if made.busy:
            return dict.fromkeys(_SETTING.values(), "") | {"mute": "", "back.time": BREAK_OFF}
        return {
            "mute": mute_label(self.studio.muted),
            "play": "again" if made.view().last else "play",
            "letters": "accidentals" if made.setting.letters else "letters",
            "eighths": "beats" if made.setting.notes_per_beat else "eighths",
            "tapped": "names" if made.setting.tapped else "tap",
        }

    def _listen(self) -> None:
        notice = news(self)
        if notice and self.rehearsal is not None and self.rehearsal.view().seconds is None:
            self.rehearsal.stop(notice)
        if notice:
            self.say(notice)

    def say(self, notice: str) -> None:
        if self.rehearsal is None:
            self._opening = replace(self._opening, notice=notice)
        else:
            self.rehearsal.say(notice)
        self.redraw()


def _one_after_the_other(first: Callable[[], object], then: Callable[[], object]) -> None:
    first()
    then()


async def _look_ahead(made: Rehearsal, screen: TimeScreen) -> None:
    """Say at the end whether it is enough for today; it takes too long for the loop."""
    desk, studio = made.desk, screen.studio
    now = studio.context.utc_now()
    known = (desk.memory.branch(), desk.pool, desk.syllabus.deck, desk.plan, now, desk.zone)
    told = advice_words(await studio.lookout.do(lambda: advice_for(*known)))
    if told and made.bout is None:
        screen.say(". ".join(filter(None, (made.view().notice, told))))
