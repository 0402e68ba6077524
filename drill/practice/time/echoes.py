"""Calibrating the sound by a microphone: it hears the drill's own clicks.

What the microphone's own way adds is taken off where the sound server tells it; the rest of it
is in what is found, so a lead judged by it is told with its doubt.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Protocol

import numpy as np

from drill.sound.capture import RATE, Samples
from drill.sound.latency import asked, microphone_latency
from drill.sound.limits import VOLUME
from drill.sound.roundtrip import Echo, clicks_take, echo
from drill.sound.sounding import Playing, Sounding

LONGEST_S = 20.0
"""The whole may take so long."""
SETTLE_S = 0.5
"""The click waits for the microphone's first sound, and so long beyond: a server that only begins
to listen is a second late at first."""
AFTER_S = 1.0
"""The microphone stays open for so long after the last click."""

Held = Callable[[], float | None]
"""Asks how much of what the microphone heard the system holds, in seconds; None where nobody
knows."""


class OpenMicrophone(Protocol):
    """An open microphone."""

    @property
    def zero_s(self) -> float | None:
        """The instant of the first sample, on the clock; None before it came."""

    def take(self) -> Samples: ...
    def close(self) -> None: ...


def nobody_knows() -> None:
    """Where no sound server is to be asked."""


def held_by(environment: Mapping[str, str]) -> Held:
    """Asks the sound server of this environment about this very process."""
    return lambda: microphone_latency(asked(environment), os.getpid())


class Echoes:
    """Plays the clicks and listens until ``tick`` says that it is over."""

    def __init__(
        self,
        player: Sounding,
        microphone: OpenMicrophone,
        monotonic: Callable[[], float],
        held: Held,
        volume: float = VOLUME,
    ) -> None:
        self._player = player
        self._microphone = microphone
        self._monotonic = monotonic
        self._take = clicks_take(volume)
        self._heard: list[Samples] = []
        self._playing: Playing | None = None
        self._begun = monotonic()
        self._held: float | None = None
        self._ask = held
        self._asking: threading.Thread | None = None
        self._heard_at: float | None = None
        self.sounding = True
        """False where the sound is off."""

    def _play(self) -> None:
        # Asking a server may take a second, and nobody shall wait for it.
        self._asking = threading.Thread(target=self._be_told, daemon=True)
        self._asking.start()
        self.sounding = self._player.play(self._take, stale_s=0)

    def _be_told(self) -> None:
        self._held = self._ask()

    def tick(self) -> bool:
        """Take in what was heard; True when it is over.  Raises SoundError where the microphone
        gives nothing or is lost."""
        self._heard.append(self._microphone.take())
        now = self._monotonic()
        if self._heard_at is None and self._microphone.zero_s is not None:
            self._heard_at = now
        if self._asking is None:
            if self._heard_at is not None and now - self._heard_at > SETTLE_S:
                self._play()
            return now - self._begun > LONGEST_S
        playing = self._player.playing()
        if playing is not None and playing.take.clicks == self._take.clicks:
            self._playing = playing
        if not self.sounding or now - self._begun > LONGEST_S:
            return True
        return self._playing is not None and self._playing.seconds(now) > (
            self._take.length_s + AFTER_S
        )

    def found(self) -> Echo | None:
        """What was heard of the clicks; None where they were not played.  Keeps nothing."""
        zero = self._microphone.zero_s
        if self._playing is None or self._asking is None or zero is None:
            return None
        self._asking.join(0.5)
        due = [self._playing.at + click.onset_s - zero for click in self._take.clicks]
        heard = np.concatenate(self._heard) if self._heard else np.zeros(0, np.float32)
        found = echo(heard[: round(2 * LONGEST_S * RATE)], due)
        return replace(found, late_s=found.late_s - (self._held or 0.0))

    def close(self) -> None:
        """Be silent and let the microphone go."""
        self._player.stop()
        self._microphone.close()
