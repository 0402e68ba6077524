"""The catalogue of patterns, and patterns made from a free cell.

Cells count steps of the key from the cell's own first degree: the cell on 2 of
1-2-3-1 is 2-3-4-2.  Each pattern names how it comes down; see ``Descent``.
"""

from __future__ import annotations

import difflib
import itertools
import re
from dataclasses import replace
from enum import StrEnum

from drill.errors import TheoryError
from drill.terms import Descent, Digit, Ending, Mode, Pattern, Shape, shape_text
from drill.theory import faults
from drill.theory.cells import parse_cell
from drill.theory.chords import CHORDS, PREFIX, chord_pattern
from drill.theory.faults import CellError
from drill.theory.progressions import MOST_CHORDS, looks_like_progression, read_progression

_MIRROR = Descent.MIRROR
_SAME = Descent.SAME_SHAPE

# fmt: off
_TABLE = (
    ("scale", "plain scale", "1", 1, _MIRROR),
    ("thirds", "scale in thirds", "1-3", 1, _MIRROR),
    ("thirds_alt", "thirds, alternating direction", "1-3-4-2", 2, _MIRROR),
    ("fourths", "scale in fourths", "1-4", 1, _MIRROR),
    ("fifths", "scale in fifths", "1-5", 1, _MIRROR),
    ("sixths", "scale in sixths", "1-6", 1, _MIRROR),
    ("sevenths", "scale in sevenths", "1-7", 1, _MIRROR),
    ("octaves", "broken octaves", "1-8", 1, _MIRROR),
    ("groups3", "three-note groups", "1-2-3", 1, _MIRROR),
    ("groups4", "four-note groups", "1-2-3-4", 1, _MIRROR),
    ("groups5", "five-note groups", "1-2-3-4-5", 1, _MIRROR),
    ("return3", "returning cell", "1-2-3-1", 1, _MIRROR),
    ("return3b", "returning cell, leap first", "1-3-2-1", 1, _MIRROR),
    ("step_back3", "up two, back one", "1-2-3-2", 1, _MIRROR),
    ("updown5", "five notes up and down", "1-2-3-4-5-4-3-2", 1, _MIRROR),
    ("triad3", "diatonic triads", "1-3-5", 1, _MIRROR),
    ("triad_broken", "broken triad", "1-3-5-3", 1, _MIRROR),
    ("triad_alberti", "broken triad, low-high-middle-high", "1-5-3-5", 1, _MIRROR),
    ("triad_down", "triads from the top", "5-3-1", 1, _MIRROR),
    ("triad_inv1", "triad, first inversion", "3-5-8", 1, _MIRROR),
    ("triad_inv2", "triad, second inversion", "5-8-10", 1, _MIRROR),
    ("sevenths4", "diatonic seventh arpeggios", "1-3-5-7", 1, _MIRROR),
    ("sevenths_down", "seventh arpeggios from the top", "7-5-3-1", 1, _SAME),
    ("sevenths_alt", "sevenths, up then down", "1-3-5-7-8-6-4-2", 2, _MIRROR),
    ("ninths5", "ninth arpeggios", "1-3-5-7-9", 1, _MIRROR),
    ("c1235", "four-note cell 1-2-3-5", "1-2-3-5", 1, _MIRROR),
    ("c1235_inv1", "1-2-3-5 rotated once", "2-3-5-8", 1, _MIRROR),
    ("c1235_inv2", "1-2-3-5 rotated twice", "3-5-8-9", 1, _MIRROR),
    ("c1235_inv3", "1-2-3-5 rotated three times", "5-8-9-10", 1, _MIRROR),
    ("c5321", "four-note cell 5-3-2-1", "5-3-2-1", 1, _SAME),
    ("c1345", "four-note cell 1-3-4-5", "1-3-4-5", 1, _MIRROR),
    ("c1354", "four-note cell 1-3-5-4", "1-3-5-4", 1, _MIRROR),
    ("un", "upper neighbour, diatonic", "1-2-1", 1, _SAME),
    ("ln", "lower neighbour, diatonic", "1-7.-1", 1, _SAME),
    ("cln", "lower neighbour, chromatic", "1-l1-1", 1, _SAME),
    ("cun", "upper neighbour, chromatic", "1-u1-1", 1, _SAME),
    ("turn", "turn", "2-1-7.-1", 1, _SAME),
    ("turn5", "five-note turn", "1-2-1-7.-1", 1, _SAME),
    ("double_nb", "double neighbour", "1-2-7.-1", 1, _SAME),
    ("encl_dd", "enclosure, diatonic above and below", "2-7.-1", 1, _SAME),
    ("encl_dc", "enclosure, diatonic above, chromatic below", "2-l1-1", 1, _SAME),
    ("encl_cc", "enclosure, chromatic both sides", "u1-l1-1", 1, _SAME),
    ("encl_ba", "enclosure, below then above", "l1-2-1", 1, _SAME),
    ("appr_below2", "double chromatic approach from below", "ll1-l1-1", 1, _SAME),
    ("appr_above2", "double chromatic approach from above", "uu1-u1-1", 1, _SAME),
    ("encl_4", "four-note enclosure: two from above, one below", "uu1-u1-l1-1", 1, _SAME),
)
# fmt: on


