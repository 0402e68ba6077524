"""What was asked, as the marking sees it: a cell of a run, and where the player came from."""

from __future__ import annotations

from dataclasses import dataclass

from drill.terms import Cell, Instrument, Key, Run


@dataclass(frozen=True, slots=True)
class Question:
    """One cell of a run to be spelled."""

    run: Run
    index: int
    """Which cell of the run, from 0."""
    horn: Instrument | None
    """None for an instrument at concert pitch."""
    before: Key | None = None
    """The key of the prompt before, which a stray answer may belong to; None at the start."""

    @property
    def cell(self) -> Cell:
        return self.run.cells[self.index]
