"""What the screens have done for them elsewhere: commands run.

No first frame waits for it: who makes or uses its values loads it then.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.hearing.line import Line
    from drill.hearing.values import Heard
    from drill.reports.report import Report
    from drill.sound.capture import Samples
    from drill.terms import Run


@dataclass(frozen=True, slots=True)
class Done:
    """What a command did."""

    good: bool
    said: str
    """Its words, or what was wrong, with a line end after each line."""
    taken: Path | None = None
    """A file that is there already, over which nothing was written; None for none."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """A take of a deck's run, to be heard."""

    deck: Deck
    run: Run
    tempo: float
    samples: Samples
    first_beat_s: float | None
    """Where the first beat stands in the samples; None where nobody knows."""
    kept: bool
    """Whether the log will say what tempo is next."""


@dataclass(frozen=True, slots=True)
class Taken:
    """A take as it was heard."""

    line: Line
    """What was to be played."""
    heard: Heard
    told: tuple[str, ...]
    """What is said of it, a line each."""


class Errands(Protocol):
    """What the screens have done by commands."""

    def run(self, words: Sequence[str]) -> Done:
        """Do what a command does; nothing is raised for a fault of the user's."""
        ...

    @property
    def taken_in(self) -> Path:
        """The folder of what students handed in and was taken in; it may not be there yet."""
        ...

    def class_results(self, places: Sequence[Path], roster: Path | None = None) -> Report:
        """The class report of results files and folders, of what was taken in for none.

        ``roster`` adds names and those who have not begun; None for no roster.
        Raises DrillError.
        """
        ...

    def plan(self, folder: Path, roster: Path | None, results: Sequence[Path]) -> Report:
        """What of a folder of assignments is out, due, in and missing.

        ``roster`` is the one in the folder for None; ``results`` are what was taken in for none.
        Raises DrillError.
        """
        ...

    def held(self) -> float | None:
        """What the system holds of what our microphone heard, in seconds; None if nobody knows."""
        ...

    def hear(self, take: Recorded) -> Taken:
        """What was heard of a take, and what is said of it.  Raises DrillError."""
        ...

    def keep_result(self, deck: Deck, taken: Taken) -> None:
        """Keep what was said of a take, and no sound, for the deck's next hand-in.

        Raises DrillError.
        """
        ...
