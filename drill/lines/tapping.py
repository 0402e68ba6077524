"""How late the output is: by taps of Enter along with a click, or by a microphone; and stamped
lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

from drill.lines.writing import meant
from drill.practice.time.echoes import Echoes, OpenMicrophone, held_by
from drill.practice.time.strokes import Stroke
from drill.practice.time.tapping import TAPS, asked, kept, tapping_take
from drill.sound.latency import LatencySource
from drill.sound.sounding import Playing, Sounding
from drill.sound.take import Take
from drill.wording.bouts import NO_CLICK
from drill.wording.calibrating import BROKEN_OFF, LISTENING, echo_told
from drill.wording.playing import CLOSED
from drill.wording.soundwords import SOUND_OFF

START_S = 8.0
"""How long the output may take to begin."""
LOOK_S = 0.1
"""How often the audio clock is looked at."""


class LineSource(Protocol):
    """Where stamped lines come from."""

    @property
    def ended(self) -> bool:
        """Whether the input has ended."""
        ...

    def line(self, until: float | None) -> Stroke | None:
        """The next line, waiting for it until an instant (None: for ever); None where none came."""
        ...


def tap_along(
    player: Sounding,
    source: LineSource,
    monotonic: Callable[[], float],
    volume: float,
    say: Callable[[str], None],
) -> float | None:
    """Play a click, take the taps, keep what they tell; the latency in seconds, None where
    nothing was kept.  ``say`` is told what to do and how it went.  ``quit`` breaks it off.

    Raises DrillError where the latency cannot be kept.
    """
    take = tapping_take(volume)
    say(asked())
    if not player.play(take, stale_s=0):
        say(SOUND_OFF)
        return None
    left = False

    def early(line: Stroke) -> bool:
        nonlocal left
        left = meant(line.text) == "quit"
        return left

    playing = begun(player, take, source, monotonic, early, say)
    taps: list[float] = []
    while playing is not None and len(taps) < TAPS and not source.ended:
        line = source.line(monotonic() + LOOK_S)
        if line is not None and early(line):
            break
        taps += [line.at] if line is not None else []
        now = player.playing()
        if now is None:
            break
        playing = now
    player.stop()
    if left:
        say(BROKEN_OFF)
        return None
    if playing is None:
        say(player.poll() or NO_CLICK)
        return None
    told, latency_s = kept(player, taps, playing)
    say(told)
    return None if latency_s is None else round(latency_s, 4)


@dataclass(frozen=True, slots=True)
class ByMicrophone:
    """A microphone that hears clicks of the output; it is open only meanwhile."""

    environment: Mapping[str, str]
    monotonic: Callable[[], float]
    sleep: Callable[[float], None]
    opened: Callable[[], OpenMicrophone]
    """Opens it; raises SoundError where there is none."""

    def calibrate(
        self, player: Sounding, volume: float, say: Callable[[str], None]
    ) -> float | None:
        """The latency in seconds, kept; None where nothing was kept.  ``say`` is told what
        happens and how it went.  Raises SoundError without a microphone, or when it is lost."""
        held = held_by(self.environment)
        echoes = Echoes(player, self.opened(), self.monotonic, held, volume)
        say(LISTENING)
        try:
            while not echoes.tick():
                self.sleep(LOOK_S / 10)
            found = echoes.found()
        finally:
            echoes.close()
            say(CLOSED)
        if found is None:
            say(player.poll() or (NO_CLICK if echoes.sounding else SOUND_OFF))
            return None
        latency_s = player.calibrate(found.late_s, LatencySource.HEARD) if found.clear else 0.0
        say(echo_told(found, latency_s))
        return round(latency_s, 4) if found.clear else None


def begun(
    player: Sounding,
    take: Take,
    source: LineSource,
    monotonic: Callable[[], float],
    early: Callable[[Stroke], bool],
    say: Callable[[str], None],
) -> Playing | None:
    """The take once it is heard; None where it is not, and ``say`` is told why if that is known.
    ``early`` takes the lines that come before; True where one leaves."""
    limit = monotonic() + START_S
    while monotonic() < limit and not source.ended and not player.cut_off(take):
        playing = player.playing()
        if playing is not None and playing.take.clicks == take.clicks:
            return playing
        if notice := player.poll():
            say(notice)
            break
        line = source.line(monotonic() + LOOK_S / 10)
        if line is not None and early(line):
            break
    return None
