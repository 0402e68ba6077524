"""Root-mode runs: a cell built exactly on a moving root, over a cycle or a progression.

Digits are degrees of the major scale on each root; the cell is placed near the
one before it and an octave nearer where the horn lacks a note.
"""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Sequence
from dataclasses import replace
from functools import cache, lru_cache

from drill.errors import TheoryError
from drill.terms import (
    LETTERS,
    Cell,
    Descent,
    Digit,
    Direction,
    Instrument,
    Key,
    Name,
    Note,
    Pattern,
    Run,
    Shape,
    Span,
    shape_text,
)
from drill.theory import faults
from drill.theory.chords import inverted
from drill.theory.keys import respelled
from drill.theory.limits import HOME_OCTAVE, Limits, left_out, usual_first
from drill.theory.scales import fifths_of
from drill.theory.spelling import NEIGHBOURS, degree_interval, degree_name, moved_note
from drill.theory.symbols import symbol_of

MOST_ACCIDENTALS = 3
"""A few remote chords need three; no page has four."""


_DIM7 = {(1, ""), (3, "b"), (5, "b"), (7, "bb")}
"""The diminished seventh divides the octave evenly: players write it by sound."""

_FEW = 9
"""A cell with a double accidental counts as this much more to read."""


def roots_of(tonic: Name, pattern: Pattern) -> tuple[Name, ...]:
    """The roots that a pattern visits; the tonic alone without an order.

    Roots within the key (ii-V-I) keep the key's own names: C sharp is the ii of B.
    The roots of a cycle that leaves the key have the names on which their cells need the
    fewest accidentals: F sharp minor, not G flat minor; where two need as many, the one with
    the simpler major key (common practice).
    """
    tokens = pattern.roots or ("1",)
    within = all(token.isdecimal() for token in tokens)
    found = []
    for token, shape in zip(tokens, itertools.cycle(pattern.cells), strict=False):
        root = degree_name(tonic, token)
        kept = within or root == tonic or (pattern.chords and token.isdecimal())
        found.append(root if kept else _best_name(root, shape))
    return tuple(found)


@lru_cache(maxsize=4096)
def _best_name(root: Name, shape: Shape) -> Name:
    """The name of a root on which a cell is read most easily."""
    return min(other_names(root), key=lambda name: _to_read(name, shape))


@cache
def other_names(root: Name) -> tuple[Name, ...]:
    """Every name of a root with one accidental at most, the simpler major key first."""
    names = (Name(letter, alter) for letter in LETTERS for alter in (0, 1, -1))
    same = [name for name in names if name.pitch_class == root.pitch_class]
    usual = respelled(Key(root, "major")).tonic
    return tuple(sorted(same, key=lambda name: (name != usual, abs(fifths_of(name)))))


def _to_read(root: Name, shape: Shape) -> tuple[int, int]:
    """How much there is to read in a cell on a root: its accidentals, doubles far more.

    E sharp, B sharp, F flat and C flat are no roots while another name will do.
    """
    names = [degree_name(root, item.degree_text) for item in shape]
    heavy = sum(abs(name.alter) + _FEW * (abs(name.alter) > 1) for name in names)
    plain = Name(root.letter, 0).pitch_class
    white = any(Name(letter).pitch_class == root.pitch_class for letter in LETTERS)
    return (int(white and plain != root.pitch_class), heavy)


def root_cell(root: Note, shape: Shape) -> tuple[Note, ...]:
    """The notes of a root-mode shape on a root."""
    return tuple(_item_note(root, item) for item in shape)


def _item_note(root: Note, item: Digit) -> Note:
    steps, semitones = degree_interval(item.degree_text)
    note = moved_note(root, steps + 7 * item.octave, semitones + 12 * item.octave)
    if abs(note.alter) > MOST_ACCIDENTALS:
        raise faults.unspelled(item, root.name)
    if item.modifier in NEIGHBOURS:
        return moved_note(note, *NEIGHBOURS[item.modifier])
    return note


