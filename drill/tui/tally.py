"""What is known of a deck, in numbers: values that Today shows, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Tally:
    """One deck's row on Today."""

    path: Path
    title: str
    cells: int | None = None
    """Cells that the deck asks; None while it was not yet counted."""
    untried: int = 0
    shaky: int = 0
    holding: int = 0
    by_heart: int = 0
    due: int = 0
    """Cells that were asked before and whose recall has fallen under the deck's goal."""
    prompts: int = 0
    """Prompts of the next practice; 0 where it has no end."""
    minutes: int = 0
    """How long that takes at the player's own pace, at least 1; 0 where it has no end."""
    enough: str = ""
    """What is said where it is enough for today; empty where it is not."""
    known_by: date | None = None
    """The day by which the teacher, or the player, wants it known."""
    assigned: bool = False
    """True for a teacher's assignment, and for whatever has a day."""
    note: str = ""
    """The teacher's line and note to an assignment; empty for none."""
    met: bool = False
    """True where as many cells are by heart as the deck's goal asks for."""
    problem: str = ""
    """Why the deck cannot be used; empty when it can."""

    @property
    def name(self) -> str:
        """What commands call the deck."""
        return self.path.stem

    @property
    def counted(self) -> bool:
        """Whether its cells are counted, or it is known why they cannot be."""
        return self.cells is not None or bool(self.problem)
