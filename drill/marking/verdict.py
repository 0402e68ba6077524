"""The verdict: how right an answer is, note by note, and which slip it shows.

A wrong answer is a value that holds every fault, never an exception.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from drill.terms import Key, Note


class Outcome(StrEnum):
    """How one note was answered."""

    RIGHT = "right"
    NAME = "wrong-name"
    WRONG = "wrong"
    MISSING = "missing"
    EXTRA = "extra"


class Slip(StrEnum):
    """What a teacher would call the mistake, in the order in which they are tried."""

    UNREADABLE = "unreadable"
    UNANSWERED = "unanswered"
    NAME = "wrong-name"
    CONCERT = "concert-pitch"
    OCTAVE = "wrong-octave"
    DIRECTION = "wrong-direction"
    DEGREE = "wrong-degree"
    BACKWARDS = "backwards"
    SWAPPED = "swapped"
    STOPPED = "stopped-early"
    RAN_ON = "ran-on"
    SIGNATURE = "signature-forgotten"
    ALTERATION = "accidental-forgotten"
    B_OR_H = "b-or-h"
    NEIGHBOUR = "other-signature"
    OTHER_KEY = "other-key"
    SHAPE = "other-shape"
    LETTER = "one-note-off"
    MIXTURE = "other-mode"
    UNEXPLAINED = "unexplained"


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One explanation of a wrong answer."""

    slip: Slip
    say: str
    """The sentence for the player."""
    aside: str = ""
    """The same as a remark in brackets after another sentence; empty where it is not worth one."""
    instead: Key | None = None
    """The key that was spelled instead; None where no key was taken for another."""


@dataclass(frozen=True, slots=True)
class Marked:
    """One note of the answer beside the one expected."""

    typed: str | None
    """As read, in ASCII English; None where it is missing."""
    expected: str | None
    """The written note with its octave; None where the note is extra."""
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the marking says of an answer."""

    right: bool
    """True when every note is right."""
    notes: tuple[Marked, ...]
    expected: tuple[Note, ...]
    slip: Slip | None
    """The slip named; None for a right answer."""
    say: str
    """The sentence for the player; for a right answer it may show the usual spelling."""
    hypotheses: tuple[Hypothesis, ...] = ()
    """Everything that explains the answer, the one named first."""

    @property
    def readable(self) -> bool:
        return self.slip is not Slip.UNREADABLE
