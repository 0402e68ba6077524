"""Calibrating the sound by tapping: a steady click, and what the taps tell of it.

Everybody taps a little ahead of a click without knowing it (some tens of milliseconds;
Repp, "Sensorimotor synchronization", Psychonomic Bulletin & Review 12, 2005, from memory),
so what is found has the player's own usual lead in it: a lead of nought afterwards means
*as when tapping along*.
"""

from __future__ import annotations

from drill.sound.latency import COUNTED, WARM_UP, Tapped, tapped
from drill.sound.limits import VOLUME
from drill.sound.metronome import click_take
from drill.sound.sounding import Playing, Sounding
from drill.sound.take import Take
from drill.theory.metre import Metronome
from drill.wording.bouts import calibrated_told, tapping_asked, too_few_taps, uneven_taps

BPM = 100
TAPS = WARM_UP + COUNTED
"""Taps that are needed."""
_BARS = 9


def tapping_take(volume: float = VOLUME) -> Take:
    """A steady click of some 22 seconds, every beat alike."""
    return click_take(Metronome(accent=False), BPM, _BARS, count_in_bars=0, volume=volume)


def told_by(taps: list[float], playing: Playing) -> Tapped:
    """What taps, in seconds on the monotonic clock, tell of the take that they went along with."""
    clicks = [playing.at + click.onset_s for click in playing.take.clicks]
    return tapped(taps, clicks)


def asked() -> str:
    """What the player is to do."""
    return tapping_asked(TAPS, WARM_UP)


def kept(player: Sounding, taps: list[float], playing: Playing) -> tuple[str, float | None]:
    """The result in one sentence, and the latency in seconds, kept; None where it is not."""
    found = told_by(taps, playing)
    if found.steady:
        latency_s = player.calibrate(found.late_s)
        return calibrated_told(latency_s, found.spread_s), latency_s
    few = found.count < COUNTED
    return too_few_taps(found.count) if few else uneven_taps(found.spread_s), None
