"""A player without sound for the tests of front ends."""

from __future__ import annotations

from collections.abc import Callable

from drill.clock import monotonic
from drill.sound.latency import LatencySource
from drill.sound.sounding import STALE_S, OutputState, Playing
from drill.sound.take import Take


class SilentPlayer:
    """A player without sound: it keeps what it was asked to play, and the beat."""

    def __init__(self, clock: Callable[[], float] = monotonic, *, muted: bool = False) -> None:
        self._clock = clock
        self._muted = muted
        self._now: Playing | None = None
        self.failed = False
        """Set it for an output that was given up."""
        self.played: list[Take] = []
        """Every take asked for while not muted."""

    @property
    def muted(self) -> bool:
        return self._muted

    def warm(self) -> None: ...

    def play(self, take: Take, *, stale_s: float = STALE_S) -> bool:
        if self._muted:
            return False
        self.played.append(take)
        self._now = Playing(take, self._clock(), LatencySource.CALIBRATED)
        return True

    def stop(self) -> None:
        self._now = None

    def mute(self) -> None:
        self._muted = True
        self.stop()

    def unmute(self) -> None:
        self._muted = False

    def poll(self) -> str | None:
        return None

    def playing(self) -> Playing | None:
        now = self._now
        return now if now and now.seconds(self._clock()) < now.take.length_s else None

    @property
    def state(self) -> OutputState:
        return OutputState("silent", source=LatencySource.CALIBRATED)

    def cut_off(self, take: Take) -> bool:
        return False

    def calibrate(self, late_s: float, source: LatencySource = LatencySource.CALIBRATED) -> float:
        return 0.0

    def close(self) -> None:
        self.stop()
