"""The written notes that may be used: a horn's range, or the player's own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from drill.terms import Fit, Instrument, Note, Remark

HOME_OCTAVE = 4
"""Where a run without an instrument begins: the tonic between C4 and B4."""


@dataclass(frozen=True, slots=True)
class Limits:
    """The written notes that may be used, both ends included; None leaves an end open."""

    low: Note | None = None
    high: Note | None = None

    def hold(self, notes: tuple[Note, ...]) -> bool:
        """Whether every note can be played."""
        low = self.low.midi if self.low else -999
        high = self.high.midi if self.high else 999
        return all(low <= note.midi <= high for note in notes)


def limits_of(horn: Instrument | None, *, extended: bool = False) -> Limits:
    """The standard (or extended) written range of a horn; open where it is None."""
    if horn is None:
        return Limits()
    if extended:
        return Limits(horn.low_extended, horn.high_extended)
    return Limits(horn.low, horn.high)


def usual_first(
    octaves: Sequence[int], begins: Callable[[int], Note], horn: Instrument
) -> list[int]:
    """The octaves in the order in which they are tried: from the horn's usual first note up, then
    down from there; ``begins`` gives the note on which a run in an octave begins."""
    usual = [octave for octave in octaves if begins(octave).midi >= horn.first.midi]
    return [*usual, *(octave for octave in reversed(octaves) if octave not in usual)]


def left_out(labels: list[str]) -> tuple[Remark, ...]:
    """The remark on cells that the horn cannot play; none where it can play all."""
    return (Remark(Fit.LACKING, tuple(labels)),) if labels else ()
