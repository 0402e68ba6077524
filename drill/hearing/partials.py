"""Whether a sound has the partials of a lower note: what tells a note from its octave.

A reed with a strong second partial repeats nearly twice in a period, and is easily taken for its
octave.  But only the lower note has odd partials: how far they stand above the sound between the
partials tells the two apart, and the rest of the take tells how far they stand on this horn.
"""

from __future__ import annotations

import numpy as np

from drill.hearing.path import Scene
from drill.terms import hertz

PERIODS = 3.0
"""Periods of the lower note that must be heard before anything is said."""
_SIZE = 16384
_HIGHEST_HZ = 5000.0


def presence(here: Scene, on: float, off: float, lower: int, times: int = 2) -> float | None:
    """Decibels by which the partials of ``lower`` that its ``times``-fold lacks stand out.

    None where the sound is too short or too high to say.  Each partial counts from -10 to 25.
    """
    tone = hertz(lower + here.tune / 100, here.a4)
    first, last = int((on + 0.012) * here.rate), int((off - 0.008) * here.rate)
    sound = here.sound[max(0, first) : last].astype(np.float64)
    if len(sound) < PERIODS * here.rate / tone:
        return None
    size = max(_SIZE, 1 << (len(sound) - 1).bit_length())
    power = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), size)) ** 2
    step = here.rate / size
    reach = min(0.12 * tone, 1.2 * here.rate / len(sound))

    def peak(at: float) -> float:
        low, high = int((at - reach) / step), int((at + reach) / step) + 2
        return float(power[max(0, low) : high].max()) + 1e-12

    seen = [
        10 * np.log10(2 * peak(k * tone) / (peak((k - 0.5) * tone) + peak((k + 0.5) * tone)))
        for k in range(1, 14)
        if k % times and k * tone < min(0.4 * here.rate, _HIGHEST_HZ)
    ]
    return float(np.mean(np.clip(seen, -10, 25))) if seen else None
