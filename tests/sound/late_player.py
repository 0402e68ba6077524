"""A player whose output sounds later than it says, for the tests of calibrating."""

from __future__ import annotations

from drill.sound.latency import LatencySource
from drill.sound.sounding import OutputState, Playing
from drill.sound.take import Take

SAID_S = 0.04
"""How late the output says that it sounds."""


class LatePlayer:
    """It plays ``wait_s`` after it is asked to, by the clock ``now``, which a test moves."""

    def __init__(self, late_s: float, now: float, *, wait_s: float = 0.3) -> None:
        self.late_s, self.now = late_s, now
        self.muted = False
        self.kept: list[tuple[float, LatencySource]] = []
        """How much later than it says, as it was calibrated."""
        self.asked: Playing | None = None
        """What was played last, over or not."""
        self._wait_s = wait_s

    @property
    def state(self) -> OutputState:
        return OutputState("miniaudio", "a test", SAID_S, LatencySource.ASSUMED, "out")

    def play(self, take: Take, *, stale_s: float = 2.5) -> bool:
        if not self.muted:
            self.asked = Playing(take, self.now + self._wait_s)
        return not self.muted

    def playing(self) -> Playing | None:
        now = self.asked
        return now if now and now.at <= self.now < now.at + now.take.length_s else None

    def calibrate(self, late_s: float, source: LatencySource = LatencySource.CALIBRATED) -> float:
        self.kept.append((late_s, source))
        return SAID_S + late_s

    def cut_off(self, take: Take) -> bool:
        return False

    def poll(self) -> str | None:
        return None

    def stop(self) -> None:
        self.asked = None