def build_root_run(
    key: Key,
    pattern: Pattern,
    direction: Direction,
    horn: Instrument | None,
    limits: Limits,
) -> Run:
    """The cells of a root-mode pattern on its roots, and the tonic held at the end.

    Down, the roots come in the same order and each cell is read from its last
    note, or keeps its shape where the pattern says same shape.  A cell that the
    horn cannot play is left out with a remark; raises TheoryError where none is left.
    """
    cells: list[Cell] = []
    lost: list[str] = []
    backwards = direction is Direction.DOWN and pattern.descent is not Descent.SAME_SHAPE
    roots = roots_of(key.tonic, pattern)
    before: tuple[Note, ...] | None = None
    for index, root in enumerate(roots):
        shape = pattern.cells[index % len(pattern.cells)]
        if pattern.led and before:
            shape, notes = _nearest(root, shape, limits, before)
        else:
            notes = _placed(root, shape, limits, horn)
        symbol = symbol_on(pattern, index, root)
        if notes is None:
            lost.append(_function(pattern, index) or symbol or str(root))
            continue
        before = notes
        cell = _cell(index + 1, root, shape, direction, notes)
        cell = replace(cell, symbol=symbol, function=_function(pattern, index))
        cells.append(_turned(cell) if backwards else cell)
    if not cells:
        raise faults.off_horn(pattern.text, dict.fromkeys(lost), limits.low, limits.high)
    close = _placed(key.tonic, (Digit(1),), limits, horn)
    if close is None:
        raise faults.no_tonic(key.tonic, limits.low, limits.high)
    name = horn.id if horn else None
    return Run(key, pattern, direction, name, Span.ONE, tuple(cells), close[0], 1, left_out(lost))


def _nearest(
    root: Name, shape: Shape, limits: Limits, before: tuple[Note, ...]
) -> tuple[Shape, tuple[Note, ...] | None]:
    """The inversion of a chord that lies nearest to the chord before: each note as few half
    steps as can be from the nearest of the other chord, both ways; None where none fits."""
    best: tuple[int, int, Shape, tuple[Note, ...]] | None = None
    for inversion in range(len(shape)):
        turned = inverted(shape, inversion)
        middle = _on(root, turned)
        for octave in range(-4, 5):
            notes = _lifted(middle, octave)
            if not limits.hold(notes):
                continue
            way = _distance(notes, before) + _distance(before, notes)
            found = (way, abs(notes[0].midi - before[0].midi), turned, notes)
            if best is None or found[:2] < best[:2]:
                best = found
    return (best[2], best[3]) if best else (shape, None)


def _distance(notes: tuple[Note, ...], others: tuple[Note, ...]) -> int:
    return sum(min(abs(note.midi - other.midi) for other in others) for note in notes)


def _function(pattern: Pattern, index: int) -> str:
    return pattern.functions[index % len(pattern.functions)] if pattern.functions else ""


def symbol_on(pattern: Pattern, index: int, root: Name) -> str:
    """The symbol of a pattern's chord on a root; empty where its cell is no chord."""
    shape = pattern.cells[index % len(pattern.cells)]
    if not pattern.chords:
        return symbol_of(root, shape)
    chord = pattern.chords[index % len(pattern.chords)]
    if pattern.guide:
        return f"{root}{chord}"
    bass = degree_name(root, shape[0].degree_text)
    return symbol_of(root, shape) or f"{root}{chord}" + (f"/{bass}" if bass != root else "")


def _cell(
    degree: int, root: Name, shape: Shape, direction: Direction, notes: tuple[Note, ...]
) -> Cell:
    """The cell on a root, with its spellings on the root's other names."""
    # A neighbour may be named either way; the notes of a chord may not, but for one.
    dim7 = {(item.degree, item.modifier) for item in shape} == _DIM7
    by_sound = tuple(dim7 or item.modifier in NEIGHBOURS for item in shape)
    also = []
    for other in other_names(root):
        if other != root:
            with contextlib.suppress(TheoryError):  # it cannot be spelled on that name
                renamed = _on(other, shape)
                also.append(_lifted(renamed, (notes[0].midi - renamed[0].midi) // 12))
    return Cell(degree, str(root), direction, notes, shape_text(shape), by_sound, tuple(also))


@lru_cache(maxsize=4096)
def _on(root: Name, shape: Shape) -> tuple[Note, ...]:
    """The notes of a shape on a root of the middle octave."""
    return root_cell(Note(root.letter, root.alter, HOME_OCTAVE), shape)


def _lifted(notes: tuple[Note, ...], octaves: int) -> tuple[Note, ...]:
    return tuple(Note(note.letter, note.alter, note.octave + octaves) for note in notes)


def _turned(cell: Cell) -> Cell:
    """The cell read from its last note to its first."""
    return replace(
        cell,
        notes=cell.notes[::-1],
        by_sound=cell.by_sound[::-1],
        also=tuple(notes[::-1] for notes in cell.also),
    )


def _placed(
    root: Name, shape: Shape, limits: Limits, horn: Instrument | None
) -> tuple[Note, ...] | None:
    """The shape in an octave that fits: from the horn's usual first note up, then down; in the
    middle one where nothing limits it.  None where no octave fits."""
    octaves: Sequence[int] = range(9) if limits.low or limits.high else (HOME_OCTAVE,)
    if horn:
        octaves = usual_first(octaves, lambda at: Note(root.letter, root.alter, at), horn)
    middle = _on(root, shape)
    for octave in octaves:
        notes = _lifted(middle, octave - HOME_OCTAVE)
        if limits.hold(notes):
            return notes
    return None
