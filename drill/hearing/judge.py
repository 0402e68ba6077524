"""From evidence to a judgement: two passes, and a second look at what would be a false word."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from drill.hearing.align import OCTAVE, OCTAVE_UNTOLD, Pairing, paired
from drill.hearing.frames import HOP_S, Array
from drill.hearing.onsets import onset, strokes
from drill.hearing.path import (
    HeardSound,
    Path,
    Scene,
    loud_enough,
    measured,
    quiet_of,
    stretches,
)
from drill.hearing.sift import Sifted, sifted

DUE, NEAR_DUE = 2.2, 1.6
"""Nats for the note that is due at a moment, and for its neighbours in the line."""
SHORTEST_S = 0.02


def sounds_of(here: Scene, note_s: float, bonus: Array | None = None) -> list[HeardSound]:
    """The sounds of a scene in order."""
    path = Path(here.low, here.pitch.shape[1], here.asked)
    path.add(here.pitch, quiet_of(here, loud_enough(here.level)), bonus)
    return sounds_on(here, path.way(), note_s)


def sounds_on(here: Scene, way: Array, note_s: float) -> list[HeardSound]:
    """The sounds along a way, with their onsets."""
    raw: list[HeardSound] = []
    for first, after, place in stretches(way, here.pitch.shape[1]):
        on, off = float(here.times[first]), float(here.times[after - 1]) + HOP_S
        cuts = strokes(here, on, off) if off - on > max(0.12, 1.4 * note_s) else []
        ends = [on, *cuts, off]
        raw += [
            measured(here, one, other, here.low + place)
            for one, other in pairwise(ends)
            if other - one >= 0.03
        ]
    found: list[HeardSound] = []
    for each in raw:
        before = found[-1] if found else None
        joined = before is not None and each.on - before.off < 0.03
        seen = onset(here, each.on, joined, before.midi if before and joined else None, each.midi)
        slurred = joined and not seen.struck
        if before is not None:
            if each.midi == before.midi and each.on - before.off < 0.05 and slurred:
                found[-1] = replace(before, off=each.off)  # a hole in the evidence
                continue
            found[-1] = replace(before, off=min(before.off, seen.at))
        dip = min(seen.fall, seen.rise)
        found.append(replace(each, on=seen.at, joined=joined, stroke=dip))
    return [each for each in found if each.length > SHORTEST_S]


def due(here: Scene, pitches: tuple[int, ...], sounds: list[HeardSound], pairing: Pairing) -> Array:
    """Nats for the pitches asked around each moment: they break ties, and outvote nothing plain."""
    bonus = np.zeros(here.pitch.shape, np.float32)
    known = [(place, at) for place, at in pairing.sounds.items()]
    known += [(place, at) for at, place in pairing.earlier]
    times = sorted((sounds[at].on, place) for place, at in known)
    for at, (on, place) in enumerate(times):
        end, later = times[at + 1] if at + 1 < len(times) else (here.times[-1], place)
        first, last = np.searchsorted(here.times, [on - 0.03, end + 0.03])
        reach = min(len(pitches), max(place, min(later, place + 4)) + 2)
        for other in range(max(0, place - 1), reach):
            column = pitches[other] - here.low
            gain = DUE if other == place else NEAR_DUE
            bonus[first:last, column] = np.maximum(bonus[first:last, column], gain)
    return bonus


@dataclass(frozen=True, slots=True)
class Judged:
    """What answers what, after both passes."""

    pairing: Pairing
    sifted: Sifted


def judged(
    here: Scene, pitches: tuple[int, ...], note_s: float, octaves_told: bool = True
) -> Judged:
    """Both passes: where the first finds the player in the line, the second knows what is due."""
    octave = OCTAVE if octaves_told else OCTAVE_UNTOLD
    sounds = sounds_of(here, note_s)
    pairing = paired(pitches, sounds, note_s, octave)
    sounds = sounds_of(here, note_s, due(here, pitches, sounds, pairing))
    pairing = paired(pitches, sounds, note_s, octave)
    looked = sifted(here, pitches, sounds, pairing, note_s, octaves_told=octaves_told)
    return Judged(pairing, looked)
