"""Takes of winds that are summed here from their partials: the same on every machine.

The player, the slips, the room and the noise are those of tests/bench/made_takes.py; only the
single notes are sums in place of samples, for sound fonts are not on every machine.  No tone of
drill's own is in them.  What the partials are is set by hand to be hard in the ways that horns
are: a second partial far above the first, none of the even ones, an attack that growls.
"""

from __future__ import annotations

import functools
from typing import Any

import made_takes
import numpy as np
from made_takes import FOOT, HORNS, RATE, Made, Sounded

KINDS = {  # decibels of the first partials; seconds until they have come; growl in the attack
    "tuba": ((0, 2, -4, -8, -12, -17, -22, -28), 0.045, 0.0),
    "trombone": ((0, 4, 6, 3, 0, -4, -8, -12, -16, -20), 0.03, 0.0),
    "bassoon": ((0, 14, 12, 6, 2, -3, -8, -13, -18), 0.03, 0.25),
    "tenor_sax": ((0, 9, 2, -2, -5, -8, -11, -14, -18), 0.03, 0.9),
    "alto_sax": ((0, 4, 0, -4, -8, -10, -14, -18, -22), 0.02, 0.4),
    "clarinet": ((0, -32, -6, -26, -10, -24, -14, -24, -20), 0.02, 0.0),
    "trumpet": ((0, 3, 4, 2, -1, -4, -8, -12), 0.012, 0.0),
    "oboe": ((0, 6, 8, 4, -4, -8, -12), 0.01, 0.0),
    "flute": ((0, -10, -18, -28), 0.04, 0.0),
    "piccolo": ((0, -14, -26), 0.03, 0.0),
}
_BEFORE_S = 0.05
_BY_PROGRAM = {HORNS[name][0]: kind for name, kind in KINDS.items()}


