"""How a run in time went: the beat in milliseconds, then the notes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from drill.wording.figures import out_of
from drill.wording.sentence import Sentence, sentence, written

if TYPE_CHECKING:
    from drill.memory.tempo import Estimate
    from drill.terms import Key

OUTCOMES = {
    "locked-in": "locked in",
    "unsteady": "right, but unsteady",
    "late": "right, but late",
    "early": "right, but early",
    "wrong-notes": "wrong notes",
    "too-few": "too few notes to judge",
}
"""What the outcomes of a run in time are called, by their ids."""
_TOO_FEW = "too-few"
_STILL = 0.001
"""Seconds a beat under which nothing drifts."""


class TimingTold(Protocol):
    """What is told of the timing; see ``practice.time.timing.Timing`` for the meaning of each."""

    @property
    def outcome(self) -> str: ...
    @property
    def lead_s(self) -> float: ...
    @property
    def spread_s(self) -> float: ...
    @property
    def drift_s(self) -> float: ...
    @property
    def jitter_s(self) -> float: ...
    @property
    def uncertain_s(self) -> float: ...
    @property
    def doubtful(self) -> bool: ...


def figures_told(timing: TimingTold) -> str:
    """Before or after the beat, the spread and the drift; empty where nothing can be judged."""
    if timing.outcome == _TOO_FEW:
        return ""
    side = "before" if timing.lead_s < 0 else "after"
    doubt = (
        f" (give or take {timing.uncertain_s * 1000:.0f}: how late the sound is was not tapped)"
        if timing.doubtful
        else ""
    )
    return (
        f"{abs(timing.lead_s) * 1000:.0f} ms {side} the beat{doubt}, "
        f"spread {timing.spread_s * 1000:.0f} ms, {_drift(timing.drift_s)} "
        f"(keys and terminal: about {timing.jitter_s * 1000:.0f} ms)"
    )


def _drift(drift_s: float) -> str:
    if abs(drift_s) < _STILL:
        return "no drift"
    way = "rushing" if drift_s < 0 else "dragging"
    return f"{way} {abs(drift_s) * 1000:.0f} ms a beat"


def timing_told(timing: TimingTold) -> str:
    """The timing in one sentence."""
    figures = figures_told(timing)
    label = OUTCOMES[timing.outcome]
    return f"{label}: {figures}" if figures else label


def tapped_told(came: int, count: int) -> str:
    """How many notes were tapped."""
    return out_of(came, count, "notes tapped")


def notes_told(right: int, count: int, extra: int) -> str:
    """How many notes were right; ``extra`` came that were not asked for."""
    told = "every note right" if right == count else out_of(right, count, "notes right")
    return f"{told}, {extra} too many" if extra else told


def estimate_told(estimate: Estimate) -> str:
    """The tempo at which four tries of five are locked in, with where it lies at 80 %."""
    if not estimate.enough:
        return "not enough tries yet"
    return f"{estimate.bpm:.0f} ({estimate.low:.0f} to {estimate.high:.0f})"


def in_time_told(tempo: float, outcome: str, kept: bool = False) -> str:
    """How a run that was played was in time; ``kept`` where the next tempo is told elsewhere."""
    said = f"In time at {tempo:g}: {OUTCOMES[outcome]}"
    if outcome == "locked-in" and not kept:
        return f"{said}; a step faster is next."
    return f"{said}."


NO_TEMPO_KEPT = "Nothing was kept in the log: a run that was begun again has no tempo."


def kept_on_horn_told(
    key: Key, way: str, outcome: str, streak: tuple[int, int], bpm: int
) -> Sentence:
    """What was kept of a run on the horn; ``streak`` is how many in a row, of how many."""
    row = f" ({streak[0]} of {streak[1]} in a row)" if streak[0] else ""
    return sentence(
        "Kept on the horn, ", written(key), f", {way}: {OUTCOMES[outcome]}{row}; next {bpm}."
    )
