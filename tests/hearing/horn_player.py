"""A microphone that hears cells cut out of a kept take (alto saxophone, written E, going up), and
a MIDI instrument."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from kept_takes import one, read_recording

from drill.sound.capture import RATE

IN_E = (
    'title = "In E"\ninstrument = "alto_sax"\npatterns = ["return3"]\nkeys = ["E"]\n'
    'directions = ["up"]\n'
)
"""A deck of the run that the kept takes of an alto play."""
BLOCK = RATE // 100
_TAKE = one("alto-swung")
_SOUND = read_recording(_TAKE.path)


def cell(number: int, notes: int = 4) -> np.ndarray:
    """The first notes of a cell of the run, the cell on 1 being 0."""
    at = 4 * number
    first, last = _TAKE.notes[at]["onset"], _TAKE.notes[at + notes]["onset"]
    samples = _SOUND[int((first - 0.03) * RATE) : int((last - 0.02) * RATE)].copy()
    fade = int(0.02 * RATE)
    samples[-fade:] *= np.linspace(1, 0, fade)
    return samples


class Microphone:
    """Gives 10 ms (times ``blocks``) at a time: what is played, a quiet room between."""

    def __init__(self, blocks: int = 1) -> None:
        self._count = blocks * BLOCK
        self.now = 0.0
        self.closed = False
        self._rng = np.random.default_rng(1)
        self._waiting = np.zeros(0, np.float32)

    def clock(self) -> float:
        return self.now

    def wait(self, seconds: float) -> None:
        self._queue(np.zeros(int(seconds * RATE), np.float32))

    def play(self, samples: np.ndarray, after_s: float = 0.4) -> None:
        self.wait(after_s)
        self._queue(samples)

    def _queue(self, samples: np.ndarray) -> None:
        self._waiting = np.concatenate([self._waiting, samples.astype(np.float32)])

    def take(self) -> np.ndarray:
        self.now += 0.01
        block, self._waiting = self._waiting[: self._count], self._waiting[self._count :]
        quiet = self._rng.normal(0, 1e-4, self._count).astype(np.float32)
        quiet[: len(block)] += block
        return quiet

    def close(self) -> None:
        self.closed = True


class KeyPort:
    """A MIDI instrument: each note is let go before the next."""

    def __init__(self) -> None:
        self.closed = False
        self.looked_at = 0
        """How often what came in was asked for."""
        self._strokes: list[tuple[str, float, int, int]] = []

    def play(self, pitches: Sequence[int]) -> None:
        self._strokes = [
            stroke
            for place, pitch in enumerate(pitches)
            for stroke in (("on", place * 0.3, pitch, 80), ("off", place * 0.3 + 0.25, pitch, 0))
        ]

    def take(self) -> list[tuple[str, float, int, int]]:
        self.looked_at += 1
        found, self._strokes = self._strokes, []
        return found

    def close(self) -> None:
        self.closed = True
