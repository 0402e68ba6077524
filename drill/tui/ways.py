"""What a screen may ask of the program: its studio, a way to another screen, and to be let go.

A screen sees nothing else of the program, and nothing of the other screens: it names
where to go by a value, and ``doors`` makes the screen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from drill.tui.practices import Over, ToPractice, ToStand

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.reports.report import Report
    from drill.terms import Run
    from drill.tui.actions import Place
    from drill.tui.forms import Formed
    from drill.tui.studio import Studio
    from drill.tui.text import Lines
    from drill.tui.views.pick import Choice, Pick


@dataclass(frozen=True, slots=True)
class ToToday:
    """What is due, and the decks."""


@dataclass(frozen=True, slots=True)
class ToTime:
    """Playing a deck's runs in time."""

    deck: Path | Deck


@dataclass(frozen=True, slots=True)
class ToSummary:
    """The end of a practice."""

    over: Over


@dataclass(frozen=True, slots=True)
class ToDecks:
    """The decks, run by run."""

    chosen: Path | None
    """The deck in view; None for the one that Today suggests."""


@dataclass(frozen=True, slots=True)
class ToMap:
    """Keys and patterns of a deck."""

    deck: Path | Deck


@dataclass(frozen=True, slots=True)
class ToTrips:
    """What trips the player in a deck."""

    deck: Path | Deck


@dataclass(frozen=True, slots=True)
class ToHelp:
    """The keys of a screen."""

    about: Place
    without: tuple[str, ...] = ()
    """Ids of actions that do nothing there this time."""


@dataclass(frozen=True, slots=True)
class ToQuestion:
    """A question that is answered by yes or no."""

    question: str
    more: str
    yes: Callable[[], object]
    words: tuple[str, str]
    """What yes and no are called in the last line."""


@dataclass(frozen=True, slots=True)
class ToStart:
    """The questions of the first start."""

    again: bool = False
    """True where they were answered before."""


@dataclass(frozen=True, slots=True)
class ToErrand:
    """What a command does, and what it said."""

    title: str
    words: tuple[str, ...]
    """The command line, without the program's name."""
    over: str = "--replace"
    """The option that writes over a file; empty where the command never does."""
    another: Callable[[], object] | None = None
    """Asks for another name; None where there is none to ask for."""


@dataclass(frozen=True, slots=True)
class ToReport:
    """A report's tables."""

    title: str
    load: Callable[[], Report]
    """Makes it, off the loop; may raise DrillError."""


@dataclass(frozen=True, slots=True)
class ToOwn:
    """A practice of one's own, or a deck that is changed."""

    deck: Deck | None = None
    """The deck to change; None begins a new one."""


@dataclass(frozen=True, slots=True)
class ToSettings:
    """The settings."""


@dataclass(frozen=True, slots=True)
class ToTake:
    """Recording a take of a run."""

    deck: Deck
    run: Run


@dataclass(frozen=True, slots=True)
class ToTapping:
    """How late the output sounds, by tapping."""


@dataclass(frozen=True, slots=True)
class ToTeacher:
    """The teacher's desk."""


@dataclass(frozen=True, slots=True)
class ToForm:
    """A form."""

    formed: Formed


@dataclass(frozen=True, slots=True)
class ToPick:
    """A list to choose from."""

    pick: Pick
    done: Callable[[tuple[str, ...]], str | None]
    """Told the ids taken; goes on from there, or gives a sentence that says why not, as a
    DrillError does."""
    leave: Callable[[], str | None] | None = None
    """What leaving does, told as ``done`` tells it; None goes back to where one came from."""
    leave_word: str = "back"
    aside: Callable[[str, int, int], Lines] | None = None
    """What to draw about a choice, for a width and a height; None for nothing."""
    hear: Callable[[str], str] | None = None
    """Sounds a choice, and gives what to say; None where there is nothing to hear."""
    typed: Callable[[str], tuple[Choice, ...]] | None = None
    """The choices for a search, where they depend on it; None where they do not."""


@dataclass(frozen=True, slots=True)
class ToAsk:
    """One of those questions."""

    asked: ToPick


Way = (
    ToPractice
    | ToStand
    | ToOwn
    | ToSettings
    | ToTake
    | ToTapping
    | ToTeacher
    | ToErrand
    | ToReport
    | ToStart
    | ToAsk
    | ToForm
    | ToPick
    | ToToday
    | ToTime
    | ToSummary
    | ToDecks
    | ToMap
    | ToTrips
    | ToHelp
    | ToQuestion
)


class Program(Protocol):
    """The program as a screen sees it."""

    @property
    def studio(self) -> Studio:
        """The room, the sound and the looks."""
        ...

    def go(self, way: Way, *, instead: bool = False) -> None:
        """Show another screen, on top of this one or in its place."""
        ...

    def back(self) -> None:
        """Leave the screen; Today is beneath all of them."""
        ...

    def close(self) -> None:
        """Take this screen away and show the one beneath, whatever it is."""
        ...

    def follow(self) -> None:
        """Take the settings as they are now."""
        ...

    def ask_to_quit(self) -> None:
        """Ask whether to leave; asked twice, leave at once."""
        ...

    def leave(self, code: int) -> None:
        """End the program with an exit code."""
        ...

    def to_background(self) -> None:
        """Put the program in the background, where the system can."""
        ...

    def crashed(self, error: Exception) -> None:
        """End the program over an error of its own, with a short word and a report."""
        ...
