"""The chord types: formulas of the 35 that wind players arpeggiate, and their inversions."""

from __future__ import annotations

from dataclasses import dataclass, replace

from drill.terms import Descent, Digit, Mode, Pattern, Shape
from drill.theory import faults
from drill.theory.cells import parse_cell

PREFIX = "chord-"
"""Before a chord's id, a pattern's: ``chord-m7b5``; ``chord-m7b5/1`` is its first inversion."""


@dataclass(frozen=True, slots=True)
class ChordKind:
    """What a chord is, on any root."""

    id: str
    name: str
    formula: tuple[str, ...]
    """Degrees of the major scale on the root, rising."""
    symbols: tuple[str, ...]
    """How it is written on C."""


# fmt: off
_TABLE = (
    ("maj", "major triad", "1 3 5", "C; CM; Cmaj"),
    ("min", "minor triad", "1 b3 5", "Cm; C-; Cmin"),
    ("dim", "diminished triad", "1 b3 b5", "Cdim; C°"),
    ("aug", "augmented triad", "1 3 #5", "C+; Caug"),
    ("sus2", "suspended 2nd", "1 2 5", "Csus2"),
    ("sus4", "suspended 4th", "1 4 5", "Csus4; Csus"),
    ("6", "major sixth", "1 3 5 6", "C6"),
    ("m6", "minor sixth", "1 b3 5 6", "Cm6"),
    ("maj7", "major seventh", "1 3 5 7", "Cmaj7; CM7; CΔ"),
    ("7", "dominant seventh", "1 3 5 b7", "C7"),
    ("m7", "minor seventh", "1 b3 5 b7", "Cm7; C-7"),
    ("m7b5", "half-diminished", "1 b3 b5 b7", "Cm7b5; Cø"),
    ("dim7", "diminished seventh", "1 b3 b5 bb7", "Cdim7; C°7"),
    ("mM7", "minor-major seventh", "1 b3 5 7", "CmM7; Cm(maj7)"),
    ("maj7#5", "augmented-major seventh", "1 3 #5 7", "Cmaj7#5; C+M7"),
    ("7#5", "augmented seventh", "1 3 #5 b7", "C7#5; C+7"),
    ("7b5", "dominant flat five", "1 3 b5 b7", "C7b5"),
    ("7sus4", "dominant suspended", "1 4 5 b7", "C7sus4"),
    ("9", "dominant ninth", "1 3 5 b7 9", "C9"),
    ("maj9", "major ninth", "1 3 5 7 9", "Cmaj9"),
    ("m9", "minor ninth", "1 b3 5 b7 9", "Cm9"),
    ("7b9", "dominant flat nine", "1 3 5 b7 b9", "C7b9"),
    ("7#9", "dominant sharp nine", "1 3 5 b7 #9", "C7#9"),
    ("69", "six-nine", "1 3 5 6 9", "C69"),
    ("add9", "added ninth", "1 3 5 9", "Cadd9"),
    ("11", "dominant eleventh", "1 3 5 b7 9 11", "C11"),
    ("m11", "minor eleventh", "1 b3 5 b7 9 11", "Cm11"),
    ("maj7#11", "major sharp eleven", "1 3 5 7 #11", "Cmaj7#11"),
    ("9#11", "ninth sharp eleven", "1 3 5 b7 9 #11", "C9#11"),
    ("13", "dominant thirteenth", "1 3 5 b7 9 11 13", "C13"),
    ("maj13", "major thirteenth", "1 3 5 7 9 11 13", "Cmaj13"),
    ("13no11", "dominant thirteenth without the eleventh", "1 3 5 b7 9 13", "C13(no11)"),
    ("maj13#11", "major thirteenth with the raised eleventh", "1 3 5 7 9 #11 13", "Cmaj13#11"),
    ("m13", "minor thirteenth", "1 b3 5 b7 9 11 13", "Cm13"),
    ("7b13", "dominant flat thirteen", "1 3 5 b7 b13", "C7b13"),
)
# fmt: on

CHORDS: dict[str, ChordKind] = {
    row[0]: ChordKind(row[0], row[1], tuple(row[2].split()), tuple(row[3].split("; ")))
    for row in _TABLE
}
"""The 35 chord types by id."""


def inverted(shape: Shape, inversion: int) -> Shape:
    """The chord with its ``inversion`` lowest notes an octave up, rising.

    0 is root position.  Raises TheoryError where the chord has no such inversion.
    """
    if not 0 <= inversion < len(shape):
        raise faults.no_inversion(len(shape), inversion)
    bass = _height(shape[inversion])
    down = (bass - 1) // 7  # a ninth in the bass is a second: the chord begins low
    above = (
        replace(item, octave=item.octave - (_height(item) - bass - 1) // 7)
        for item in shape[:inversion]
    )
    items = (_lowered(item, down) for item in (*shape[inversion:], *above))
    return tuple(sorted(items, key=_height))


def _height(item: Digit) -> int:
    """The degree with its octave marks counted in."""
    return item.degree + 7 * item.octave


def _lowered(item: Digit, octaves: int) -> Digit:
    """The item some octaves lower, an extension written as the degree it becomes: 9 as 2."""
    if not octaves:
        return item
    from_marks = min(max(item.octave, 0), octaves)
    rest = octaves - from_marks
    return replace(item, octave=item.octave - from_marks, degree=item.degree - 7 * rest)


def chord_pattern(text: str) -> Pattern:
    """The arpeggio of a chord id, with or without ``chord-`` and ``/inversion``.

    Raises TheoryError where there is no such chord.
    """
    body, _, number = text.removeprefix(PREFIX).partition("/")
    kind = CHORDS.get(body)
    if kind is None:
        raise faults.unknown_chord(body, CHORDS)
    if number and not number.isdecimal():
        raise faults.inversion_unread(number, f"{PREFIX}{body}/1")
    shape = parse_cell("-".join(kind.formula), Mode.ROOT)
    inversion = int(number) if number else 0
    name = f"{kind.name} arpeggio" + (f", inversion {inversion}" if inversion else "")
    return Pattern(
        PREFIX + body + (f"/{inversion}" if inversion else ""),
        name,
        (inverted(shape, inversion),),
        descent=Descent.RETROGRADE,
        mode=Mode.ROOT,
    )
