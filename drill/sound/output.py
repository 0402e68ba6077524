"""What an output is: its face, the one that makes no sound, and what may go wrong with one."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Protocol

from drill.errors import DrillError
from drill.sound.limits import Backend
from drill.sound.tone import RATE

Clock = Callable[[], float]

HOSTS: tuple[str, ...] = {
    "darwin": ("COREAUDIO",),
    "win32": ("WASAPI", "DSOUND", "WINMM"),
}.get(sys.platform, ("PULSEAUDIO", "ALSA", "JACK", "SNDIO", "AUDIO4", "OSS"))
"""What miniaudio goes through on this system, by its own names, in the order in which it is tried;
none of them is silent."""


class SoundError(DrillError):
    """The output device cannot be opened or was lost; ``innards`` are the library's own words,
    for the log."""

    def __init__(self, text: str, innards: str = "") -> None:
        super().__init__(text)
        self.innards = innards


class Output(Protocol):
    """An open way to the loudspeaker; one sound at a time."""

    backend: Backend
    """Never ``AUTO``."""
    device: str
    """The device or host interface, as far as the library says."""
    latency_s: float
    """From handing over a sample to hearing it: assumed, until somebody tells it."""

    def start(self, pcm: bytes) -> float:
        """Sound 16-bit mono samples in place of what sounds; the instant of the first.

        Raises SoundError when the device is missing, busy or lost.
        """

    def stop(self) -> None:
        """Be silent at once."""

    def playing(self) -> bool:
        """Whether something sounds; raises SoundError when the device was lost."""

    def began(self) -> float | None:
        """The instant at which the first sample was heard, measured anew while it plays.

        None while it is not known.
        """

    def handed(self) -> int:
        """Samples of what sounds that were handed over so far."""

    def slipped(self) -> float:
        """Seconds by which what sounds has fallen behind since it began: a machine that was too
        busy left a hole.  0 where there was none, or where it cannot be known."""

    def rest(self) -> bool:
        """Called now and then while nothing plays: let go what costs power.

        True when there is nothing left to let go.
        """

    def close(self) -> None:
        """Let the device go."""


class SilentOutput:
    """An output that makes no sound but keeps time."""

    backend = Backend.SILENT
    device = "no sound"
    latency_s = 0.0

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._began = 0.0
        self._length_s = 0.0

    def start(self, pcm: bytes) -> float:
        self._began = self._clock()
        self._length_s = len(pcm) / 2 / RATE
        return self._began

    def stop(self) -> None:
        self._length_s = 0.0

    def playing(self) -> bool:
        return self._clock() - self._began < self._length_s

    def began(self) -> float | None:
        return self._began

    def handed(self) -> int:
        return 0

    def slipped(self) -> float:
        return 0.0

    def rest(self) -> bool:
        return True

    def close(self) -> None: ...
