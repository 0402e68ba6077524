"""A practice in time at the screens: its course, and the bout that is being played.

Knows nothing of Textual.  The beat that is shown comes from the audio clock and never drives
anything; keys are stamped where they are read.
"""

from __future__ import annotations

from dataclasses import replace

from drill.errors import DrillError
from drill.practice.course import carried
from drill.practice.room import Room
from drill.practice.time import course
from drill.practice.time.bout import Bout, Setting
from drill.practice.time.course import (
    Offer,
    Stumbled,
    Timed,
    TimeDesk,
    TimeEffect,
    TimeEnd,
    TimeState,
    TimeStep,
    Unheard,
)
from drill.practice.time.strokes import Gatherer, Stroke, Sung
from drill.practice.time.tapping import TAPS, asked, kept, tapping_take
from drill.practice.time.timing import terminal_jitter
from drill.sound.latency import LatencySource
from drill.sound.sounding import Playing
from drill.theory.language import Language
from drill.tui.draft import TAKE_BACK
from drill.tui.studio import Studio
from drill.tui.views.time import FLASH_LIMIT, InTime, Phase
from drill.wording.bouts import (
    BROKEN_OFF,
    NO_CLICK,
    NO_NOTE,
    SOUND_LOST,
    jitter_told,
    practice_over,
    stumbled_told,
    too_fast_told,
)
from drill.wording.soundwords import SOUND_OFF
from drill.wording.why import NOTHING_NEW

_START_S = 8.0
"""How long the output may take to begin."""
_REPEAT_S = 0.2
"""Keys of a held space bar come closer together than this; the first comes later."""
_FIRST_REPEAT_S = 1.2
_MOST_STAMPS = 40


class Beat:
    """One bout while it sounds, or is only seen."""

    def __init__(self, bout: Bout, language: Language, studio: Studio) -> None:
        self.bout = bout
        self._gatherer = Gatherer(language, bout.interval_s, bout.letters, bout.tapped)
        self._studio = studio
        self._asked_at = studio.context.monotonic()
        player = studio.player
        self.heard = player is not None and player.play(bout.take, stale_s=0)
        seen = Playing(bout.take, self._asked_at, LatencySource.CALIBRATED)
        self.playing = None if self.heard else seen
        """When it began; None until the output has."""

    @property
    def late(self) -> bool:
        """Whether the output should have begun long ago."""
        waited = self._studio.context.monotonic() - self._asked_at
        return self.playing is None and waited > _START_S

    def seconds(self) -> float | None:
        """How far into the take we are, measured anew; None until it has begun."""
        player = self._studio.player
        heard = player.playing() if player is not None else None
        if heard is not None and heard.take is self.bout.take:
            self.playing = heard
        if self.playing is None:
            return None
        return self.playing.seconds(self._studio.context.monotonic())

    def strike(self, stroke: Stroke) -> None:
        """A key while it is played."""
        if stroke.text == TAKE_BACK:
            self._gatherer.take_back()
        else:
            self._gatherer.take(stroke)

    @property
    def raw(self) -> tuple[Sung, ...]:
        """What was typed, on the clock that stamped it."""
        return tuple(self._gatherer.notes)

    @property
    def notes(self) -> tuple[Sung, ...]:
        """The same in seconds of the take."""
        if self.playing is None:
            return ()
        return tuple(Sung(note.text, note.at - self.playing.at) for note in self.raw)


class Tapping:
    """A click to tap along with, and the taps."""

    def __init__(self, studio: Studio) -> None:
        self.taps: list[float] = []
        self._studio = studio
        self._asked_at = studio.context.monotonic()
        self._take = tapping_take(studio.wishes.volume)
        self._playing: Playing | None = None
        player = studio.player
        self.heard = player is not None and player.play(self._take, stale_s=0)

    @property
    def asked(self) -> str:
        """What the player is to do, and how often it was done."""
        return f"{asked()}: {len(self.taps)}"

    def tap(self, at: float) -> None:
        """A key at an instant."""
        self.taps.append(at)

    def close(self) -> None:
        """Be silent."""
        if self._studio.player is not None:
            self._studio.player.stop()

    def over(self) -> bool:
        """Whether there are enough taps, the click is over, or it never came."""
        player = self._studio.player
        playing = player.playing() if player is not None else None
        if playing is not None and playing.take.clicks == self._take.clicks:
            self._playing = playing
        late = self._studio.context.monotonic() - self._asked_at > _START_S
        ended = late if self._playing is None else playing is None
        return ended or len(self.taps) >= TAPS

    def told(self) -> str:
        """What the taps told, kept where they are steady."""
        player = self._studio.player
        if player is None or self._playing is None:
            return NO_CLICK
        player.stop()
        return kept(player, self.taps, self._playing)[0]


