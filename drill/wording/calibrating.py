"""How late an output sounds: what the player is told of it, and of calibrating it."""

from __future__ import annotations

from typing import Protocol

from drill.sound.latency import UNCERTAIN_S, LatencySource
from drill.sound.limits import Backend
from drill.sound.roundtrip import CLICKS, Echo

LISTENING = "the microphone is open: some clicks, then it is closed again"


def echo_told(found: Echo, latency_s: float) -> str:
    """What a microphone told; ``latency_s`` is the latency that is kept where it was clear."""
    if not found.count:
        return "the microphone heard no click: let a loudspeaker sound it, or tap along instead"
    if not found.clear:
        return (
            f"the microphone heard {found.count} of {CLICKS} clicks, their delays spread by "
            f"{found.spread_s * 1000:.0f} ms: nothing was kept; a quieter room helps"
        )
    own_ms = UNCERTAIN_S[LatencySource.HEARD] * 1000
    return (
        f"calibrated: the microphone heard this output {latency_s * 1000:.0f} ms after it was told "
        f"to sound; the microphone's own way may be {own_ms:.0f} ms of it"
    )


LATENESS = "How late it sounds"
LATENESS_HELP = (
    "Calibrated by your taps, heard by a microphone, measured by the sound server, or assumed. "
    "Taken off in time. Enter lets you tap along with a click, or a microphone hear it."
)
TITLE = "How late does it sound?"
HOW = (
    "A steady click sounds for some twenty seconds. Tap any letter key or the space bar along with "
    "it, as you would tap your foot; the first taps find the beat and do not count. A microphone "
    "before the loudspeaker can hear it instead."
)
BROKEN_OFF = "broken off: nothing was kept"
_KNOWN = {
    LatencySource.CALIBRATED: "calibrated",
    LatencySource.HEARD: "heard",
    LatencySource.MEASURED: "measured",
    LatencySource.ASSUMED: "assumed",
}


class KnownOutput(Protocol):
    """What is known of an output; see ``sound.sounding.OutputState``."""

    @property
    def backend(self) -> str: ...
    @property
    def latency_s(self) -> float: ...
    @property
    def source(self) -> LatencySource: ...


def lateness_told(state: KnownOutput) -> str:
    """How late an output sounds, how that is known and how far off it may be."""
    if not state.backend:
        return "not known before anything sounded"
    if state.backend == Backend.SILENT:
        return "nothing sounds here"
    doubt = UNCERTAIN_S[state.source] * 1000
    return f"{state.latency_s * 1000:.0f} ms {_KNOWN[state.source]}, within {doubt:.0f}"
