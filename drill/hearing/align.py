"""Which sound answers which asked note: an edit path that knows the line and its restarts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drill.hearing.path import HeardSound

WRONG, GONE, EXTRA, AGAIN = 2.0, 2.3, 1.7, 3.2
"""What a wrong note, an absent one, a sound too many and a new start cost."""
OCTAVE, OCTAVE_UNTOLD = 1.2, 0.4
"""What the note's octave costs: on a horn whose octaves are told, and on one where they are not,
whose notes are often taken for their octaves."""
FURTHEST_BACK = 12
"""Notes that a new start may go back."""
IMPOSSIBLE = np.inf


@dataclass(frozen=True, slots=True)
class Pairing:
    """What answers what."""

    sounds: dict[int, int]
    """Asked note to sound, for those that one answers."""
    extras: tuple[tuple[int, int], ...]
    """Sounds that answer nothing, each with the asked note before it (-1: none)."""
    earlier: tuple[tuple[int, int], ...]
    """Sounds of an attempt that was begun again, each with the asked note it answered."""
    restarts: tuple[int, ...]
    """Asked notes at which the player began again."""


def paired(
    pitches: tuple[int, ...], sounds: list[HeardSound], note_s: float, octave: float = WRONG
) -> Pairing:
    """The cheapest pairing of a line with sounds, in order but for new starts.

    ``octave`` is what a note's octave costs.
    """
    count, many = len(pitches), len(sounds)
    if not many:
        return Pairing({}, (), (), ())
    line, index = np.asarray(pitches), np.arange(count)
    step = index[None, :] - index[:, None]
    going = np.where(
        step > 0,
        GONE * (step - 1),
        np.where(step >= -FURTHEST_BACK, AGAIN - 0.05 * step, IMPOSSIBLE),
    )
    cost = np.full((many, count), 1e9)
    came = np.full((many, count), -2)
    spare = np.zeros((many, count), bool)
    lead = 0.0
    for at, sound in enumerate(sounds):
        apart = np.abs(sound.midi - line)
        match = np.where(apart == 0, 0.0, WRONG)
        match = np.where((apart > 2) & ~np.isin(apart, (12, 19, 24)), WRONG + 0.5, match)
        match = np.where(apart == 12, octave, match)
        if sound.length < 0.45 * note_s:
            match = match + np.where(apart == 0, 0.3, 1.2)
        extra = EXTRA - (0.8 if sound.length < 0.5 * note_s else 0)
        best, origin = lead + GONE * index, np.full(count, -1)
        if at:
            ways = cost[at - 1][:, None] + going
            nearest = ways.argmin(0)
            other = ways[nearest, index]
            best, origin = (
                np.where(other < best, other, best),
                np.where(other < best, nearest, origin),
            )
        cost[at], came[at] = best + match, origin
        if at:
            stay = cost[at - 1] + extra
            spare[at] = stay < cost[at]
            cost[at] = np.minimum(stay, cost[at])
        lead += extra
    return _traced(cost, came, spare, count)


def _traced(cost: np.ndarray, came: np.ndarray, spare: np.ndarray, count: int) -> Pairing:
    place = int((cost[-1] + GONE * (count - 1 - np.arange(count))).argmin())
    answers: dict[int, int] = {}
    extras, earlier, restarts = [], [], []
    at = len(cost) - 1
    while at >= 0:
        if spare[at, place]:
            extras.append((at, place))
            at -= 1
            continue
        if place in answers:
            earlier.append((at, place))
        else:
            answers[place] = at
        origin = int(came[at, place])
        at -= 1
        if origin == -1:
            extras.extend((other, -1) for other in range(at + 1))
            break
        if origin >= place:
            restarts.append(place)
        place = origin
    return Pairing(
        answers, tuple(reversed(extras)), tuple(reversed(earlier)), tuple(reversed(restarts))
    )
