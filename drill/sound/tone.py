"""Notes to samples: one cycle summed from its harmonics, read out at the note's frequency.

Conventions of this room: pitches are *sounding* MIDI numbers; times are seconds;
velocities are 1 to 127 (MIDI 1.0); samples are mono at ``RATE`` per second, as
floats in -1 .. 1 until the last step.  numpy is imported only when something is
rendered, so that importing the room costs nothing.

The pitch is exact and nothing folds back: no harmonic lies above ``TOP_HERTZ``.  A
tongued note begins a little louder and duller, its upper harmonics come in at once,
and it settles; a long note has a slight vibrato after its beginning, whose mean is
the pitch.  Every note begins and ends with a soft edge.  What the harmonics are is
told by ``spectra``.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from drill.errors import UsageError
from drill.sound.limits import A4_HIGH, A4_LOW
from drill.sound.spectra import SPECTRA, Colour, gain, harmonics
from drill.terms import hertz

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float32]

RATE = 44100
"""Samples a second."""
ATTACK_S = 0.012
"""Length of the soft edge of a tongued note."""
RELEASE_S = 0.024
"""Length of the soft edge at the end of a note."""
CEILING = 0.5
"""No sample is ever above this: 6 dB below full scale."""
KNEE = 0.4
"""Level above which the soft limit bends the signal."""

_CYCLE = 4096
_TONGUE = 0.25
_TONGUE_FADE_S = 0.035
_SETTLED = 0.78
"""What a held note's level settles to, of that at its beginning."""
_SETTLE_S = 0.9
VIBRATO_HZ = 5.0
"""Five a second is common practice."""
_VIBRATO_FROM_S, _VIBRATO_RISE_S = 0.35, 0.4
"""A note must be held before it begins to swing, and the swing grows."""
_DULL_VELOCITY = 24
"""A tongued note begins with the harmonics of one so soft."""


def check_a4(a4: float) -> float:
    """``a4`` itself; raises UsageError outside 430 to 450 Hz."""
    if not A4_LOW <= a4 <= A4_HIGH:
        raise UsageError(f"A4 is {a4:g} Hz; expected {A4_LOW:g} to {A4_HIGH:g}")
    return a4


@lru_cache(maxsize=1024)
def _cycle(colour: Colour, midi: int, velocity: int) -> Samples:
    """One cycle of a note, one sample more than ``_CYCLE``."""
    import numpy as np

    levels = harmonics(colour, midi, velocity)
    spectrum = np.zeros(_CYCLE // 2 + 1, dtype=complex)
    for index, weight in enumerate(levels):
        # Phases that grow with the square of the harmonic keep the peak low (Schroeder).
        phase = np.pi * index * (index + 1) / len(levels)
        spectrum[index + 1] = weight * np.exp(1j * (phase - np.pi / 2)) * _CYCLE / 2
    wave = np.fft.irfft(spectrum, _CYCLE)
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


@lru_cache(maxsize=1)
def _settling() -> Samples:
    """The level of a held note as it settles, from 1, over ten seconds."""
    import numpy as np

    t = np.arange(10 * RATE) / RATE
    return (_SETTLED + (1 - _SETTLED) * np.exp(-t / _SETTLE_S)).astype(np.float32)


def _read(cycle: Samples, whole: NDArray[np.int64], part: Samples) -> Samples:
    """The cycle at places between its samples."""
    low = cycle[whole]
    return low + (cycle[whole + 1] - low) * part


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

    rise = min(slur_in_s or ATTACK_S, seconds / 2)
    fall = min(slur_out_s or RELEASE_S, seconds)
    # Half height lies in the middle of an edge, so a plain release ends later.
    total = seconds if slur_out_s else seconds + (fall + (0 if slur_in_s else rise)) / 2
    length = max(2, round(total * RATE))
    whole, part = _phase(length, hertz(midi, a4), SPECTRA[colour].vibrato_cents)
    cycle = _cycle(colour, midi, velocity)
    wave = _read(cycle, whole, part)
    if not slur_in_s:
        _bitten(wave, whole, part, colour, midi, velocity)
        tongue = _tongue()[:length]
        wave[: len(tongue)] *= tongue
    settling = _settling()[:length]
    wave[: len(settling)] *= settling
    wave[len(settling) :] *= np.float32(_SETTLED)
    edge = _rise(max(1, min(length // 2, round(rise * RATE))), bool(slur_in_s))
    wave[: len(edge)] *= edge
    edge = _rise(max(1, min(length // 2, round(fall * RATE))), bool(slur_out_s))
    wave[-len(edge) :] *= edge[::-1]
    return wave


def _phase(
    length: int, frequency: float, vibrato_cents: float
) -> tuple[NDArray[np.int64], Samples]:
    """Where in the cycle each sample lies: whole places, and the parts between them."""
    import numpy as np

    phase = np.arange(length, dtype=np.float64)
    phase *= frequency * _CYCLE / RATE
    first = round(_VIBRATO_FROM_S * RATE)
    if vibrato_cents and length > first:
        t = np.arange(length - first) / RATE
        depth = frequency * (2 ** (vibrato_cents / 1200) - 1) / (2 * np.pi * VIBRATO_HZ)
        swing = np.minimum(1.0, t / _VIBRATO_RISE_S) * np.sin(2 * np.pi * VIBRATO_HZ * t)
        phase[first:] += _CYCLE * depth * swing
    whole = phase.astype(np.int64)
    phase -= whole
    whole &= _CYCLE - 1
    return whole, phase.astype(np.float32)


def _bitten(
    wave: Samples,
    whole: NDArray[np.int64],
    part: Samples,
    colour: Colour,
    midi: int,
    velocity: int,
) -> None:
    """Let the upper harmonics of a tongued note come in after the first ones, in place."""
    import numpy as np

    count = min(len(wave), round(SPECTRA[colour].bite_s * RATE))
    soft = min(_DULL_VELOCITY, velocity)
    dull = _read(_cycle(colour, midi, soft), whole[:count], part[:count])
    dull *= np.float32(gain(velocity) / gain(soft))
    come = np.linspace(0, 1, count, dtype=np.float32)
    wave[:count] = dull + (wave[:count] - dull) * come


def soft_limit(samples: Samples) -> Samples:
    """The samples with their peaks bent under ``CEILING``; unchanged below ``KNEE``."""
    import numpy as np

    size = np.abs(samples)
    if not size.size or float(size.max()) <= KNEE:
        return samples
    room = CEILING - KNEE
    bent = KNEE + room * np.tanh((size - KNEE) / room)
    return np.where(size <= KNEE, samples, np.sign(samples) * bent).astype(np.float32)