def _row(pattern_id: str, name: str, cell: str, moves_by: int, descent: Descent) -> Pattern:
    # The plain scale is the one pattern of a single note, which the grammar refuses.
    shape = (Digit(1),) if cell == "1" else parse_cell(cell)
    return Pattern(pattern_id, name, (shape,), moves_by, descent)


PATTERNS: dict[str, Pattern] = {row[0]: _row(*row) for row in _TABLE}
"""The patterns by id, in the order of the table."""

ROOT_ORDERS: dict[str, tuple[str, ...]] = {
    "fourths": ("1", "4", "b7", "b3", "b6", "b2", "b5", "7", "3", "6", "2", "5"),
    "fifths": ("1", "5", "2", "6", "3", "7", "#4", "b2", "b6", "b3", "b7", "4"),
    "chromatic": ("1", "b2", "2", "b3", "3", "4", "#4", "5", "b6", "6", "b7", "7"),
    "whole-tones": ("1", "2", "3", "#4", "b6", "b7"),
    "minor-thirds": ("1", "b3", "b5", "6"),
    "major-thirds": ("1", "3", "b6"),
    "tritone": ("1", "#4"),
    "ii-V-I": ("2", "5", "1"),
    "ii-V": ("2", "5"),
    "I-vi-ii-V": ("1", "6", "2", "5"),
}
"""The orders in which the roots of a root-mode pattern move, as degrees of the first root."""


def free_pattern(
    cells: tuple[str, ...],
    *,
    name: str = "",
    moves_by: int = 1,
    descent: Descent | None = None,
    ending: Ending = Ending.OVERRUN,
    mode: Mode = Mode.KEY,
    roots: tuple[str, ...] = (),
) -> Pattern:
    """The pattern of a typed cell, or of two to three cells that alternate.

    Without a descent, a key-mode cell comes down in mirror, unless it is written
    with chromatic neighbours, which keep their shape; a root-mode cell is read
    backwards.  Raises TheoryError (CellError for the cell itself).
    """
    most = MOST_CHORDS if mode is Mode.ROOT else 3
    if not 1 <= len(cells) <= most:
        raise faults.out_of("a cycle has", 1, most, "cells", len(cells))
    if not 1 <= moves_by <= 7:
        raise faults.out_of("the start moves by", 1, 7, "steps", moves_by)
    if roots and mode is not Mode.ROOT:
        raise TheoryError(faults.ROOTS_ALONE)
    shapes = tuple(parse_cell(cell, mode) for cell in cells)
    if descent is None:
        if mode is Mode.ROOT:
            descent = Descent.RETROGRADE
        else:
            chromatic = any(item.modifier for shape in shapes for item in shape)
            descent = _SAME if chromatic else _MIRROR
    made = Pattern("", name, shapes, moves_by, descent, ending, mode, roots)
    return Pattern(made.text, name or made.text, shapes, moves_by, descent, ending, mode, roots)


