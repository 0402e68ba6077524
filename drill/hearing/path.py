"""From evidence to sounds: the likeliest way through semitones and silence (Viterbi 1967)."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from drill.hearing.frames import HOP_S, Array, Ear

CHANGE = 7.0
"""Nats that a new pitch costs, so that a flicker is none."""
STRANGE = 2.0
"""Nats more for a pitch that the line does not have."""
NOTHING = 0.004
"""Probability that a frame leaves to a pitch of which it shows no sign."""
SHORTEST_S = 0.030
"""A sound shorter than this is a flicker."""


@dataclass(frozen=True, slots=True)
class HeardSound:
    """One sound of the player, or of the room."""

    on: float
    off: float
    midi: int
    sure: float
    """Mean probability of its pitch."""
    cents: float
    """Off its semitone at A4; NaN where it is too short to say."""
    db: float
    """Median level of its body; NaN where it is too short to say."""
    stroke: float = 0.0
    """How likely (in nats) it was tongued rather than slurred to; 0 undecided."""
    joined: bool = False
    """No silence before it."""

    @property
    def length(self) -> float:
        """Seconds that it lasts."""
        return self.off - self.on


@dataclass(frozen=True, slots=True)
class Scene:
    """A stretch of listening, on the player's own tuning."""

    times: Array
    pitch: Array
    """Frames x semitones: probability."""
    cents: Array
    level: Array
    level_times: Array
    low: int
    """MIDI number of the first column."""
    tune: float
    """The player's pitch as a whole, cents off A4."""
    asked: tuple[int, ...]
    sound: Array
    rate: int
    a4: float
    level_window_s: float
    """How much sound each level is taken over."""


def tuning(pitch: Array, cents: Array) -> float:
    """The player's pitch as a whole: the mean angle of what is plain; 0 where little is."""
    plain = pitch > 0.6
    if plain.sum() <= 20:
        return 0.0
    angle = np.angle(np.exp(2j * np.pi * cents[plain] / 100).mean())
    return float(angle * 50 / np.pi)


def scene(ear: Ear, tune: float | None = None) -> Scene:
    """What an ear has heard; ``tune`` None finds the player's pitch from it."""
    pitch, cents = ear.evidence()
    if tune is None:
        tune = tuning(pitch, cents)
    if abs(tune) > 12:
        pitch, cents = retuned(pitch, cents, tune)
    return Scene(
        ear.times, pitch, cents, ear.level, ear.level_times, ear.low, tune, ear.asked, ear.sound,
        ear.rate, ear.a4, 2 * ear.level_half_s,
    )  # fmt: skip


def retuned(pitch: Array, cents: Array, tune: float) -> tuple[Array, Array]:
    """The same evidence by semitones of the player's own pitch."""
    new_pitch, new_cents = np.zeros_like(pitch), np.zeros_like(cents)
    frame, place = np.nonzero(pitch)
    relative = cents[frame, place] - tune
    step = (relative > 50).astype(int) - (relative < -50)
    to = np.clip(place + step, 0, pitch.shape[1] - 1)
    np.add.at(new_pitch, (frame, to), pitch[frame, place])
    new_cents[frame, to] = cents[frame, place] - 100 * step
    return new_pitch, new_cents


def loud_enough(level: Array) -> float:
    """The level under which nothing is played: above the room, and near the player's own."""
    floor, top = np.percentile(level, 3), np.percentile(level, 90)
    return float(max(floor + 3, top - 32))


class Path:
    """The likeliest way so far; frames may be added."""

    def __init__(self, low: int, count: int, asked: tuple[int, ...]) -> None:
        mine = set(asked)
        self._cost = np.array(
            [CHANGE + (0 if low + place in mine else STRANGE) for place in range(count)]
            + [CHANGE - 2]
        )
        self._stay = np.arange(count + 1)
        self._best = np.zeros(count + 1)
        self._from: list[Array] = []

    def add(self, pitch: Array, quiet: Array, bonus: Array | None = None) -> None:
        """Go on over frames; ``quiet`` is each frame's likeness to silence (0 to 1)."""
        sounding = (1 - quiet)[:, None]
        likely = np.log(pitch * sounding + NOTHING)
        if bonus is not None:
            likely = likely + bonus
        rest = np.log(np.maximum(0.02, 0.25 * (1 - pitch.sum(1)) * (1 - quiet) + quiet))
        for row in np.concatenate([likely, rest[:, None]], 1):
            top = int(self._best.argmax())
            jump = self._best[top] - self._cost
            moved = jump > self._best
            self._from.append(np.where(moved, top, self._stay).astype(np.int16))
            self._best = np.where(moved, jump, self._best) + row
        self._best = self._best - self._best.max()

    def way(self) -> Array:
        """The place of each frame; the last place is silence."""
        count = len(self._from)
        way = np.empty(count, int)
        if count:
            way[-1] = int(self._best.argmax())
            for at in range(count - 1, 0, -1):
                way[at - 1] = self._from[at][way[at]]
        return way


def stretches(way: Array, silence: int) -> list[tuple[int, int, int]]:
    """First frame, frame after the last, place: of each sound long enough."""
    if not len(way):
        return []
    edges = np.concatenate([[0], np.flatnonzero(np.diff(way)) + 1, [len(way)]])
    return [
        (int(one), int(after), int(way[one]))
        for one, after in pairwise(edges)
        if way[one] != silence and (after - one) * HOP_S >= SHORTEST_S
    ]


def quiet_of(here: Scene, cut: float) -> Array:
    """Each frame's likeness to silence."""
    level = np.interp(here.times, here.level_times, here.level)
    likeness: Array = 1 / (1 + np.exp(np.clip((level - cut) / 1.5, -50, 50)))
    return likeness


def measured(here: Scene, on: float, off: float, midi: int) -> HeardSound:
    """A sound with its tuning and level."""
    place = midi - here.low
    first, last = np.searchsorted(here.times, [on, off])
    if last <= first:
        return HeardSound(on, off, midi, 0.0, float("nan"), float("nan"))
    count = last - first
    trim = slice(first + count // 4, last - count // 6) if count > 4 else slice(first, last)
    weight = here.pitch[trim, place]
    plain = weight > 0.2
    cents = float(np.median(here.cents[trim, place][plain])) if plain.any() else float("nan")
    low, high = np.searchsorted(here.level_times, [on + 0.25 * (off - on), off - 0.12 * (off - on)])
    db = float(np.median(here.level[low:high])) if high > low else float("nan")
    sure = float(here.pitch[first:last, place].mean())
    return HeardSound(on, off, midi, sure, cents, db)
