"""How late the output sounds: a click, and taps along with it or a microphone that hears it."""

from __future__ import annotations

from functools import partial

from drill.practice.time.strokes import Stroke
from drill.tui.actions import Place
from drill.tui.byear import ByEar
from drill.tui.layout import block
from drill.tui.rehearsal import Tapping
from drill.tui.sheet import Acts, Sheet
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.tui.ways import Program
from drill.tui.widgets.page import Page
from drill.tui.widgets.strokes import StrokePage
from drill.wording.calibrating import BROKEN_OFF, HOW, LATENESS, TITLE, lateness_told
from drill.wording.screens import BREAK_OFF
from drill.wording.soundwords import SOUND_OFF, mute_label
from drill.wording.taking import NO_MICROPHONE

_TICK_S = 1 / 30


class TapScreen(Sheet):
    """One calibration after the other, until one leaves."""

    PLACE = Place.TAPPING

    def __init__(self, program: Program) -> None:
        super().__init__(program)
        self._tapping: Tapping | ByEar | None = None
        self._notice = ""

    def make_page(self) -> Page:
        self._strokes = StrokePage(self.set_page, self._struck, self.studio.context.monotonic)
        return self._strokes

    def on_mount(self) -> None:
        self._beating = self.set_interval(_TICK_S, self._tick, pause=True)
        self.studio.wake_player()

    def lines(self, width: int, height: int) -> Lines:
        player = self.studio.player
        rows: list[Line] = [line(Stretch(f" {TITLE}", Role.TITLE)), BLANK]
        rows += block(HOW, width)
        if player is not None:
            told = f"{LATENESS}: {lateness_told(player.state)}."
            rows += [BLANK, *block(told, width, Role.STRONG)]
        if self._tapping is not None:
            told = self._tapping.asked
            rows += [BLANK, *block(told, width)]
        if self._notice:
            rows += [BLANK, *block(self.glyphs.text(self._notice), width, Role.NOTICE)]
        return tuple(rows[:height])

    def words_instead(self) -> dict[str, str]:
        if self._tapping is not None:
            gone = ("begin.tapping", "listen.tapping", "mute.tapping")
            return {**dict.fromkeys(gone, ""), "back.tapping": BREAK_OFF}
        return {"mute.tapping": mute_label(self.studio.muted)}

    def say(self, notice: str) -> None:
        self._notice = notice
        self.redraw()

    def acts(self) -> Acts:
        begin = {"begin": partial(self._begin, Tapping), "listen": partial(self._begin, ByEar)}
        return {**super().acts(), **begin, "back": self._back}

    def _begin(self, way: type[Tapping] | type[ByEar]) -> None:
        """Start the click."""
        if self._tapping is not None:
            return
        if way is ByEar and self.studio.context.microphone is None:
            self.say(NO_MICROPHONE)
            return
        if self.studio.muted:
            self.say(SOUND_OFF)
            return
        tapping = way(self.studio)
        if not tapping.heard:
            self.say(SOUND_OFF)
            return
        self._tapping, self._strokes.open = tapping, True
        self._beating.resume()
        self.say("")

    def _struck(self, stroke: Stroke) -> None:
        if self._tapping is not None:
            self._tapping.tap(stroke.at)
            self.redraw()

    def _tick(self) -> None:
        tapping = self._tapping
        if tapping is not None and tapping.over():
            told = tapping.told()
            self._stop()
            self.say(told)

    def _stop(self) -> bool:
        """Let the click and the microphone be; whether one sounded."""
        tapping, self._tapping, self._strokes.open = self._tapping, None, False
        self._beating.pause()
        if tapping is not None:
            tapping.close()
        return tapping is not None

    def on_screen_suspend(self) -> None:
        self._silence()

    def _silence(self) -> bool:
        stopped = self._stop()
        if stopped:
            self.say(BROKEN_OFF)
        return stopped

    def _back(self) -> None:
        if not self._silence():
            self.program.back()
