"""What was asked, as the marking sees it: a cell of a run, and where the player came from."""

from __future__ import annotations

from dataclasses import dataclass

from drill.terms import Cell, Instrument, Key, Note, Pattern, Run


@dataclass(frozen=True, slots=True)
class AskedBefore:
    """The prompt before, to which a stray answer may belong."""

    key: Key
    pattern: Pattern
    cell: Cell


@dataclass(frozen=True, slots=True)
class Altered:
    """One note of a cell that sounds otherwise the second time."""

    place: int
    """Which note of the cell, from 0."""
    note: Note
    """What is heard in its place, written."""


@dataclass(frozen=True, slots=True)
class Question:
    """One cell of a run to be spelled."""

    run: Run
    index: int
    """Which cell of the run, from 0."""
    horn: Instrument | None
    """None for an instrument at concert pitch."""
    before: AskedBefore | None = None
    """The prompt before; None at the start.  It decides among explanations of one kind."""
    back: str = ""
    """A ``back.Back`` where the cell or key is shown and something about it is asked; empty
    where the cell is to be spelled."""
    concert: Key | None = None
    """The concert key where the deck names it; None works it out from the horn."""
    altered: Altered | None = None
    """What was altered, where the note that was different is asked for; else None."""

    @property
    def cell(self) -> Cell:
        """The cell that is asked."""
        return self.run.cells[self.index]

    @property
    def asked(self) -> AskedBefore:
        """The question as the next one sees it."""
        return AskedBefore(self.run.key, self.run.pattern, self.cell)
