"""Root-mode runs: a cell built exactly on a moving root, over a cycle or a progression.

Digits are degrees of the major scale on each root; the cell is placed near the
one before it and an octave nearer where the horn lacks a note.
"""

from __future__ import annotations

from drill.errors import TheoryError
from drill.terms import (
    Cell,
    Descent,
    Direction,
    Instrument,
    Item,
    Key,
    Name,
    Note,
    Pattern,
    Run,
    Shape,
    Span,
    shape_text,
)
from drill.theory.keys import respelled
from drill.theory.limits import HOME_OCTAVE, Limits
from drill.theory.spelling import degree_interval, degree_name, moved_note

_NEIGHBOURS = {"l": (-1, -1), "ll": (-1, -2), "u": (1, 1), "uu": (1, 2)}


def roots_of(tonic: Name, roots: tuple[str, ...]) -> tuple[Name, ...]:
    """The roots visited; the tonic alone without an order.

    A progression within the key (ii-V-I) keeps the key's own names: C sharp is the ii of B.
    The roots of a cycle that leaves the key are respelled like derived keys (common practice).
    """
    found = tuple(degree_name(tonic, token) for token in roots or ("1",))
    if all(token.isdecimal() for token in roots):
        return found
    return tuple(root if root == tonic else respelled(Key(root, "major")).tonic for root in found)


def root_cell(root: Note, shape: Shape) -> tuple[Note, ...]:
    """The notes of a root-mode shape on a root."""
    return tuple(_item_note(root, item) for item in shape)


def _item_note(root: Note, item: Item) -> Note:
    accidental = item.modifier if item.modifier[:1] in ("b", "#") else ""
    steps, semitones = degree_interval(f"{accidental}{item.degree}")
    steps, semitones = steps + 7 * item.octave, semitones + 12 * item.octave
    name = degree_name(root.name, f"{accidental}{(item.degree - 1) % 7 + 1}")
    note = Note(name.letter, name.alter, (root.staff_step + steps) // 7)
    if note.midi != root.midi + semitones:
        raise TheoryError(f"{item} on {root} cannot be spelled")
    if item.modifier in _NEIGHBOURS:
        return moved_note(note, *_NEIGHBOURS[item.modifier])
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
    note, or keeps its shape where the pattern says same shape.  Raises
    TheoryError where the horn cannot play one of the cells.
    """
    cells = []
    backwards = direction is Direction.DOWN and pattern.descent is not Descent.SAME_SHAPE
    for index, root in enumerate(roots_of(key.tonic, pattern.roots)):
        shape = pattern.cells[index % len(pattern.cells)]
        notes = _placed(root, shape, limits, horn)
        # A neighbour may be named either way; the notes of the chord may not.
        by_sound = tuple(item.modifier in _NEIGHBOURS for item in shape)
        if backwards:
            notes, by_sound = notes[::-1], by_sound[::-1]
        cells.append(Cell(index + 1, str(root), direction, notes, shape_text(shape), by_sound))
    close = _placed(key.tonic, (Item(1),), limits, horn)[0]
    return Run(key, pattern, direction, horn.id if horn else None, Span.ONE, tuple(cells), close, 1)


def _placed(root: Name, shape: Shape, limits: Limits, horn: Instrument | None) -> tuple[Note, ...]:
    """The shape in an octave that fits: from the horn's usual first note up, then down; in the
    middle one where nothing limits it."""
    octaves = list(range(9)) if limits.low or limits.high else [HOME_OCTAVE]
    if horn:
        usual = [
            octave
            for octave in octaves
            if Note(root.letter, root.alter, octave).midi >= horn.first.midi
        ]
        octaves = [*usual, *(octave for octave in reversed(octaves) if octave not in usual)]
    for octave in octaves:
        notes = root_cell(Note(root.letter, root.alter, octave), shape)
        if limits.hold(notes):
            return notes
    raise TheoryError(
        f"{shape_text(shape)} on {root} does not fit between {limits.low} and {limits.high}"
    )
