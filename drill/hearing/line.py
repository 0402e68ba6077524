"""The line that was asked: its notes as written, where each stands, and how each sounds."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from drill.hearing.values import Asked
from drill.terms import Key, Note


@dataclass(frozen=True, slots=True)
class LinePlace:
    """One note of a line."""

    pitch: int
    """As it sounds: a MIDI number."""
    note: Note
    """As it is written."""
    cell: str
    """The degree of its cell, or its bar; empty for the closing tonic."""
    first: bool
    """Whether a cell or bar begins with it."""
    down: bool = False
    square: tuple[str, str] | None = None
    """Key and pattern as items of memory name them: ``("G:major", "1-2-3-1/up")``; None where the
    line is no run."""


@dataclass(frozen=True, slots=True)
class Line:
    """What was asked."""

    title: str
    places: tuple[LinePlace, ...]
    """At least one."""
    shift: int
    """Semitones from written to sounding."""
    key: Key | None
    """The written key; None where a line has none of its own."""
    bars: bool = False
    """Whether the places are counted by bars in place of cells."""
    note_s: float | None = None
    """Seconds from note to note; None where no tempo is asked."""
    swing: float = 1.0
    beat_notes: int = 2
    even: bool = True
    """Whether all notes have one length, so that time can be told."""
    clef: str = "treble"

    @property
    def group(self) -> int:
        """Notes in a cell: the distance at which most begin."""
        starts = [at for at, place in enumerate(self.places) if place.first]
        steps = [after - one for one, after in itertools.pairwise(starts)]
        return max(set(steps), key=steps.count) if steps else len(self.places)

    def due_s(self, place: int) -> float:
        """When a note is due, in seconds after the first; only where a tempo is asked."""
        assert self.note_s is not None
        whole, part = divmod(place, self.beat_notes)
        share = part / self.beat_notes
        if self.beat_notes == 2 and part:
            share = self.swing / (1 + self.swing)
        return (whole + share) * self.note_s * self.beat_notes

    def asked(
        self, a4: float = 440.0, *, octaves_told: bool = True, beat0_s: float | None = None
    ) -> Asked:
        """What the ear is told."""
        return Asked(
            tuple(place.pitch for place in self.places),
            self.note_s,
            self.swing,
            self.beat_notes,
            self.group,
            beat0_s,
            self.note_s * self.beat_notes if self.note_s else None,
            a4,
            even=self.even,
            octaves_told=octaves_told,
        )
