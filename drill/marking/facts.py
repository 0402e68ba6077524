"""What a test found in a wrong answer, as values: what its sentence will tell.

Each kind of slip has one of these; none holds English, and none more than the sentence needs
beside the question itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto

from drill.marking.forms import Names
from drill.terms import Descent, Direction, Key, Name, Note, Pattern
from drill.theory.chords import ChordKind


class Fact:
    """The base of all."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Bare(Fact):
    """All is said by the kind of slip and the question."""


@dataclass(frozen=True, slots=True)
class Pair(Fact):
    """One note for another."""

    got: Name
    want: Name


@dataclass(frozen=True, slots=True)
class OctaveOff(Fact):
    """A typed octave that is not the note's."""

    note: Note
    """The note wanted."""
    by: int
    """Octaves off, up where positive."""
    whole: bool
    """Whether every note is off alike; then ``note`` is the cell's first."""


@dataclass(frozen=True, slots=True)
class OtherWay(Fact):
    """The cell, or the scale, as it goes the other way."""

    way: Direction
    """The way it was spelled."""
    scale: bool
    """Whether it is the scale's form and not the cell's."""


@dataclass(frozen=True, slots=True)
class OnOther(Fact):
    """The cell on another degree, or on another root."""

    label: str
    """The degree; empty for a root."""
    root: Name | None = None
    before: bool = False
    """Whether it is the cell of the prompt before."""
    symbol: str = ""
    """The chord that it is, where chords are asked by their symbols."""


@dataclass(frozen=True, slots=True)
class Crossed(Fact):
    """Two notes in each other's place; ``first`` is the one that comes first in the cell."""

    first: Name | None
    """None where more than two changed their places."""
    second: Name | None


@dataclass(frozen=True, slots=True)
class Rest(Fact):
    """Notes of the cell still to come or left out, or notes that are too many."""

    names: Names


@dataclass(frozen=True, slots=True)
class Turned(Fact):
    """Signs turned over."""

    sharps: bool
    """True where sharps were asked for and flats typed."""


@dataclass(frozen=True, slots=True)
class Forgotten(Fact):
    """Naturals where the signature has accidentals."""

    pairs: tuple[tuple[Name, Name], ...]
    """What was typed and what was wanted, each pair once."""
    every: bool
    """Whether no altered note of the cell was typed with its accidental."""


@dataclass(frozen=True, slots=True)
class Unaltered(Fact):
    """An accidental left out that the scale, a neighbour sign or a chord has."""

    got: Name
    want: Name
    base: Name | None = None
    """The note whose chromatic neighbour was asked for; None where none was."""
    sign: str = ""
    """Which neighbour: ``l``, ``ll``, ``u`` or ``uu``."""
    degree: int = 0
    """Which degree the scale alters, 1 to 7; 0 where no scale does."""
    raised: bool = True


@dataclass(frozen=True, slots=True)
class OtherLanguage(Fact):
    """B in the sense of another language."""

    german: bool
    """True where a German B, B flat in English, was typed."""


@dataclass(frozen=True, slots=True)
class Keyed(Fact):
    """Notes of another key or mode."""

    key: Key
    """The key that was spelled."""
    before: bool = False
    """Whether it is the key of the prompt before."""
    got: Names = ()
    """The notes typed that this key does not have, each once."""
    want: Name | None = None
    """The note asked for in the place of the first of them."""
    degree: int = 0
    """Which degree of the key asked for that is, 1 to 7; 0 where it does not matter."""
    change: int = 0
    """By how many semitones the key asked for alters that degree against plain major or minor."""


class Shaped(Enum):
    """Which other shape was spelled."""

    CATALOGUE = auto()
    CYCLE = auto()
    """One of the same pattern that is asked on other degrees or roots."""
    BEFORE = auto()
    """That of the prompt before."""
    DESCENT = auto()
    """The cell as another descent has it."""
    PAST = auto()
    """Past the octave, where a clipped run turns back."""


@dataclass(frozen=True, slots=True)
class OtherShape(Fact):
    """Another cell on the right note."""

    how: Shaped
    text: str = ""
    """Its digits."""
    pattern: Pattern | None = None
    descent: Descent | None = None


@dataclass(frozen=True, slots=True)
class Chorded(Fact):
    """A chord, or an inversion, that was not asked for."""

    root: Name
    kind: ChordKind | None
    """None where the notes are the cell's own in another order."""
    inversion: int = 0
    """0 is root position."""
    asked: ChordKind | None = None
    """The chord asked for; None where it is none of the table."""
    asked_inversion: int = 0
