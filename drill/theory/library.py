"""The one door to music21: chord functions in figures, and lines of music in files.

It is imported here alone, and only when a function or a file asks for it: the import
takes about a quarter of a second.  Every value leaves this room as one of ours.
"""

from __future__ import annotations

import warnings
from typing import Any

from drill.errors import TheoryError
from drill.terms import Name


def figured(figure: str, *, minor: bool) -> tuple[Name, tuple[Name, ...]]:
    """Root and notes, from the bass up, of a Roman numeral in C major or C minor.

    For figures of inversion (``V65``, ``ii42``) and the chords that have names of their own
    (``N6``, ``Ger65``, ``Cad64``).  Raises TheoryError where music21 cannot read it.
    """
    from music21 import exceptions21, roman

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            numeral: Any = roman.RomanNumeral(figure, "c" if minor else "C")
            pitches, root = numeral.pitches, numeral.root()
    except (exceptions21.Music21Exception, ValueError, KeyError, AttributeError) as error:
        raise TheoryError(f"{figure!r} is no chord function that can be read") from error
    names = tuple(_name(pitch) for pitch in pitches)
    if len(set(names)) < 3:
        raise TheoryError(f"{figure!r} is no chord function that can be read")
    return _name(root), names


def _name(pitch: Any) -> Name:
    return Name(str(pitch.step), int(pitch.alter))
