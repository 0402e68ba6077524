"""What an outside library (scipy) hears in samples: pitch, level and onsets.

None of this is the room's own arithmetic turned round: pitches come from a
spectrum, onsets and lengths from the envelope.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import fft, signal

Wave = NDArray[np.float64]

A4 = 440.0
"""ISO 16."""


def cents(found: float, expected: float) -> float:
    return float(1200 * np.log2(found / expected))


def equal_tempered(midi: float, a4: float = A4) -> float:
    """Hertz of a MIDI number: 69 is A4 (MIDI 1.0), A4 = 440 Hz (ISO 16)."""
    return float(a4 * 2 ** ((midi - 69) / 12))


def pitch(samples: NDArray[np.generic], rate: int) -> float:
    """Fundamental in hertz: the lowest strong peak of a windowed spectrum."""
    wave = np.asarray(samples, dtype=np.float64)
    wave = wave * signal.windows.blackmanharris(len(wave))
    size = int(fft.next_fast_len(8 * len(wave)))
    level = np.abs(fft.rfft(wave, size))
    apart = max(1, int(4 * size / len(wave)))
    peaks, _ = signal.find_peaks(level, height=0.1 * level.max(), distance=apart)
    low = int(peaks[0])
    left, middle, right = np.log(level[low - 1 : low + 2])
    shift = 0.5 * (left - right) / (left - 2 * middle + right)
    return float((low + shift) * rate / size)


def rms(samples: NDArray[np.generic]) -> float:
    return float(np.sqrt(np.mean(np.asarray(samples, dtype=np.float64) ** 2)))


def envelope(samples: NDArray[np.generic], rate: int, seconds: float = 0.004) -> Wave:
    """Peak level about each sample."""
    from scipy.ndimage import maximum_filter1d

    wave = np.abs(np.asarray(samples, dtype=np.float64))
    return np.asarray(maximum_filter1d(wave, max(1, int(seconds * rate))))


def stretches(
    samples: NDArray[np.generic], rate: int, share: float = 0.5
) -> list[tuple[float, float]]:
    """The stretches (from, to, in seconds) in which the level is over ``share`` of the peak.

    The envelope window widens each stretch by half its length on both sides; that is
    taken off again.
    """
    window = 0.004
    level = envelope(samples, rate, window)
    over = np.concatenate(([False], level > share * level.max(), [False]))
    edges = np.flatnonzero(np.diff(over.astype(int))) / rate
    return [
        (float(a) + window / 2, float(b) - window / 2)
        for a, b in zip(edges[::2], edges[1::2], strict=True)
    ]
