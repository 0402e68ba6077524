"""Cells as places of a scale, so that an answer is compared with many cells at little cost.

A *form* says for each note of a cell how many positions above the cell's own start
it stands, counted round the scale (octaves do not matter to names), and which
chromatic neighbour it is.  Forms are read off cells that the theory room spells, so
that no rule of descent or ending is kept twice; one form serves all keys and degrees.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache

from drill.terms import (
    Descent,
    Direction,
    Key,
    Mode,
    Name,
    Pattern,
    Shape,
)
from drill.theory.chords import CHORDS, ChordKind
from drill.theory.layout import cell_on
from drill.theory.patterns import PATTERNS
from drill.theory.scales import SCALES, fifths_of, scale_of
from drill.theory.spelling import NEIGHBOURS, degree_name, moved

Names = tuple[Name, ...]
Form = tuple[tuple[int, str], ...]
"""For each note: positions above the start, 0 to the scale's size - 1, and a neighbour's sign."""


@cache
def form_of(
    size: int, shape: Shape, descent: Descent, direction: Direction, start: int = 0, clip: int = 0
) -> Form:
    """The form of a shape in scales of a size; ``start`` is 0 but in a clipped run."""
    key = next(Key(Name("C"), kind.id) for kind in SCALES.values() if len(kind.up) == size)
    names = scale_of(key).names(direction)
    pattern = Pattern("", "", (shape,), descent=descent)
    plain: Shape = tuple(replace(item, modifier="") for item in shape)
    real = cell_on(key, pattern, direction, start, shape, clip=clip)
    bases = cell_on(key, pattern, direction, start, plain, clip=clip)
    return tuple(
        ((names.index(base.name) - start) % size, _modifier(note.name, base.name))
        for note, base in zip(real.notes, bases.notes, strict=True)
    )


@cache
def catalogue(size: int, direction: Direction) -> tuple[tuple[Pattern, Form], ...]:
    """The catalogue's patterns of two notes or more with their forms in scales of a size."""
    return tuple(
        (pattern, form_of(size, pattern.cells[0], pattern.descent, direction))
        for pattern in PATTERNS.values()
        if len(pattern.cells[0]) > 1
    )


def _modifier(name: Name, base: Name) -> str:
    """Which neighbour of ``base`` a name is; "" for itself."""
    if name == base:
        return ""
    return next(sign for sign, interval in NEIGHBOURS.items() if moved(base, *interval) == name)


def spelled(names: Sequence[Name], form: Form, start: int) -> Names:
    """The names of a form on a position of a scale."""
    return tuple(_on(names, place, start) for place in form)


def _on(names: Sequence[Name], place: tuple[int, str], start: int) -> Name:
    offset, modifier = place
    name = names[(start + offset) % len(names)]
    return moved(name, *NEIGHBOURS[modifier]) if modifier else name


def same(got: Name, want: Name, *, by_sound: bool) -> bool:
    """Whether a name answers for another: any name of the sound where no spelling is agreed."""
    return got == want or (by_sound and got.pitch_class == want.pitch_class)


def agree(answer: Names, wanted: Iterable[Name], by_sound: Iterable[bool]) -> bool:
    """Whether every name answers for its own; the three have one length."""
    return all(
        same(got, want, by_sound=sound)
        for got, want, sound in zip(answer, wanted, by_sound, strict=True)
    )


def fits(answer: Names, names: Sequence[Name], form: Form, start: int, *, by_sound: bool) -> bool:
    """Whether an answer is a form on a position of a scale; ends at the first note that is not."""
    return len(answer) == len(form) and all(
        same(got, _on(names, place, start), by_sound=by_sound or bool(place[1]))
        for got, place in zip(answer, form, strict=True)
    )


def root_form(shape: Shape) -> tuple[int, ...] | None:
    """The notes of a root-mode shape as fifths above the root; None with neighbour signs."""
    if any(item.modifier in NEIGHBOURS for item in shape):
        return None
    return tuple(_fifths(item.degree_text) for item in shape)


def _fifths(degree: str) -> int:
    return fifths_of(degree_name(Name("C"), degree))


@cache
def chord_forms() -> dict[tuple[int, ...], ChordKind]:
    """The chord types by their notes as fifths above the root, rising from it."""
    found: dict[tuple[int, ...], ChordKind] = {}
    for kind in CHORDS.values():
        found.setdefault(tuple(map(_fifths, kind.formula)), kind)
    return found


def is_keyed(pattern: Pattern) -> bool:
    """Whether the digits of a pattern count steps of the key."""
    return pattern.mode is Mode.KEY
