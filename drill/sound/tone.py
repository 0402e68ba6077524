"""Notes to samples: plain reed, brass and flute colours by additive synthesis.

Conventions of this room: pitches are *sounding* MIDI numbers; times are seconds;
velocities are 1 to 127 (MIDI 1.0); samples are mono at ``RATE`` per second, as
floats in -1 .. 1 until the last step.  numpy is imported only when something is
rendered, so that importing the room costs nothing.

One cycle of a colour is summed from its harmonics, none of them above
``TOP_HERTZ``, then read out at the note's frequency: the pitch is exact and
nothing folds back.  Every note begins and ends with a soft edge.
"""

from __future__ import annotations

from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

from drill.errors import UsageError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float32]

RATE = 44100
"""Samples a second."""
TOP_HERTZ = 16000.0
"""No harmonic is sounded above this; well under half of ``RATE``."""
A4_LOW, A4_HIGH = 430.0, 450.0
"""The tuning range in hertz; ISO 16 says 440."""
ATTACK_S = 0.012
"""Length of the soft edge of a tongued note."""
RELEASE_S = 0.024
"""Length of the soft edge at the end of a note."""
KNEE = 0.7
"""Level above which the soft limit bends the signal."""
CEILING = 0.95
"""No sample is ever above this."""

_CYCLE = 4096
_CYCLE_RMS = 0.28
_TONGUE = 0.25
_TONGUE_FADE_S = 0.035


class Colour(StrEnum):
    """A plain tone colour."""

    REED = "reed"
    BRASS = "brass"
    FLUTE = "flute"


_HARMONICS: dict[Colour, tuple[float, ...]] = {
    Colour.REED: (1.0, 0.72, 0.55, 0.42, 0.30, 0.21, 0.15, 0.11, 0.08, 0.06, 0.04, 0.03),
    Colour.BRASS: (1.0, 0.9, 0.78, 0.62, 0.48, 0.36, 0.27, 0.2, 0.15, 0.11, 0.08, 0.06, 0.04, 0.03),
    Colour.FLUTE: (1.0, 0.36, 0.14, 0.06, 0.03, 0.015),
}

_BRIGHTNESS = {Colour.REED: 0.15, Colour.BRASS: 0.35, Colour.FLUTE: 0.10}
"""How much duller each further harmonic is at the softest velocity."""


def colour_of(family: str) -> Colour:
    """The colour for an instrument family; reed when the family is not known."""
    return {"brass": Colour.BRASS, "flute": Colour.FLUTE}.get(family, Colour.REED)


def hertz(midi: float, a4: float = 440.0) -> float:
    """Frequency of a MIDI number in equal temperament (69 is A4; ISO 16: 440 Hz)."""
    return float(a4 * 2.0 ** ((midi - 69) / 12))


def check_a4(a4: float) -> float:
    """``a4`` itself; raises UsageError outside 430 to 450 Hz."""
    if not A4_LOW <= a4 <= A4_HIGH:
        raise UsageError(f"A4 is {a4:g} Hz; expected {A4_LOW:g} to {A4_HIGH:g}")
    return a4


def gain(velocity: int) -> float:
    """Amplitude of a velocity, 1 at 127: the square of velocity / 127.

    Source: the velocity curve recommended for sound modules by General MIDI 2
    (from memory).
    """
    return (velocity / 127) ** 2


@lru_cache(maxsize=512)
def _cycle(colour: Colour, count: int, velocity: int) -> Samples:
    """One cycle of a colour with ``count`` harmonics, one sample more than ``_CYCLE``."""
    import numpy as np

    dull = 1 - _BRIGHTNESS[colour] * (1 - velocity / 127)
    spectrum = np.zeros(_CYCLE // 2 + 1, dtype=complex)
    for index, weight in enumerate(_HARMONICS[colour][:count]):
        # Phases that grow with the square of the harmonic keep the peak low (Schroeder).
        phase = np.pi * index * (index + 1) / max(count, 1)
        spectrum[index + 1] = weight * dull**index * np.exp(1j * (phase - np.pi / 2))
    wave = np.fft.irfft(spectrum, _CYCLE)
    wave *= _CYCLE_RMS / np.sqrt(np.mean(wave**2))
    return np.append(wave, wave[0]).astype(np.float32)


@lru_cache(maxsize=16)
def _rise(length: int, equal_power: bool) -> Samples:
    """A soft edge from 0 to 1: raised cosine, or a quarter sine for a cross-fade."""
    import numpy as np

    ramp = (np.arange(length) + 0.5) / length
    edge = np.sin(ramp * np.pi / 2) if equal_power else 0.5 - 0.5 * np.cos(ramp * np.pi)
    return edge.astype(np.float32)


@lru_cache(maxsize=1)
def _tongue() -> Samples:
    """The level over the first moments of a tongued note, a little above 1."""
    import numpy as np

    t = np.arange(int(6 * _TONGUE_FADE_S * RATE)) / RATE
    return (1 + _TONGUE * np.exp(-t / _TONGUE_FADE_S)).astype(np.float32)


def note(
    midi: int,
    seconds: float,
    velocity: int,
    colour: Colour,
    *,
    a4: float = 440.0,
    slur_in_s: float = 0.0,
    slur_out_s: float = 0.0,
) -> Samples:
    """One note at ``RATE``, with soft edges.

    ``seconds`` is the length at half height for a tongued note.  ``slur_in_s`` and
    ``slur_out_s`` are the lengths of the cross-fade with the note before and after;
    0 means a tongued beginning and a plain release.
    """
    import numpy as np

    frequency = hertz(midi, a4)
    count = max(1, min(len(_HARMONICS[colour]), int(TOP_HERTZ / frequency)))
    rise = min(slur_in_s or ATTACK_S, seconds / 2)
    fall = min(slur_out_s or RELEASE_S, seconds)
    # Half height lies in the middle of an edge, so a plain release ends later.
    total = seconds if slur_out_s else seconds + (fall + (0 if slur_in_s else rise)) / 2
    length = max(2, round(total * RATE))
    phase = np.arange(length, dtype=np.float64)
    phase *= frequency * _CYCLE / RATE
    whole = phase.astype(np.int64)
    phase -= whole
    whole &= _CYCLE - 1
    cycle = _cycle(colour, count, velocity)
    low = cycle[whole]
    wave = low + (cycle[whole + 1] - low) * phase.astype(np.float32)
    wave *= np.float32(gain(velocity))
    if not slur_in_s:
        tongue = _tongue()[:length]
        wave[: len(tongue)] *= tongue
    edge = _rise(max(1, min(length // 2, round(rise * RATE))), bool(slur_in_s))
    wave[: len(edge)] *= edge
    edge = _rise(max(1, min(length // 2, round(fall * RATE))), bool(slur_out_s))
    wave[-len(edge) :] *= edge[::-1]
    return wave


def soft_limit(samples: Samples) -> Samples:
    """The samples with their peaks bent under ``CEILING``; unchanged below ``KNEE``."""
    import numpy as np

    size = np.abs(samples)
    if not size.size or float(size.max()) <= KNEE:
        return samples
    room = CEILING - KNEE
    bent = KNEE + room * np.tanh((size - KNEE) / room)
    return np.where(size <= KNEE, samples, np.sign(samples) * bent).astype(np.float32)
