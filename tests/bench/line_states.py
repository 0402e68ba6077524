"""The other way to hear a take: one hidden Markov model whose states are the line's own notes.

For each asked note a state for it, for the four pitches around it, for any other pitch and for
the silence after it; from each the next note, the one after that, or a new start up to twelve
notes back.  Tried beside the two passes of drill.hearing on the same frames: bench_take.py
--states prints its table.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from drill.hearing.align import Pairing
from drill.hearing.frames import HOP_S
from drill.hearing.judge import Judged
from drill.hearing.onsets import onset
from drill.hearing.path import HeardSound, Scene, loud_enough, measured, quiet_of
from drill.hearing.sift import sifted

NEAR = (0, -2, -1, 1, 2)
"""Semitones off the asked note that have states of their own."""
OTHER, REST = 5, 6
STEP, SKIP, AGAIN = 8.0, 9.0, 16.0
ENTRY = np.array([0.0, 12.0, 12.0, 12.0, 12.0, 16.0, -3.0])
"""What entering each state of a note costs beyond the step, in nats: the best of six settings
tried on 48 takes of the seeds that set drill's own."""
BACK = 12
NOTHING = 0.004


def judged_by_states(
    here: Scene, pitches: tuple[int, ...], note_s: float, octaves_told: bool = True
) -> Judged:
    """What answers what, by the likeliest way through the line's states."""
    way = _decoded(here, pitches)
    sounds: list[HeardSound] = []
    owner: list[int] = []
    edges = np.flatnonzero(np.any(np.diff(way, axis=0), axis=1)) + 1
    for first, after in zip([0, *edges], [*edges, len(way)], strict=True):
        place, state = (int(each) for each in way[first])
        if state == REST or place < 0 or (after - first) * HOP_S < 0.02:
            continue
        column = here.pitch[first:after].mean(0)
        pitch = pitches[place] + NEAR[state] if state < OTHER else int(column.argmax()) + here.low
        on, off = float(here.times[first]), float(here.times[after - 1]) + HOP_S
        before = sounds[-1] if sounds else None
        joined = before is not None and on - before.off < 0.03
        seen = onset(here, on, joined, before.midi if before and joined else None, pitch)
        if before is not None:
            sounds[-1] = replace(before, off=min(before.off, seen.at))
        sound = measured(here, on, off, pitch)
        dip = min(seen.fall, seen.rise)
        sounds.append(replace(sound, on=seen.at, joined=joined, stroke=dip))
        owner.append(place)
    pairing = _paired(owner)
    return Judged(
        pairing, sifted(here, pitches, sounds, pairing, note_s, octaves_told=octaves_told)
    )


def _paired(owner: list[int]) -> Pairing:
    answers: dict[int, int] = {}
    earlier: list[tuple[int, int]] = []
    extras: list[tuple[int, int]] = []
    restarts: list[int] = []
    for at, place in enumerate(owner):
        if at and place < owner[at - 1]:
            restarts.append(place)
        if place in answers:
            (extras if at and owner[at - 1] == place else earlier).append((answers[place], place))
        answers[place] = at
    return Pairing(answers, tuple(extras), tuple(earlier), tuple(restarts))


def _decoded(here: Scene, pitches: tuple[int, ...]) -> np.ndarray:
    """Place in the line and state of each frame."""
    quiet = quiet_of(here, loud_enough(here.level))
    likely = np.log(here.pitch * (1 - quiet)[:, None] + NOTHING)
    rest = np.log(np.maximum(0.02, 0.25 * (1 - here.pitch.sum(1)) * (1 - quiet) + quiet))
    count, frames = len(pitches), len(here.times)
    columns = np.array([[pitch + off - here.low for off in NEAR] for pitch in pitches])
    best = np.full((count, 7), -1e9)
    start = -SKIP * np.arange(count)
    best[:] = start[:, None] - ENTRY[None, :]
    came = np.full((frames, count, 7), -1, np.int16)  # -1: stayed; else 7 x place + state
    index = np.arange(count)
    for at in range(frames):
        row = likely[at]
        emitted = np.empty((count, 7))
        emitted[:, :OTHER] = row[columns]
        emitted[:, OTHER] = row.max() - 1.0
        emitted[:, REST] = rest[at]
        if at:
            which = best.argmax(1)
            top = best[index, which]
            enter = np.full(count, -1e9)
            source = np.zeros(count, int)
            for step, cost in ((1, STEP), (2, STEP + SKIP)):
                if count > step:
                    other = top[:-step] - cost
                    nearer = other > enter[step:]
                    enter[step:] = np.where(nearer, other, enter[step:])
                    source[step:] = np.where(nearer, index[:-step], source[step:])
            for step in range(1, BACK + 1):
                if count > step:
                    other = top[step:] - STEP - AGAIN
                    nearer = other > enter[:-step]
                    enter[:-step] = np.where(nearer, other, enter[:-step])
                    source[:-step] = np.where(nearer, index[step:], source[:-step])
            moved = enter[:, None] - ENTRY[None, :]
            moved[:, REST] = top - 3.0  # silence follows the note itself
            from_ = np.repeat((7 * source + which[source])[:, None], 7, 1)
            from_[:, REST] = 7 * index + which
            gone = moved > best
            came[at] = np.where(gone, from_, -1)
            best = np.where(gone, moved, best)
        best = best + emitted
    way = np.empty((frames, 2), int)
    end = best + -SKIP * (count - 1 - index)[:, None]
    place, state = divmod(int(end.argmax()), 7)
    for at in range(frames - 1, -1, -1):
        way[at] = place, state
        source_of = int(came[at, place, state])
        if source_of >= 0:
            place, state = divmod(source_of, 7)
    return way
