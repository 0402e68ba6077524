"""What a front end is handed of sound: a player, and what is playing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from drill.sound.latency import UNCERTAIN_S, LatencySource
from drill.sound.take import Take

STALE_S = 2.5
"""A take that would begin later than this after it was asked for is left out."""


@dataclass(frozen=True, slots=True)
class Playing:
    """What is heard now, by the audio clock."""

    take: Take
    at: float
    """The instant, on the monotonic clock, at which the take begins to be heard."""
    source: LatencySource = LatencySource.ASSUMED
    """How the way to the ear is known."""
    slipped_s: float = 0.0
    """How far it has fallen behind since it began; 0 where the output kept up."""

    @property
    def uncertain_s(self) -> float:
        """How far off ``at`` may be."""
        return UNCERTAIN_S[self.source]

    def seconds(self, now: float) -> float:
        """How far into the take we are at the instant ``now``."""
        return now - self.at


@dataclass(frozen=True, slots=True)
class OutputState:
    """What is known of the output."""

    backend: str = ""
    """The library in use; empty while none is."""
    device: str = ""
    latency_s: float = 0.0
    """From a sample handed over to the ear."""
    source: LatencySource = LatencySource.ASSUMED
    """How that is known."""
    output: str = ""
    """A name for the way to the loudspeaker, by which calibrations are kept."""


class Sounding(Protocol):
    """What front ends use of ``Player``."""

    @property
    def muted(self) -> bool:
        """Whether nothing is heard until ``unmute``."""

    @property
    def failed(self) -> bool:
        """Whether sound was given up for now: ``play`` tries the output again after a while."""

    def warm(self) -> None:
        """Begin to open the output; nothing is waited for."""

    def play(self, take: Take, *, stale_s: float = STALE_S) -> bool:
        """Ask for a take in place of what sounds; False while muted.

        After ``stale_s`` seconds it is too late to begin; 0 waits as long as it takes.
        """

    def stop(self) -> None:
        """Be silent now."""

    def mute(self) -> None:
        """Be silent from now on."""

    def unmute(self) -> None:
        """Sound again; a device that failed is tried anew."""

    def poll(self) -> str | None:
        """A sentence for the player, once; None when there is nothing to say."""

    def playing(self) -> Playing | None:
        """What is heard now; None for nothing."""

    @property
    def state(self) -> OutputState:
        """What is known of the output."""

    def cut_off(self, take: Take) -> bool:
        """Whether the device or the helper went while this take was playing."""

    def calibrate(self, late_s: float, source: LatencySource = LatencySource.CALIBRATED) -> float:
        """Keep that this output is heard so many seconds later than was taken (negative: earlier),
        as ``source`` found; the latency from now on.  Raises DrillError.
        """

    def close(self) -> None:
        """End it; a second call does nothing."""
