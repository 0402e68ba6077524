"""What the output is, for a person who tests it: backend, device, latency, level."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from drill.sound.latency import LatencySource
from drill.sound.player import Player
from drill.sound.spectra import Colour
from drill.sound.take import Event, Take
from drill.sound.tone import CEILING

TEST_MIDI = 69
"""The test tone is A4, the note that orchestras tune to."""
TEST_S = 1.0
WAIT_S = 8.0
"""How long the output may take to begin."""


@dataclass(frozen=True, slots=True)
class SoundTest:
    """What a test of the output found."""

    sounded: bool
    """Whether the library took the tone; only an ear can say that it was heard."""
    backend: str
    """The library; empty when none could be used."""
    device: str
    latency_s: float
    """From a sample handed over to the ear."""
    began_s: float
    """From asking for the tone to its beginning, with a helper already running."""
    peak: float
    """Highest level of the tone, 0 to 1 of full scale."""
    why: str = ""
    """Why there is no sound; empty when there is."""
    source: LatencySource = LatencySource.ASSUMED
    """How the latency is known."""

    @property
    def peak_db(self) -> float:
        """The peak in decibels below full scale: 0 or less."""
        return 20 * math.log10(self.peak) if self.peak else -math.inf

    def lines(self) -> tuple[str, ...]:
        """The report in plain lines."""
        if not self.sounded:
            return (self.why or "No sound.",)
        if self.backend == "silent":
            return ("Sound is off (silent output).",)
        inside, whole = self.latency_s * 1000, self.began_s * 1000
        limit = 20 * math.log10(CEILING)
        return (
            f"Sound: {self.backend} on {self.device}",
            f"Latency: {whole:.0f} ms from asking to sounding; the device's {inside:.0f} of it "
            + _KNOWN[self.source],
            f"Level: peak {self.peak_db:.0f} dB of full scale; never above {limit:.1f} dB",
        )


_KNOWN = {
    LatencySource.CALIBRATED: "as tapped on this output",
    LatencySource.HEARD: "as the microphone heard this output",
    LatencySource.MEASURED: "as the sound server tells",
    LatencySource.ASSUMED: "are assumed, nobody told: drill sound --calibrate",
}


def tone_take(volume: float, a4: float = 440.0) -> Take:
    """The test tone: one second of A4."""
    return Take(
        (Event(TEST_MIDI, 0.0, TEST_S),), TEST_S + 0.1, colour=Colour.FLUTE, volume=volume, a4=a4
    )


def sound_report(
    player: Player,
    clock: Callable[[], float],
    sleep: Callable[[float], None],
    *,
    volume: float,
    a4: float = 440.0,
) -> SoundTest:
    """Play the test tone through ``player`` and report; waits until it has ended."""
    from drill.sound.render import render_float

    take = tone_take(volume, a4)
    player.warm()
    deadline = clock() + WAIT_S
    while not (player.ready or player.failed) and clock() < deadline:
        sleep(0.02)
    asked = clock()
    player.play(take, stale_s=0)
    while player.playing() is None and not player.failed and clock() < deadline:
        sleep(0.005)
    playing = player.playing()
    if playing is not None:
        sleep(max(0.0, take.length_s - playing.seconds(clock()) + 0.1))
    state = player.state
    why = player.poll() or ""
    if playing is None and not why:
        why = "No sound: the output did not begin."
    return SoundTest(
        playing is not None,
        state.backend,
        state.device,
        state.latency_s,
        max(0.0, playing.at - asked) if playing else 0.0,
        float(abs(render_float(take)).max()),
        why,
        state.source,
    )
