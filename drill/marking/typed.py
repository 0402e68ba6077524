"""What was typed, as it was read: names, and why a line could not be."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto

from drill.terms import Name


@dataclass(frozen=True, slots=True)
class Typed:
    """One note as typed."""

    name: Name
    octave: int | None = None
    """The octave where one was typed; None asks for none."""


Row = tuple[Typed, ...]


class Unread(Enum):
    """Why an answer could not be read."""

    NOTHING = auto()
    """Nothing was typed."""
    TOO_LONG = auto()
    KEYS = auto()
    """Keys that are no notes, such as cursor keys."""
    CONTROL = auto()
    """A control character."""
    HANGING = auto()
    """A hyphen hangs on a note: it is no flat."""
    SEVERAL = auto()
    """A token can be read in several ways."""
    TOGETHER = auto()
    """Notes run together are one name in another language, or look like one."""
    DEGREES = auto()
    """Degrees in place of note names."""
    FOREIGN = auto()
    """A name of another language."""
    SCRIPT = auto()
    """A letter of another script."""
    SIGN_APART = auto()
    OCTAVE_APART = auto()
    NO_NAME = auto()
    NO_KEY = auto()
    """Movable do without a key."""
    ONE_KEY = auto()
    """One key was asked for, and more or less typed."""
    NO_DEGREE = auto()
    """No degree from 1 to the scale's last; ``number`` is that."""
    PLACE = auto()
    """No place of the cell; ``number`` is its last."""
    PLACE_OR_CELL = auto()
    """Neither one note nor the whole cell; ``number`` is how many notes that has."""
    NO_CHORD = auto()
    """A chord was asked for, and what was typed is no symbol."""
    TWICE = auto()
    """A note that stands in the cell more than once, and its place is wanted."""
    NOTHING_ALTERED = auto()


@dataclass(frozen=True, slots=True)
class Problem:
    """Why an answer could not be read, as a value."""

    why: Unread
    token: str = ""
    """What it is about, as typed; a single character where one is at fault."""
    choices: tuple[Row, ...] = ()
    """The ways to read the token."""
    number: int = 0
    or_place: int = 0
    """The number of places that could have been typed instead; 0 where none could."""
    or_number: bool = False
    """Whether a number of sharps or flats could have been typed instead."""
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read: the notes, or why they could not be read."""

    notes: Row = ()
    """The notes; those before the problem where there is one."""
    problem: Problem | None = None
    """None when the notes were read."""

    @property
    def choices(self) -> tuple[Row, ...]:
        """The readings to choose from, of the token asked about, where there is more than one."""
        several = self.problem is not None and self.problem.why is Unread.SEVERAL
        return self.problem.choices if several and self.problem else ()

    @property
    def readable(self) -> bool:
        """Whether the line could be read."""
        return self.problem is None
