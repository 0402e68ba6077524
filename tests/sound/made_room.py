"""A microphone in the room of a loudspeaker: what is played is heard so much later."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.signal import resample_poly

from drill.sound.capture import RATE
from drill.sound.render import render_float
from drill.sound.sounding import Playing


class RoomMicrophone:
    """Gives what was heard up to now.

    ``late_s`` is the way from the instant at which a take is said to begin to the microphone,
    ``first_s`` how long it takes to begin to hear, ``level`` how loud the take is in it.
    """

    def __init__(
        self,
        now: Callable[[], float],
        playing: Callable[[], Playing | None],
        late_s: float,
        *,
        first_s: float = 0.3,
        level: float = 0.2,
    ) -> None:
        self.late_s, self.first_s, self.level = late_s, first_s, level
        self.closed = False
        self._now, self._playing = now, playing
        self._opened = now()
        self._taken = 0
        self._heard: tuple[float, NDArray[np.float32]] | None = None

    @property
    def zero_s(self) -> float | None:
        return self._opened + self.first_s if self._taken else None

    def take(self) -> NDArray[np.float32]:
        playing = self._playing()
        if playing is not None and self._heard is None:
            air = resample_poly(render_float(playing.take), 1, 2).astype(np.float32)
            self._heard = playing.at, air
        due = max(0, round((self._now() - self._opened - self.first_s) * RATE))
        places = np.arange(self._taken, due)
        self._taken = max(self._taken, due)
        samples = np.zeros(len(places), np.float32)
        if self._heard is not None:
            at, air = self._heard
            within = places - round((at + self.late_s - self._opened - self.first_s) * RATE)
            inside = (within >= 0) & (within < len(air))
            samples[inside] = self.level * air[within[inside]]
        return samples

    def close(self) -> None:
        self.closed = True