CLICKS = ("all", "2-and-4", "gaps:2:2", "growing:2")
"""The clicks that the screens go through."""


def next_click(click: str) -> str:
    """The one after it."""
    at = CLICKS.index(click) + 1 if click in CLICKS else 0
    return CLICKS[at % len(CLICKS)]


class Told:
    """What the player is told of a practice in time: the view without what is being played."""

    def __init__(self, view: InTime, onward_by: str) -> None:
        """``onward_by`` is the key that goes on."""
        self._view, self._onward_by = view, onward_by

    def say(self, notice: str) -> None:
        """A sentence to show."""
        self._view = replace(self._view, notice=notice)

    def measured(self, jitter_s: float) -> None:
        """What keys and terminal add was measured anew."""
        self._view = replace(self._view, jitter_s=jitter_s, measured=True)
        self.say(jitter_told(jitter_s))

    def show(self, effect: TimeEffect) -> None:
        """What the course has to say."""
        match effect:
            case Timed(result, _):
                bouts, locked = self._view.bouts + 1, self._view.locked_in + result.passed
                self._view = replace(self._view, last=effect, bouts=bouts, locked_in=locked)
            case Unheard():
                self.say(NO_NOTE)
            case Stumbled(by_s):
                self.say(stumbled_told(by_s))
            case Offer():
                self._view = replace(self._view, offer=effect)
            case TimeEnd(bouts, locked, _):
                told = practice_over(locked, bouts, self._onward_by)
                self.say(told if bouts else NOTHING_NEW)
            case _:
                pass


