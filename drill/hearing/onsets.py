"""Where a sound begins, and whether the tongue struck.

A stroke is a dip in level and a rise after it; the rise is the onset.  Without one, two pitches
meet at the instant that splits the sound best into one of the first period and one of the second.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drill.hearing.frames import Array
from drill.hearing.path import Scene
from drill.terms import hertz

BEFORE_S, AFTER_S = 0.07, 0.06
"""How far around a boundary its onset is looked for."""
STRUCK_DB = 2.5
"""A dip that deep is a stroke where nothing else is known."""
READ_DB = 20.0
"""A rise is read so far under its top, or a fifth of the way up where the dip is shallow."""


@dataclass(frozen=True, slots=True)
class Onset:
    """A boundary looked at closely."""

    at: float
    fall: float
    """Decibels from the sound before to the dip; 99 from silence."""
    rise: float
    """Decibels from the dip to the top after it."""

    @property
    def struck(self) -> bool:
        """Whether the tongue struck: a dip deep enough on both sides."""
        return min(self.fall, self.rise) >= STRUCK_DB


def onset(here: Scene, at: float, joined: bool, before: int | None, midi: int) -> Onset:
    """The onset near a boundary; ``before`` is the pitch that it follows, None for silence."""
    first, last = np.searchsorted(here.level_times, [at - BEFORE_S, at + AFTER_S])
    level = here.level[first:last]
    if len(level) < 12:
        return Onset(at, 0.0, 0.0)
    low = int(level[5:-5].argmin()) + 5 if joined else int(level[:-8].argmin())
    top = float(level[low:].max())
    fall = float(level[: low + 1].max() - level[low]) if joined else 99.0
    rise = top - float(level[low])
    if min(fall, rise) < STRUCK_DB:
        at = meeting(here, at, before, midi) if before is not None and before != midi else at
        return Onset(at, fall, rise)
    times = here.level_times[first:last]
    read, third, most = (
        _crossing(times[low:], level[low:], float(level[low]) + part)
        for part in (max(rise - READ_DB, 0.2 * rise), 0.35 * rise, 0.75 * rise)
    )
    return Onset(read - _foot(rise, here.level_window_s, most - third), fall, rise)


def _foot(rise: float, window_s: float, climb_s: float) -> float:
    """Seconds from where a note has a tenth of its level to where its rise is read.

    Fitted to made takes whose onsets are known: a shallow dip hides the foot, a wide window of
    the level shows it early, and a slow climb late.
    """
    return (
        0.0160
        - 0.00019 * min(rise, 40.0)
        - 0.00044 * min(rise, 20.0)
        - 0.294 * window_s
        + 0.143 * climb_s
    )


def _crossing(times: Array, level: Array, at: float) -> float:
    """When a level is first reached, between two of its readings."""
    up = int(np.argmax(level > at))
    if up == 0:
        return float(times[0])
    below, above = float(level[up - 1]), float(level[up])
    part = (at - below) / max(1e-6, above - below)
    return float(times[up - 1] + part * (times[up] - times[up - 1]))


def meeting(here: Scene, at: float, before: int, midi: int, reach_s: float = 0.045) -> float:
    """The instant that splits the sound best between two pitches."""
    one, other = (
        max(2, round(here.rate / hertz(pitch + here.tune / 100, here.a4)))
        for pitch in (before, midi)
    )
    longest = max(one, other)
    half = int(reach_s * here.rate) + longest
    middle = int(at * here.rate)
    first, last = max(longest, middle - half), min(len(here.sound) - longest, middle + half)
    if last - first < 3 * longest:
        return at
    misfit = [_misfit(here.sound, first, last, lag, longest) for lag in (one, other)]
    # Before the split the first period should fit, after it the second.
    balance = np.concatenate([[0.0], np.cumsum(misfit[0] - misfit[1])])
    edge = longest // 2
    split = edge + int(np.argmin(balance[edge : len(balance) - edge]))
    return (first + split) / here.rate


def _misfit(sound: Array, first: int, last: int, lag: int, longest: int) -> Array:
    """How little each instant repeats after ``lag`` samples, both looked at around it: 0 to 1."""
    back, forth = lag // 2, lag - lag // 2
    ahead = sound[first + forth : last + forth].astype(np.float64)
    behind = sound[first - back : last - back].astype(np.float64)
    box = np.ones(longest) / longest
    apart = np.convolve((ahead - behind) ** 2, box, "same")
    power = np.convolve(ahead**2 + behind**2, box, "same")
    misfit: Array = apart / (power + 1e-12)
    return misfit


def strokes(here: Scene, on: float, off: float, dip_db: float = 5.0) -> list[float]:
    """Times inside a held pitch at which the level falls and rises again: struck anew."""
    level, times = here.level, here.level_times
    first, last = np.searchsorted(times, [on + 0.05, off - 0.05])
    found: list[float] = []
    for at in range(first, last):
        near = level[max(0, at - 8) : at + 9]
        if level[at] != near.min():
            continue
        left, right = level[max(0, at - 25) : at].max(), level[at : at + 20].max()
        apart = not found or times[at] - found[-1] > 0.06
        if min(left, right) - level[at] > dip_db and apart:
            found.append(float(times[at]))
    return found
