"""The same ear with another pitch front end: a general-purpose tracker's, for comparison.

librosa's pyin (McLeod and Mauch's probabilistic YIN; ISC licence) tells a pitch and how likely it
is voiced for each frame; all that follows (path, pairing, second looks) is drill's own.  It needs
some 370 MB of wheels, is in no lock, and is installed by hand where the comparison is wanted:

    .drill-env-tests/bin/python -m pip install --target FOLDER librosa
    PYTHONPATH=FOLDER .drill-env-tests/bin/python tests/bench/bench_take.py --tracker
"""

from __future__ import annotations

import importlib.util
from typing import Any

import numpy as np

from drill.hearing.frames import HOP_S, Array, Ear
from drill.terms import hertz

FRAME = 2048
"""Samples in a frame."""
SWITCH = 0.01
"""Chance that a frame goes from voiced to unvoiced or back (the library's own)."""
RESOLUTION = 0.2
"""Semitones from one pitch of the tracker to the next."""
LEAST = 0.9
"""Probability that a voiced frame has at least: with 0 (the tracker's own figure) one flag in ten
was right, with 0.9 one in two (24 takes, seeds 300000 to 300023)."""
GUESSES = True
"""Whether the pitch of an unvoiced frame counts, by its probability; no difference was found."""


def lacking() -> str | None:
    """What must be installed for the comparison; None where nothing is missing."""
    if importlib.util.find_spec("librosa") is None:
        return "no librosa (see pitch_tracker.py)"
    return None


class TrackedEar(Ear):
    """An ear whose evidence for semitones is the tracker's."""

    def __init__(self, pitches: tuple[int, ...], rate: int, a4: float = 440.0) -> None:
        super().__init__(pitches, rate, a4)
        self._raw: list[Array] = []

    def feed(self, samples: Array) -> None:
        """Take in mono samples, and keep them for the tracker."""
        self._raw.append(samples)
        super().feed(samples)

    def end(self) -> None:
        """Put the tracker's pitches in the place of the ear's own."""
        super().end()
        pitch, chance, times = self._tracked(np.concatenate(self._raw).astype(np.float32))
        at = np.searchsorted(times, self.times).clip(0, len(times) - 1)
        for rows in (self._pitch.rows, self._cents.rows):
            rows[:] = 0
        for frame, (midi, sure) in enumerate(zip(pitch[at], chance[at], strict=True)):
            if np.isfinite(midi) and self.low <= round(midi) <= self.high:
                self._pitch.rows[frame, round(midi) - self.low] = sure
                self._cents.rows[frame, round(midi) - self.low] = 100 * (midi - round(midi))

    def _tracked(self, samples: Array) -> tuple[Array, Array, Array]:
        """MIDI number (NaN: none), probability and middle of each of the tracker's frames."""
        librosa: Any = importlib.import_module("librosa")
        hop = int(HOP_S * self.rate)
        found, voiced, chance = librosa.pyin(
            samples,
            fmin=hertz(self.low, self.a4),
            fmax=min(hertz(self.high, self.a4), 0.45 * self.rate),
            sr=self.rate,
            frame_length=FRAME,
            hop_length=hop,
            resolution=RESOLUTION,
            switch_prob=SWITCH,
            fill_na=None,
        )
        sure = np.where(voiced, np.maximum(chance, LEAST), chance if GUESSES else 0.0)
        midi = 69 + 12 * np.log2(found / self.a4)
        return midi, sure, np.arange(len(found)) * hop / self.rate
