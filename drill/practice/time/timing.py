"""Were the notes in time?  Onsets against beats, judged without a clock of its own.

Conventions: onsets and beats are seconds on one clock; a deviation is onset minus
beat, so *early is negative*.  People tap a little before the beat without knowing
it; the run's median lead is therefore taken off before the steadiness is judged.
A keyboard and a terminal add some milliseconds of their own: nothing finer than
``FINEST_S`` is ever claimed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations, pairwise
from statistics import median

from drill.sound.latency import robust_spread

SPREAD_SHARE = 0.08
"""Locked in: the robust spread is at most this share of the beat."""
OFF_SHARE = 0.25
"""Locked in: no note is off by more than this share of the beat."""
FEWEST = 4
"""Notes needed before steadiness is judged."""
KNOWN_S = 0.005
"""A lead that is known this well may decide whether a run was early or late."""
FINEST_S = 0.010
"""What a terminal can tell apart at best, in seconds."""


class TimeOutcome(StrEnum):
    """How a run was in time; ``wording.timing`` has the words."""

    LOCKED_IN = "locked-in"
    UNSTEADY = "unsteady"
    LATE = "late"
    EARLY = "early"
    WRONG_NOTES = "wrong-notes"
    TOO_FEW = "too-few"


@dataclass(frozen=True, slots=True)
class Timing:
    """How the onsets of a run lie against its beats."""

    outcome: TimeOutcome
    count: int
    """Notes that had both a beat and an onset."""
    lead_s: float
    """Median deviation: negative when the notes come before the beat."""
    spread_s: float
    """1.48 times the median absolute deviation after the lead is taken off."""
    drift_s: float
    """What the deviation grows in one beat: negative when rushing."""
    beat_s: float
    outliers: tuple[int, ...]
    """Which notes, from 0, are off by more than a quarter of the beat after the lead is
    taken off, or did not come."""
    jitter_s: float
    """What keyboard and terminal add by themselves; at least ``FINEST_S``."""
    uncertain_s: float = 0.0
    """How far off the lead may be because nobody knows how late the sound is; 0 where it is
    calibrated or nothing sounds.  What spread and drift say is not touched by it."""

    @property
    def locked_in(self) -> bool:
        """Whether notes and time were right."""
        return self.outcome is TimeOutcome.LOCKED_IN

    @property
    def doubtful(self) -> bool:
        """Whether how late the sound is was not known well enough to be left unsaid."""
        return self.uncertain_s > KNOWN_S


def slope(x: Sequence[float], y: Sequence[float]) -> float:
    """Median of the slopes between all pairs (Theil and Sen); 0 where there are none."""
    slopes = [
        (y2 - y1) / (x2 - x1)
        for (x1, y1), (x2, y2) in combinations(zip(x, y, strict=True), 2)
        if x2 != x1
    ]
    return median(slopes) if slopes else 0.0


def judge(
    onsets: Sequence[float | None],
    beats: Sequence[float],
    beat_s: float,
    *,
    notes_right: bool = True,
    jitter_s: float = FINEST_S,
    uncertain_s: float = 0.0,
) -> Timing:
    """The timing of a run.

    Where the beats are known no better than ``uncertain_s``, the lead never decides.

    ``onsets[i]`` is when note i was typed, None when it did not come; ``beats[i]`` is
    when it was due.  ``beat_s`` is one beat.  Raises ValueError when the two differ in
    length or the beat is no time at all.
    """
    if len(onsets) != len(beats):
        raise ValueError(f"{len(onsets)} onsets for {len(beats)} beats")
    if not beat_s > 0:
        raise ValueError(f"a beat of {beat_s} seconds")
    pairs = [
        (index, beat, onset - beat)
        for index, (onset, beat) in enumerate(zip(onsets, beats, strict=True))
        if onset is not None
    ]
    deviations = [deviation for _, _, deviation in pairs]
    lead = median(deviations) if deviations else 0.0
    off = {index: deviation - lead for index, _, deviation in pairs}
    outliers = tuple(
        index
        for index in range(len(beats))
        if index not in off or abs(off[index]) > OFF_SHARE * beat_s
    )
    spread = robust_spread(deviations)
    drift = slope([beat / beat_s for _, beat, _ in pairs], deviations)
    judged = lead if uncertain_s <= KNOWN_S else 0.0
    outcome = _outcome(notes_right, off, outliers, judged, spread, beat_s)
    return Timing(
        outcome,
        len(pairs),
        lead,
        spread,
        drift,
        beat_s,
        outliers,
        max(FINEST_S, jitter_s),
        uncertain_s,
    )


def _outcome(
    notes_right: bool,
    off: dict[int, float],
    outliers: tuple[int, ...],
    lead: float,
    spread: float,
    beat_s: float,
) -> TimeOutcome:
    if not notes_right:
        return TimeOutcome.WRONG_NOTES
    limit = OFF_SHARE * beat_s
    # A note that did not come is late; so is a whole run behind the beat.
    if lead > limit or any(off.get(index, limit) > 0 for index in outliers):
        return TimeOutcome.LATE
    if lead < -limit or outliers:
        return TimeOutcome.EARLY
    if len(off) < FEWEST:
        return TimeOutcome.TOO_FEW
    if spread > SPREAD_SHARE * beat_s:
        return TimeOutcome.UNSTEADY
    return TimeOutcome.LOCKED_IN


def terminal_jitter(stamps: Sequence[float]) -> float | None:
    """What keyboard and terminal add, from the stamps of one key that is held down.

    A held key repeats evenly, so the robust spread of its intervals, less the first
    (the delay before repeating), is the way's own jitter; never under ``FINEST_S``.
    None with fewer than eight intervals.
    """
    intervals = [later - earlier for earlier, later in pairwise(stamps)][1:]
    if len(intervals) < 8:
        return None
    # Each interval holds the jitter of two stamps.
    return max(FINEST_S, robust_spread(intervals) / 2**0.5)
