"""Spelled scales as values, each worked out once.

The rule is the letter arithmetic of ``theory.spelling``: a letter for each degree,
the alteration from the semitones.  tests/theory holds it against music21 over every
scale, chord and root.  Octaves, ranges and runs are counted in ``theory.runs``.
"""

from __future__ import annotations

from drill.terms import Key, Scale
from drill.theory import faults
from drill.theory.scales import SCALES
from drill.theory.spelling import degree_name

MOST_ACCIDENTALS = 2
"""No scale is written with a triple sharp or flat."""


class Engine:
    """Spells scales; the same value is given out for the same key."""

    def __init__(self) -> None:
        self._scales: dict[Key, Scale] = {}

    def scale(self, key: Key) -> Scale:
        """The scale spelled by interval from its degree formula.

        Raises TheoryError where the spelling needs a triple accidental.
        """
        found = self._scales.get(key)
        if found is None:
            found = self._scales[key] = spelled(key)
        return found


def spelled(key: Key) -> Scale:
    """The scale of a key, spelled.  Raises TheoryError: see ``Engine.scale``."""
    kind = SCALES[key.scale]
    up = tuple(degree_name(key.tonic, token) for token in kind.up)
    down = up
    if kind.down != kind.up:
        down = tuple(degree_name(key.tonic, token) for token in kind.down)
    if any(abs(name.alter) > MOST_ACCIDENTALS for name in (*up, *down)):
        raise faults.triple(key.tonic, kind.label)
    return Scale(key, up, down, _degrees(kind.up), _degrees(kind.down))


def _degrees(formula: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(int(token.lstrip("b#")) for token in formula)
