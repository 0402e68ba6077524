"""A take of a run: recorded with a count-in, heard, told; kept only where the player says so.

The microphone is open while a take is recorded, and the screen says so; leaving closes it.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from textual import work

from drill.errors import DrillError, TakenError
from drill.files import file_name, write_whole
from drill.practice.recording import TEMPO, Recording, RecordingStage, bars_of, wav_of
from drill.practice.time.echoes import OpenMicrophone
from drill.sound.capture import Samples
from drill.sound.metronome import step_tempo
from drill.tui.actions import Place
from drill.tui.formed.files import Wanted, file_list
from drill.tui.formed.saving import taken_list
from drill.tui.outside import Recorded
from drill.tui.sheet import Acts, Sheet
from drill.tui.taketempi import keep_take, next_take
from drill.tui.text import Lines
from drill.tui.views.take import TakeView, first_marked, take_lines
from drill.tui.ways import Program, ToTake
from drill.wording.taking import (
    BREAK_OFF,
    BROKEN_OFF,
    END_IT,
    MORE,
    NO_MICROPHONE,
    ONCE_MORE,
    RESULT_KEPT,
    STAFF,
    TEMPI_KEPT,
    TEMPI_NOT_KEPT,
    WAV,
    WORDS,
    kept_told,
)

_TICK_S = 1 / 20
_SLOWEST, _FASTEST = 20, 400
"""Of a take, in beats a minute."""
_STILL = ("turn", "left", "right", "slower", "faster", "tempi", "clicks", "keep", "result")
"""What does nothing while a take is recorded or heard."""


class TakeScreen(Sheet):
    """One run, take after take."""

    PLACE = Place.TAKE

    def __init__(self, program: Program, wanted: ToTake) -> None:
        super().__init__(program)
        self.deck, self.run_played = wanted.deck, wanted.run
        self._view: TakeView = TakeView(wanted.run, float(wanted.deck.tempo or TEMPO))
        self._taking: Recording | None = None
        self._samples: Samples | None = None
        self._wanted: object | None = None
        """The take asked for, a new one each time: the microphone takes a moment to open."""
        self.handed_in = False
        """Whether the take on the screen was kept for the hand-in."""

    def on_mount(self) -> None:
        self.studio.wake_player()
        self._watch = self.set_interval(_TICK_S, self._tick, pause=True)

    @work(exclusive=True, exit_on_error=False)
    async def record(self, opened: Callable[[], OpenMicrophone]) -> None:
        """Open the microphone, which may take a moment, and begin."""
        studio, view, mine = self.studio, self._view, self._wanted

        def job() -> OpenMicrophone | None:
            microphone = opened()
            if self._wanted is mine:
                return microphone
            microphone.close()  # the player has left meanwhile, or asked anew
            return None

        try:
            microphone = await asyncio.to_thread(job)
        except DrillError:
            if self._wanted is mine:
                self._stop()
            raise
        errands = studio.context.errands
        if microphone is None or studio.player is None or errands is None:
            return
        if self._wanted is not mine:
            microphone.close()
            return
        bars = (
            bars_of(sum(len(cell.notes) for cell in self.run_played.cells), 2) if view.clicks else 0
        )
        self._taking = Recording(
            microphone, studio.player, studio.context.monotonic, view.tempo, bars=bars,
            volume=studio.wishes.volume, held=errands.held,
        )  # fmt: skip
        self._watch.resume()
        self._tick()

    def _tick(self) -> None:
        """Take in what came, and hear it once it is over."""
        taking = self._taking
        if taking is None:
            return
        try:
            over = taking.tick()
        except DrillError as fault:
            self._stop()
            self.say(str(fault))
            return
        self.show(stage=taking.stage, beat=taking.beat, seconds=taking.seconds, level=taking.level)
        if over:
            self._end()

    def _end(self) -> None:
        """The take is over: the microphone is closed, and what it gave is heard."""
        taking = self._taking
        self._stop()
        if taking is None:
            return
        try:
            self._samples = taking.samples()
        except DrillError as fault:
            self.say(str(fault))
            return
        self.show(hearing=True)
        self.hear(self._samples, taking.first_beat_s)

    @work(exclusive=True, exit_on_error=False)
    async def hear(self, samples: Samples, first_beat_s: float | None) -> None:
        """Hear the take note by note, off the loop."""
        errands, view = self.studio.context.errands, self._view
        assert errands is not None  # whoever came here has looked
        deck, run = self.deck, self.run_played
        take = Recorded(deck, run, view.tempo, samples, first_beat_s, view.logged)

        def job() -> TakeView:
            taken = errands.hear(take)
            return replace(view, hearing=False, taken=taken, cell=first_marked(taken))

        heard = await self.studio.lookout.do(job)
        try:
            self._view = await _kept_tempo(self, heard) if view.logged else heard
        except DrillError:
            self._view = heard  # what was heard stays where its tempo cannot be kept
            raise
        self.redraw()

    def _stop(self) -> bool:
        """Let the microphone go; whether it was open or opening."""
        taking, self._taking = self._taking, None
        wanted, self._wanted = self._wanted is not None, None
        self._watch.pause()
        if taking is not None:
            taking.close()
        self.show(stage=None)
        return wanted

    def on_screen_suspend(self) -> None:
        if self._stop():
            self.say(BROKEN_OFF)

    def say(self, notice: str) -> None:
        self.show(notice=notice, hearing=False)

    def lines(self, width: int, height: int) -> Lines:
        return take_lines(self._view, self.studio.words, width, height)

    def words_instead(self) -> dict[str, str]:
        gone = {"result": ""} if self.handed_in else {}
        return _words(self._view) | gone

    def acts(self) -> Acts:
        doing: Acts = {"record": self._record, "back": self._back}
        if self._wanted is not None or self._view.hearing:
            return {**super().acts(), **doing, **dict.fromkeys(_STILL, lambda: None)}
        view = self._view
        return {
            **super().acts(),
            **doing,
            "turn": lambda: self.show(staff=not view.staff),
            "left": lambda: self.show(**_moved(view, -1)),
            "right": lambda: self.show(**_moved(view, 1)),
            "slower": lambda: self.show(tempo=_stepped(view, -1)),
            "faster": lambda: self.show(tempo=_stepped(view, 1)),
            "tempi": lambda: _toggle_tempi(self, view),
            "clicks": lambda: self.show(clicks=view.clicks != (view.taken is None)),
            "keep": lambda: _keep(self, view, self._samples),
            "result": lambda: _keep_result(self, view),
        }

    def _record(self) -> None:
        """Begin a take, or end the one that is played."""
        opened = self.studio.context.microphone
        if self._taking is not None and self._taking.stage is RecordingStage.PLAYING:
            self._end()
        elif opened is None:
            self.say(NO_MICROPHONE)
        elif self._wanted is None and not self._view.hearing:
            self._wanted, self._samples, self.handed_in = object(), None, False
            self.show(stage=RecordingStage.WAITING, taken=None, notice="")
            self.record(opened)

    def _back(self) -> None:
        if self._view.hearing:
            self.workers.cancel_node(self)
        if self._stop() or self._view.hearing:
            self.say(BROKEN_OFF)
        else:
            self.program.back()


_TEMPO = ("slower.take", "faster.take", "tempi")
_OTHERS = ("turn", "left.take", "right.take", "clicks.take", "keep.take", "result")


def _words(view: TakeView) -> dict[str, str]:
    """Other words for the keys, as the take stands."""
    if view.open or view.hearing:
        hidden = dict.fromkeys((*_OTHERS, *_TEMPO), "")
        record = END_IT if view.stage is RecordingStage.PLAYING else ""
        return {**hidden, "record.take": record, "back.take": BREAK_OFF}
    if view.taken is None:
        unsaid = dict.fromkeys(_TEMPO[:2], "")  # the arrows beside them do the same
        return {**unsaid, "turn": "", "keep.take": "", "result": ""}
    return {
        "record.take": ONCE_MORE,
        "turn": WORDS if view.staff else STAFF,
        "left.take": "",
        "right.take": MORE,
        "clicks.take": "",
    }


def _moved(view: TakeView, by: int) -> dict[str, object]:
    """What an arrow changes: the tempo before a take, the cells in view after it."""
    if view.taken is None:
        return {"tempo": _stepped(view, by)}
    return {"cell": max(0, min(view.cells - 1, view.cell + by)), "staff": True}


def _stepped(view: TakeView, by: int) -> float:
    """The tempo of the next take, a step of the metronome on."""
    return float(min(_FASTEST, max(_SLOWEST, step_tempo(round(view.tempo), by))))


def _toggle_tempi(screen: TakeScreen, view: TakeView) -> None:
    """Keep tempi from now on, or no longer."""
    if view.logged:
        screen.show(logged=False, notice=TEMPI_NOT_KEPT)
    else:
        screen.run_worker(_keep_tempi(screen), exclusive=True, exit_on_error=False)


async def _keep_tempi(screen: TakeScreen) -> None:
    """Keep the tempi of takes from now on, and take the one that is next."""
    studio, deck, run = screen.studio, screen.deck, screen.run_played
    tempo = await studio.backroom.do(lambda: next_take(studio, deck, run))
    screen.show(logged=True, tempo=tempo, notice=TEMPI_KEPT)


async def _kept_tempo(screen: TakeScreen, view: TakeView) -> TakeView:
    """The take with what was kept of its tempo, and the tempo that is next."""
    assert view.taken is not None  # it was just heard
    taken, deck, run, studio = view.taken, screen.deck, screen.run_played, screen.studio

    def job() -> tuple[tuple[str, ...], float]:
        return keep_take(studio, deck, run, taken, view.tempo), next_take(studio, deck, run)

    told, tempo = await studio.backroom.do(job)
    return replace(view, taken=replace(taken, told=(*taken.told, *told)), tempo=tempo)


def _keep_result(screen: TakeScreen, view: TakeView) -> None:
    """Keep the words for the hand-in of the deck, once for each take."""
    errands = screen.studio.context.errands
    if view.taken is None or errands is None or screen.handed_in:
        return
    try:
        errands.keep_result(screen.deck, view.taken)
    except DrillError as error:
        screen.say(str(error))
    else:
        screen.handed_in = True
        screen.say(RESULT_KEPT)


def _keep(screen: TakeScreen, view: TakeView, samples: Samples | None) -> None:
    """Ask for a name, and write the take there; another file is not written over unasked."""
    if samples is None or view.taken is None:
        return
    program, wanted = screen.program, Wanted(WAV, (".wav",), new=True)
    name = f"{file_name(view.taken.line.title) or 'take'}.wav"

    def write(path: Path, *, over: bool = False) -> str:
        try:
            write_whole(path, wav_of(samples), replace=over, private=True)
        except TakenError:
            program.go(
                taken_list(program, path, lambda: done(path, over=True), again), instead=True
            )
            return ""
        except DrillError as error:
            return str(error)
        program.back()
        screen.say(kept_told(str(path)))
        return ""

    def done(path: Path, *, over: bool = False) -> None:
        if said := write(path, over=over):
            program.back()
            screen.say(said)

    def again() -> None:
        program.go(file_list(program, wanted, Path.cwd(), write, name), instead=True)

    program.go(file_list(program, wanted, Path.cwd(), write, name))