class Turns(StrEnum):
    """The cells that can be made of one."""

    ROTATIONS = "rotations"
    """Each note in turn begins: 1-2-3-5, 2-3-5-8, 3-5-8-9, 5-8-9-10."""
    PERMUTATIONS = "permutations"
    """The notes in every order: 1-2-3, 1-3-2, 2-1-3 and so on."""


MOST_PERMUTED = 4
"""Notes of a cell that is permuted: four have 24 orders, five would have 120."""


def turns_of(pattern: Pattern, kind: Turns) -> tuple[Pattern, ...]:
    """The rotations or permutations of a pattern's cell, itself first, each order once.

    A rotation takes the first notes an octave up.  Raises TheoryError where the pattern has
    several cells, or a cell that is too long or too wide.
    """
    if len(pattern.cells) != 1 or pattern.chords:
        raise faults.one_cell(kind)
    (shape,) = pattern.cells
    if kind is Turns.PERMUTATIONS:
        if len(shape) > MOST_PERMUTED:
            raise faults.out_of("permutations are made of", 2, MOST_PERMUTED, "notes", len(shape))
        shapes = tuple(dict.fromkeys(itertools.permutations(shape)))
    else:
        shapes = tuple(
            (*shape[at:], *(_raised(item) for item in shape[:at])) for at in range(len(shape))
        )
    return tuple(_with_cell(pattern, each) for each in shapes)


def _raised(item: Digit) -> Digit:
    """The item an octave up: 1 as 8, as the catalogue writes it."""
    if item.octave or item.degree > 8:
        return replace(item, octave=item.octave + 1)
    return replace(item, degree=item.degree + 7)


def _with_cell(pattern: Pattern, shape: Shape) -> Pattern:
    """The pattern with another cell; where the catalogue has it, the catalogue's."""
    made = free_pattern(
        (shape_text(shape),),
        moves_by=pattern.moves_by,
        mode=pattern.mode,
        roots=pattern.roots,
    )
    return same_cell(made) or made


def find_pattern(text: str) -> Pattern:
    """The pattern of that catalogue id, name, chord arpeggio, line of chords or free cell.

    A cell with ``b`` or ``#`` before a digit is read in root mode.  Raises
    TheoryError: a CellError for a cell, the nearest ids for a name.
    """
    word = text.strip()
    if word in PATTERNS:
        return PATTERNS[word]
    if word.startswith(PREFIX):
        return chord_pattern(word)
    for pattern in PATTERNS.values():
        if word.casefold() in (pattern.id, pattern.name.casefold()):
            return pattern
    if looks_like_progression(word):
        return read_progression(word).pattern
    if re.match(r"[a-z_]{3,}", word.casefold()):
        near = difflib.get_close_matches(
            word.casefold(), [*PATTERNS, *(PREFIX + chord for chord in CHORDS)], n=3, cutoff=0.5
        )
        raise faults.unknown("pattern", text, near)
    try:
        made = free_pattern((word,))
    except CellError as error:
        if error.reason != faults.KEY_MODE:
            raise
        return free_pattern((word,), mode=Mode.ROOT)
    # A typed cell that the catalogue has comes down as it does there.
    return same_cell(made) or made


def same_cell(pattern: Pattern) -> Pattern | None:
    """The catalogue's pattern with the same cells and moves, or None."""
    for known in PATTERNS.values():
        if (known.cells, known.moves_by, known.mode) == (
            pattern.cells,
            pattern.moves_by,
            pattern.mode,
        ):
            return known
    return None