class Rehearsal(Told):
    """The course of one practice in time: its state, held here and nowhere else."""

    def __init__(self, room: Room, desk: TimeDesk, step: TimeStep, studio: Studio) -> None:
        self.desk = desk
        self._room, self._studio = room, studio
        self._state = TimeState()
        self.beat: Beat | None = None
        """The bout being played; None between bouts."""
        self._tapping: Tapping | None = None
        deck = desk.syllabus.deck
        view = InTime(title=deck.title, goal=deck.goal.tempo, phase=Phase.WAITING)
        super().__init__(view, studio.key("onward"))
        self.say(room.clock(studio.context.utc_now()))
        self._take(step)

    @property
    def bout(self) -> Bout | None:
        """The bout that is ready or being played; None after the end."""
        return self._state.bout

    @property
    def busy(self) -> bool:
        """Whether a bout is played, or a click to tap along with: nothing else begins then."""
        return self.beat is not None or self._tapping is not None

    @property
    def setting(self) -> Setting:
        """How bouts are set."""
        return self.desk.plan.setting

    def play(self) -> bool:
        """Start the click; False where there is no bout to play or something is being played."""
        bout = self._state.bout
        if self.busy or bout is None:
            return False
        self.beat = Beat(bout, self.desk.marker.language, self._studio)
        too_fast = not self.beat.heard and bout.bpm > FLASH_LIMIT
        self.say(too_fast_told(FLASH_LIMIT) if too_fast else "")
        return True

    @property
    def clicks(self) -> str:
        """Which beats click now."""
        bout = self._state.bout
        return bout.click if bout is not None else self.setting.click or CLICKS[0]

    def calibrate(self) -> bool:
        """Start a click to tap along with; False where something is being played."""
        if self.busy:
            return False
        tapping = Tapping(self._studio)
        if not tapping.heard:
            self.say(SOUND_OFF)
            return False
        self._tapping = tapping
        self.say(asked())
        return True

    def strike(self, stroke: Stroke) -> None:
        """A key while something is played."""
        if self._tapping is not None:
            self._tapping.taps.append(stroke.at)
            self.say(f"{asked()}: {len(self._tapping.taps)}")
        elif self.beat is not None:
            self.beat.strike(stroke)

    def tick(self) -> bool:
        """Look at the audio clock, and judge when the bout is over; True where it is."""
        tapping, beat = self._tapping, self.beat
        if tapping is not None:
            if tapping.over():
                self._tapping = None
                self.say(tapping.told())
            return self._tapping is None
        if beat is None:
            return True
        if beat.late:
            self.stop(NO_CLICK)
            return True
        player = self._studio.player
        if beat.heard and player is not None and player.cut_off(beat.bout.take):
            self.stop(SOUND_LOST)
            return True
        seconds = beat.seconds()
        if seconds is None or beat.playing is None or seconds < beat.bout.over_s:
            return False
        self.beat = None
        self.say("")
        self._take(
            course.played(
                self.desk,
                self._state,
                beat.raw,
                beat.playing.at,
                self._studio.context.utc_now(),
                jitter_s=self._view.jitter_s,
                sound=beat.heard and not self._studio.muted,
                uncertain_s=beat.playing.uncertain_s if beat.heard else 0.0,
                slipped_s=beat.playing.slipped_s,
            )
        )
        return True

    def stop(self, notice: str = BROKEN_OFF) -> None:
        """Break a bout off, it leaves no trace; or silence what sounds."""
        if self._studio.player is not None:
            self._studio.player.stop()
        if self.busy:
            self.beat = self._tapping = None
            self.say(notice)

    def hear(self) -> None:
        """Sound the run at its tempo."""
        player, bout = self._studio.player, self._state.bout
        if (
            not self.busy
            and bout is not None
            and (player is None or not player.play(bout.music, stale_s=0))
        ):
            self.say(SOUND_OFF)

    def another(self) -> None:
        """Another run, as the planner chooses; after the end, another practice."""
        if not self.busy:
            now = self._studio.context.utc_now()
            self._view = replace(self._view, last=None, notice="")
            if self._state.over:  # another practice counts from nought
                self._view = replace(self._view, bouts=0, locked_in=0)
                self._take(course.begin(self.desk, now))
            else:
                self._take(course.another(self.desk, self._state, now))

    def retime(self, steps: int) -> None:
        """So many steps of a metronome's scale faster, slower where negative."""
        if not self.busy:
            now = self._studio.context.utc_now()
            self._take(course.at_tempo(self.desk, self._state, steps, now))

    def reset(self, setting: Setting) -> None:
        """The same run, set another way."""
        if not self.busy:
            self.desk = replace(self.desk, plan=replace(self.desk.plan, setting=setting))
            self._take(course.again(self.desk, self._state, self._studio.context.utc_now()))

    def view(self) -> InTime:
        """What is to be shown now."""
        view, beat = replace(self._view, muted=self._studio.muted), self.beat
        if beat is None:
            return view
        if beat.playing is None:
            return replace(view, phase=Phase.STARTING)
        seconds = beat.playing.seconds(self._studio.context.monotonic())
        return replace(view, phase=Phase.PLAYING, seconds=seconds, notes=beat.notes)

    def _take(self, step: TimeStep) -> None:
        now = self._studio.context.utc_now()
        try:
            self._state, effects = carried(course, self._room, self.desk, step, now)
        except DrillError as error:  # not kept, so not counted: the bout stands
            self.say(str(error))
            return
        for effect in effects:
            self.show(effect)
        if news := self._room.news():
            self.say(news)


class HeldKey:
    """A space bar while no bout is played: many strokes, evenly, are a key that is held, and
    measure what keys and terminal add."""

    def __init__(self) -> None:
        self._stamps: list[float] = []

    def stroke(self, at: float) -> float | None:
        """One more, on the monotonic clock; the jitter in seconds once there are enough."""
        first = len(self._stamps) == 1
        if self._stamps and at - self._stamps[-1] > (_FIRST_REPEAT_S if first else _REPEAT_S):
            self._stamps.clear()
        self._stamps.append(at)
        del self._stamps[1:-_MOST_STAMPS]
        return terminal_jitter(self._stamps)
