"""A take in figures: time, swing, shape, tuning."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from drill.hearing.frames import Array
from drill.hearing.values import Asked

FEWEST = 6
"""Notes on end from which time is told."""
_BEND_FROM = 16
_STRAY = 3.5
_BEAT_OFF = 0.2
"""A beat may be so much longer or shorter than the middle one, as a part of it, to be counted."""
_FEWEST_BEATS = 4
_PAUSE = 1.45
"""A note that comes so many times too late is a pause, and time begins anew."""


@dataclass(frozen=True, slots=True)
class Time:
    """How time was kept; each None where too few notes follow each other."""

    spread_ms: float | None = None
    drift_percent: float | None = None
    note_s: float | None = None
    swing: float | None = None
    lead_ms: float | None = None


def stretches(onsets: Mapping[int, float], note_s: float, swing: float = 1) -> list[list[int]]:
    """The notes on end without a pause, a gap or a new start between them."""
    longest = 2 * max(swing, 1 / swing) / (1 + max(swing, 1 / swing))
    found: list[list[int]] = []
    for place in sorted(onsets):
        last = found[-1][-1] if found else -9
        gap = onsets[place] - onsets[last] if place == last + 1 else 0.0
        if 0.3 * note_s < gap < _PAUSE * longest * note_s + 0.03:
            found[-1].append(place)
        else:
            found.append([place])
    return [each for each in found if len(each) >= FEWEST]


def time_of(onsets: Mapping[int, float], asked: Asked) -> Time:
    """Spread, drift, tempo and swing of the onsets heard; lead where the beat is known."""
    uneven = asked.beat_notes == 2
    pace = asked.note_s
    if pace is None or not asked.even:
        return Time()
    parts = stretches(onsets, pace, asked.swing if uneven else 1)
    if not parts:
        return Time()
    fits = [_fitted(part, [onsets[each] for each in part], uneven) for part in parts]
    weights = [len(part) for part in parts]
    pooled = np.concatenate([fit.residuals for fit in fits])
    note_s = float(np.average([fit.note_s for fit in fits], weights=weights))
    return Time(
        spread_ms=float(np.std(pooled) * 1000),
        drift_percent=_drift(parts, onsets),
        note_s=note_s,
        swing=_swing(parts, onsets) if uneven else None,
        lead_ms=_lead(onsets, asked),
    )


@dataclass(frozen=True, slots=True)
class _LineFit:
    note_s: float
    residuals: Array


def _fitted(places: Sequence[int], onsets: Sequence[float], uneven: bool) -> _LineFit:
    """An even line with an uneven second note, slowly bent; strays are left out once."""
    at, when = np.array(places, float), np.array(onsets)
    middle = at - at.mean()
    columns = [np.ones_like(at), middle]
    if uneven:
        columns.append(np.array(places) % 2.0)
    if len(at) >= _BEND_FROM:
        columns.append(middle**2)
    table = np.stack(columns, 1)
    kept = np.ones(len(at), bool)
    solved = np.zeros(len(columns))
    for _ in range(2):
        solved = np.linalg.lstsq(table[kept], when[kept], rcond=None)[0]
        off = when - table @ solved
        near = np.abs(off) <= max(0.01, _STRAY * 1.4826 * float(np.median(np.abs(off[kept]))))
        if near.sum() < max(FEWEST, len(columns) + 2):
            break
        kept = near
    off = (when - table @ solved)[kept]
    free = max(1, len(off) - len(columns))
    return _LineFit(float(solved[1]), off * np.sqrt(len(off) / free))


def _swing(parts: Sequence[Sequence[int]], onsets: Mapping[int, float]) -> float | None:
    """First to second note of a beat: the mean of its beats without those that stray.

    A beat that is longer or shorter than most holds a pause or a slip, and tells of neither.
    None where there are fewer than four.
    """
    beats, firsts = [], []
    for part in parts:
        for one, two, after in zip(part, part[1:], part[2:], strict=False):
            beats.append(onsets[after] - onsets[one])
            # Two notes on end make a beat from either of them.
            first = (one, two) if one % 2 == 0 else (two, after)
            firsts.append(onsets[first[1]] - onsets[first[0]])
    whole, share = np.array(beats), np.array(firsts) / np.array(beats)
    share = share[np.abs(whole / np.median(whole) - 1) < _BEAT_OFF]
    if len(share) < _FEWEST_BEATS:
        return None
    off = np.abs(share - np.median(share))
    near = share[off <= max(0.02, 3 * 1.4826 * float(np.median(off)))]
    mean = float(np.clip(near.mean(), 0.05, 0.95))
    return mean / (1 - mean)


def _drift(parts: Sequence[Sequence[int]], onsets: Mapping[int, float]) -> float | None:
    """Percent by which the last notes are slower than the first: the slope of the beats."""
    where, lasted = [], []
    for part in parts:
        for one in part[:-2]:
            where.append(one + 1)
            lasted.append((onsets[one + 2] - onsets[one]) / 2)
    if len(where) < 12:
        return None
    at, log = np.array(where, float), np.log(np.array(lasted))
    near = np.abs(log - np.median(log)) < 0.35
    slope = float(np.polyfit(at[near], log[near], 1)[0])
    first, last = parts[0][0], parts[-1][-1]
    return 100 * (float(np.exp(slope * (last - first))) - 1)


def _lead(onsets: Mapping[int, float], asked: Asked) -> float | None:
    """Milliseconds before (positive) or after the beat, the median; None without a beat."""
    first, beat = asked.beat0_s, asked.beat_s
    if first is None or beat is None:
        return None
    ahead = []
    for place, onset in onsets.items():
        whole, part = divmod(place, asked.beat_notes)
        within = part / asked.beat_notes
        if asked.beat_notes == 2 and part:
            within = asked.swing / (1 + asked.swing)
        ahead.append(first + (whole + within) * beat - onset)
    near = [each for each in ahead if abs(each) < beat / asked.beat_notes]
    return float(np.median(near) * 1000) if len(near) >= FEWEST else None


def shape(levels: Sequence[float], pitches: Sequence[int]) -> float | None:
    """Correlation of level and pitch; None below eight notes or where one of them is flat."""
    if len(levels) < 8 or np.ptp(levels) < 1e-6 or np.ptp(pitches) == 0:
        return None
    return float(np.corrcoef(levels, pitches)[0, 1])
