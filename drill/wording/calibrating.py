"""How late an output sounds, by a microphone: what the player is told of calibrating it."""

from __future__ import annotations

from drill.sound.latency import UNCERTAIN_S, Source
from drill.sound.roundtrip import CLICKS, Echo

LISTENING = "the microphone is open: some clicks, then it is closed again"
CLOSED = "the microphone is closed"


def echo_told(found: Echo, latency_s: float) -> str:
    """What a microphone told; ``latency_s`` is the latency that is kept where it was clear."""
    if not found.count:
        return "the microphone heard no click: let a loudspeaker sound it, or tap along instead"
    if not found.clear:
        return (
            f"the microphone heard {found.count} of {CLICKS} clicks, their delays spread by "
            f"{found.spread_s * 1000:.0f} ms: nothing was kept; a quieter room helps"
        )
    return (
        f"calibrated: the microphone heard this output {latency_s * 1000:.0f} ms after it was told "
        f"to sound; the microphone's own way may be {UNCERTAIN_S[Source.HEARD] * 1000:.0f} ms of it"
    )