class SummedBank(made_takes.Bank):
    """Single notes as sums of partials."""

    def __init__(self) -> None:
        self._notes: dict[tuple[str, int, int, int], Sounded | None] = {}
        self.fonts = ["sums"]

    def note(self, font: str, program: int, midi: int, velocity: int) -> Sounded | None:
        """See ``made_takes.Bank``; ``velocity`` makes the upper partials stronger."""
        key = font, program, midi, velocity
        if key not in self._notes:
            sound = _summed(program, midi, velocity)
            level = np.sqrt(np.convolve(sound**2, np.ones(220) / 220, "same"))
            steady = float(np.median(level[RATE // 4 : RATE]))
            onset = int(np.argmax(level > 0.1 * steady))
            sound = (sound[onset - FOOT :] / steady * 0.1).astype(np.float32)
            self._notes[key] = sound, np.zeros(25), onset / RATE - _BEFORE_S
        return self._notes[key]


def _summed(program: int, midi: int, velocity: int) -> np.ndarray:
    levels, rise_s, growl = _BY_PROGRAM[program]
    hertz = 440 * 2 ** ((midi - 69) / 12)
    time = np.arange(int(1.5 * RATE)) / RATE
    sound = np.zeros(len(time))
    for number, level in enumerate(levels, 1):
        if number * hertz > 0.45 * RATE:
            break
        softer = (number - 1) * (1.5 if velocity < 80 else 0.0)
        come = 1 - np.exp(-time / (rise_s * (0.4 + 0.15 * number)))
        sound += (
            10 ** ((level - softer) / 20)
            * come
            * np.sin(2 * np.pi * number * hertz * time + number**2)
        )
    lower = np.sin(np.pi * hertz * time) + np.sin(1.5 * 2 * np.pi * hertz * time)
    sound += growl * lower * np.exp(-time / 0.02) * (1 - np.exp(-time / 0.004))
    breath = np.random.default_rng(midi).normal(size=len(time))
    return np.concatenate([np.zeros(int(_BEFORE_S * RATE)), sound + 0.01 * breath * np.std(sound)])


def _cells(tonic: int, degrees: int, cell: tuple[int, ...] = (0, 1, 2, 0)) -> list[int]:
    """A run up a major scale, and its tonic an octave above."""
    scale = [12 * octave + step for octave in range(2) for step in (0, 2, 4, 5, 7, 9, 11)]
    return [tonic + scale[at + step] for at in range(degrees) for step in cell] + [tonic + 12]


PLAIN: dict[str, Any] = {
    "bpm": 110.0, "swing": 1.0, "art": "tongued", "shape": False, "jitter": 0.008, "drift": 0.0,
    "tune": 5.0, "stretch": 0.0, "vibrato": 0.0, "scoop": 0.0, "room_s": 0.3, "wet": 0.2,
    "snr": 20, "highpass": 80.0, "mp3": False, "click": False, "whole": False,
}  # fmt: skip

TAKES: dict[str, tuple[str, int, dict[int, str], dict[str, Any]]] = {
    # name: horn, lowest note, slips by place, how it is played
    "alto, as asked": ("alto_sax", 55, {}, {"art": "slurred"}),
    "alto, wrong notes": ("alto_sax", 56, {4: "accidental", 9: "neighbour", 13: "missing"}, {}),
    "tenor, begun again": ("tenor_sax", 48, {6: "restart", 13: "accidental"}, {"snr": 10}),
    "tenor, octaves": ("tenor_sax", 52, {6: "octave", 13: "octave"}, {"bpm": 80.0}),
    "clarinet, octaves": ("clarinet", 53, {6: "octave", 13: "octave"}, {"art": "mixed"}),
    "clarinet, squeaks": ("clarinet", 62, {5: "squeak", 12: "squeak"}, {"bpm": 84.0}),
    "trumpet, swung": ("trumpet", 58, {}, {"swing": 2.0, "bpm": 196.0, "click": True}),
    "trumpet, fast": ("trumpet", 60, {7: "neighbour"}, {"bpm": 184.0, "room_s": 0.0}),
    "flute, high": ("flute", 79, {8: "repeat"}, {"vibrato": 15.0, "art": "slurred"}),
    "oboe, scooped": ("oboe", 62, {11: "extra"}, {"scoop": 45.0, "tune": -18.0}),
    "bassoon, low": ("bassoon", 41, {6: "accidental", 11: "octave"}, {"art": "mixed", "bpm": 92.0}),
    "tuba, low": ("tuba", 34, {5: "hesitation"}, {"bpm": 96.0, "jitter": 0.02}),
    "trombone, half a tone off": ("trombone", 46, {}, {"tune": 57.0, "art": "slurred"}),
    "trombone, other notes": ("trombone", 48, {}, {"snr": 10, "wet": 0.4, "room_s": 0.5}),
    "piccolo, loud room": (
        "piccolo", 79, {4: "missing", 5: "missing"}, {"room_s": 0.8, "wet": 0.4},
    ),
    "alto, shaped and slowing": (
        "alto_sax", 53, {}, {"shape": True, "drift": 0.06, "art": "mixed", "tune": 14.0},
    ),
}  # fmt: skip
ASKED_OTHERWISE = {"trombone, other notes": {5: 7, 9: -4}}
"""Places of a take where another note is asked than was played, so many semitones away: further
off than the maker's slips go."""


@functools.cache
def bank() -> SummedBank:
    """The one that keeps its notes."""
    return SummedBank()


@functools.cache
def take(name: str) -> Made:
    """A take of the table, and the truth about it."""
    horn, tonic, errors, manner = TAKES[name]
    seed = 7100 + list(TAKES).index(name)
    made = made_takes.make(
        seed, bank(), horn, line=(_cells(tonic, 4), 4), errors=errors, **(PLAIN | manner)
    )
    for place, semitones in ASKED_OTHERWISE.get(name, {}).items():
        made.asked[place] += semitones
        made.truth[place] = "another"
    return made
