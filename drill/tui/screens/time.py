"""In time: the click sounds, letters are typed on the beat, and the time is told.

The beat that is shown comes from the audio clock and never drives anything; keys are
stamped where they are read.  Nothing is judged before the bout is over.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from textual import work

from drill.errors import DrillError
from drill.practice.course import carried
from drill.practice.room import Room
from drill.practice.time import course
from drill.practice.time.bout import Setting
from drill.practice.time.course import (
    Offer,
    Timed,
    TimeDesk,
    TimeEffect,
    TimePlan,
    TimeState,
    TimeStep,
    Unheard,
    again,
    another,
    at_tempo,
    begin,
    played,
    time_desk,
)
from drill.practice.time.strokes import Gatherer, Stroke, Sung
from drill.practice.time.timing import terminal_jitter
from drill.sound.player import Playing
from drill.theory.language import Language
from drill.tui.actions import Place
from drill.tui.screens.base import Sheet, bindings
from drill.tui.text import Lines
from drill.tui.views.time import FLASH_LIMIT, InTime, Phase, in_time
from drill.tui.widgets.page import Page
from drill.tui.widgets.strokes import TAKE_BACK, StrokePage
from drill.tui.words import Words

_TICK_S = 1 / 30
"""How often the beat is looked up while it sounds: the take itself keeps the time."""
_POLL_S = 0.5
_START_S = 8.0
"""How long the output may take to begin."""
_REPEAT_S = 0.2
"""Keys of a held space bar come closer together than this; the first comes later."""
_FIRST_REPEAT_S = 1.2
_MOST_STAMPS = 40


class TimeScreen(Sheet):
    """One practice in time with a deck."""

    PLACE = Place.TIME
    BINDINGS = bindings(Place.TIME)

    def __init__(self, deck: Path) -> None:
        super().__init__()
        self._deck = deck
        self._room: Room | None = None
        self._desk: TimeDesk | None = None
        self._course = TimeState()
        self._setting = Setting()
        self._view = InTime(title=deck.stem)
        self._playing: Playing | None = None
        self._asked_at = 0.0
        self._gatherer: Gatherer | None = None
        self._stamps: list[float] = []

    def make_page(self) -> Page:
        return StrokePage(self.set_page, self._struck, self.studio.context.monotonic)

    @property
    def _strokes(self) -> StrokePage:
        return self.query_one(StrokePage)

    def on_mount(self) -> None:
        self._strokes.repeating = self._held_key
        self.set_interval(_POLL_S, self._listen)
        self._beating = self.set_interval(_TICK_S, self._tick, pause=True)
        self.call_after_refresh(self.open_deck)

    @work(exclusive=True, exit_on_error=False)
    async def open_deck(self) -> None:
        """Spell the deck and read the tempi from the log."""
        studio, context = self.studio, self.studio.context
        studio.wake_player()
        self._setting = Setting(volume=context.volume, a4=context.a4)

        def job() -> tuple[Room, TimeDesk, TimeStep]:
            seats = studio.open_seats()
            deck, now = seats.deck(self._deck), context.utc_now()
            seats.room.catch_up()
            options = context.plan(deck, now).options
            plan = TimePlan(setting=self._setting, options=options)
            syllabus = seats.syllabus(deck)
            desk = time_desk(seats.room, syllabus, plan, context.seed, context.new_id)
            return seats.room, desk, begin(desk, now)

        room, desk, step = await studio.backroom.do(job)
        self._room, self._desk, deck = room, desk, desk.syllabus.deck
        self._view = replace(
            self._view, title=deck.title, goal=deck.goal.tempo, phase=Phase.WAITING
        )
        self.say(room.clock(context.utc_now()))
        self._take(step)

    def failed(self, error: DrillError) -> None:
        self.say(str(error))

    # The course.

    def _take(self, step: TimeStep) -> None:
        if self._room is None or self._desk is None:
            return
        now = self.studio.context.utc_now()
        try:
            self._course, effects = carried(course, self._room, self._desk, step, now)
        except DrillError as error:  # not kept, so not counted: the bout stands
            self.say(str(error))
            return
        self._show(effects)
        self.redraw()

    def _show(self, effects: tuple[TimeEffect, ...]) -> None:
        for effect in effects:
            match effect:
                case Timed(result, _):
                    self._view = replace(
                        self._view,
                        last=effect,
                        bouts=self._view.bouts + 1,
                        locked_in=self._view.locked_in + result.passed,
                    )
                case Unheard():
                    self._view = replace(
                        self._view, notice="nothing was typed that is a note: nothing was marked"
                    )
                case Offer():
                    self._view = replace(self._view, offer=effect)
                case _:
                    pass

    def action_play(self) -> None:
        """Start the click; while it sounds, keys are notes."""
        bout = self._course.bout
        if self._view.phase is not Phase.WAITING or bout is None:
            return
        language = self._desk.marker.language if self._desk else None
        assert language is not None
        self._gatherer = Gatherer(language, bout.interval_s, bout.letters)
        self._playing = None
        self._asked_at = self.studio.context.monotonic()
        player = self.studio.player
        sounds = player is not None and player.play(bout.take, stale_s=0)
        notice = ""
        if not sounds:
            self._playing = Playing(bout.take, self._asked_at)
            if bout.bpm > FLASH_LIMIT:
                notice = f"sound is off: above {FLASH_LIMIT} a beat that is only seen is too fast"
        self._view = replace(
            self._view, phase=Phase.STARTING, seconds=None, notes=(), notice=notice
        )
        self._strokes.open = True
        self._beating.resume()
        self.redraw()

    def _tick(self) -> None:
        """Show where the audio clock is; judge when the bout is over."""
        bout = self._course.bout
        if bout is None:
            return
        now = self.studio.context.monotonic()
        player = self.studio.player
        heard = player.playing() if player is not None else None
        if heard is not None and heard.take is bout.take:
            self._playing = heard  # measured anew while it plays
        if self._playing is None:
            if now - self._asked_at > _START_S:
                self._stop("the click did not sound: try again, or turn the sound off")
            return
        seconds = self._playing.seconds(now)
        self._view = replace(self._view, phase=Phase.PLAYING, seconds=seconds, notes=self._notes())
        if seconds >= bout.over_s:
            self._judge(self._playing)
            return
        self.redraw()

    def _notes(self) -> tuple[Sung, ...]:
        """What was typed, in seconds of the take."""
        if self._gatherer is None or self._playing is None:
            return ()
        at = self._playing.at
        return tuple(Sung(note.text, note.at - at) for note in self._gatherer.notes)

    def _struck(self, stroke: Stroke) -> None:
        """A key while the bout is played."""
        if self._gatherer is None:
            return
        if stroke.text == TAKE_BACK:
            self._gatherer.take_back()
        else:
            self._gatherer.take(stroke)
        self._view = replace(self._view, notes=self._notes())
        self.redraw()

    def _judge(self, playing: Playing) -> None:
        gatherer, desk = self._gatherer, self._desk
        self._end_bout()
        if gatherer is None or desk is None:
            return
        player = self.studio.player
        self._take(
            played(
                desk,
                self._course,
                gatherer.notes,
                playing.at,
                self.studio.context.utc_now(),
                jitter_s=self._view.jitter_s,
                sound=player is not None and not player.muted,
            )
        )

    def _stop(self, notice: str = "") -> None:
        """Break a bout off: it leaves no trace."""
        if self.studio.player is not None:
            self.studio.player.stop()
        self._end_bout()
        self._view = replace(self._view, notice=notice)
        self.redraw()

    def _end_bout(self) -> None:
        self._beating.pause()
        self._strokes.open = False
        self._gatherer = None
        self._view = replace(self._view, phase=Phase.WAITING, seconds=None, notes=(), notice="")

    def action_onward(self) -> None:
        if self._desk is not None and self._view.phase is Phase.WAITING:
            self._view = replace(self._view, last=None, notice="")
            self._take(another(self._desk, self._course, self.studio.context.utc_now()))

    def action_faster(self) -> None:
        self._retime(1)

    def action_slower(self) -> None:
        self._retime(-1)

    def _retime(self, steps: int) -> None:
        if self._desk is not None and self._view.phase is Phase.WAITING:
            now = self.studio.context.utc_now()
            self._take(at_tempo(self._desk, self._course, steps, now))

    def action_letters(self) -> None:
        """Ask for letters alone, or with their accidentals."""
        self._reset(replace(self._setting, letters=not self._setting.letters))

    def action_eighths(self) -> None:
        """A note a beat, or two."""
        pair = None if self._setting.notes_per_beat else 2
        self._reset(replace(self._setting, notes_per_beat=pair))

    def _reset(self, setting: Setting) -> None:
        desk = self._desk
        if desk is None or self._view.phase is not Phase.WAITING:
            return
        self._setting = setting
        self._desk = replace(desk, plan=replace(desk.plan, setting=setting))
        self._take(again(self._desk, self._course, self.studio.context.utc_now()))

    def action_hear(self) -> None:
        bout, player = self._course.bout, self.studio.player
        if bout is None or self._view.phase is not Phase.WAITING:
            return
        if player is None or not player.play(bout.music, stale_s=0):
            self.say("sound is off")

    def action_back(self) -> None:
        if self._view.phase in (Phase.STARTING, Phase.PLAYING):
            self._stop("broken off: nothing was marked")
            return
        if self.studio.player is not None:
            self.studio.player.stop()
        self.workers.cancel_node(self)
        self.trainer.back()

    def on_screen_suspend(self) -> None:
        if self._view.phase in (Phase.STARTING, Phase.PLAYING):
            self._stop("broken off: nothing was marked")

    # The terminal's own jitter.

    def _held_key(self, at: float) -> None:
        """A space while no bout is played: many of them, evenly, are a key that is held."""
        first = len(self._stamps) == 1
        if self._stamps and at - self._stamps[-1] > (_FIRST_REPEAT_S if first else _REPEAT_S):
            self._stamps.clear()
        self._stamps.append(at)
        del self._stamps[1:-_MOST_STAMPS]
        found = terminal_jitter(self._stamps)
        if found is not None:
            self._view = replace(self._view, jitter_s=found, measured=True)
            self.say(f"keys and terminal add about {found * 1000:.0f} ms")

    # What every screen has.

    def action_mute(self) -> None:
        if self._view.phase in (Phase.STARTING, Phase.PLAYING):
            self._stop("broken off: nothing was marked")
        super().action_mute()

    def lines(self, width: int, height: int) -> Lines:
        language = self._desk.marker.language if self._desk else None
        words = Words(language, self.glyphs) if language else Words(Language.ENGLISH, self.glyphs)
        return in_time(replace(self._view, muted=self.studio.muted), words, width, height)

    def words_instead(self) -> dict[str, str]:
        playing = self._view.phase in (Phase.STARTING, Phase.PLAYING)
        if playing:
            hidden = ("play", "onward", "faster", "slower", "hear.time", "letters", "eighths")
            return dict.fromkeys(hidden, "") | {"mute": "", "back.time": "break off"}
        return {
            "mute": "sound on" if self.studio.muted else "mute",
            "play": "again" if self._view.last else "play",
            "letters": "accidentals" if self._setting.letters else "letters",
            "eighths": "beats" if self._setting.notes_per_beat else "eighths",
        }

    def _listen(self) -> None:
        player = self.studio.player
        notice = player.poll() if player is not None and self.is_current else None
        if notice and self._view.phase is Phase.STARTING:
            self._stop(notice)
        elif notice:
            self.say(notice)

    def say(self, notice: str) -> None:
        self._view = replace(self._view, notice=notice)
        self.redraw()
