"""The verdict: how right an answer is, note by note, and which slip it shows.

A wrong answer is a value that holds every fault, never an exception; and never a sentence:
those are made of it in ``wording``.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from drill.marking.facts import Bare, Fact
from drill.marking.typed import Problem
from drill.terms import Key, Note


class Outcome(StrEnum):
    """How one note was answered.  The values are kept in files; ``wording.labels`` has the
    words."""

    RIGHT = "right"
    NAME = "wrong-name"
    WRONG = "wrong"
    MISSING = "missing"
    EXTRA = "extra"


class Slip(StrEnum):
    """What a teacher would call the mistake.  The values are kept in logs and files; the order
    in which they are tried, their words and sentences stand in ``wording.slips``."""

    UNREADABLE = "unreadable"
    UNANSWERED = "unanswered"
    NAME = "wrong-name"
    BEFORE = "last-prompt"
    SIGNS = "signs-turned"
    CONCERT = "concert-pitch"
    OCTAVE = "wrong-octave"
    DIRECTION = "wrong-direction"
    DEGREE = "wrong-degree"
    BACKWARDS = "backwards"
    INVERSION = "inversion"
    SWAPPED = "swapped"
    STOPPED = "stopped-early"
    RAN_ON = "ran-on"
    SIGNATURE = "signature-forgotten"
    ALTERATION = "accidental-forgotten"
    B_OR_H = "b-or-h"
    MIXTURE = "other-mode"
    OTHER_KEY = "other-key"
    KEY_BEFORE = "key-before"
    NEIGHBOUR = "other-signature"
    PARALLEL = "parallel-mode"
    FAR = "far-signature"
    ROOT = "wrong-root"
    QUALITY = "chord-quality"
    SHAPE = "other-shape"
    LETTER = "one-note-off"
    LEFT_OUT = "note-left-out"
    TOO_MANY = "note-too-many"
    UNEXPLAINED = "unexplained"


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One explanation of a wrong answer."""

    slip: Slip
    fact: Fact
    """What its sentence tells."""

    @property
    def instead(self) -> Key | None:
        """The key that was spelled instead, which is the one said; None where none was."""
        key: Key | None = getattr(self.fact, "key", None)
        return key


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
    hypotheses: tuple[Hypothesis, ...] = ()
    """Everything that explains the answer, the one named first."""
    problem: Problem | None = None
    """Why the answer could not be read; None where it was."""
    usual: bool = True
    """Whether a right answer is spelled as is usual."""

    @property
    def readable(self) -> bool:
        """Whether the answer could be read."""
        return self.slip is not Slip.UNREADABLE


def unread(problem: Problem, expected: tuple[Note, ...] = ()) -> Verdict:
    """The verdict on an answer that is neither right nor wrong, for it could not be read."""
    return Verdict(False, (), expected, Slip.UNREADABLE, problem=problem)


def missed(
    marked: tuple[Marked, ...], *found: Slip | Hypothesis, expected: tuple[Note, ...] = ()
) -> Verdict:
    """The verdict on a wrong answer, or on none, with what explains it, the one to name first."""
    told = tuple(
        each if isinstance(each, Hypothesis) else Hypothesis(each, Bare()) for each in found
    )
    return Verdict(False, marked, expected, told[0].slip, told)
