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
    back: str = ""
    """A ``back.Back`` where the cell or key is shown and something about it is asked; empty
    where the cell is to be spelled."""
    concert: Key | None = None
    """The concert key where the deck names it; None works it out from the horn."""

    @property
    def cell(self) -> Cell:
        return self.run.cells[self.index]
