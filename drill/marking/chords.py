"""Slips of chords: an inversion that was not asked for, another quality, another chord.

A chord is told by its notes as fifths above the root, in the order in which they are
played; names decide, so that an augmented triad has one root.
"""

from __future__ import annotations

from collections.abc import Iterator

from drill.marking.case import Case
from drill.marking.facts import Chorded
from drill.marking.forms import chord_forms, root_form
from drill.marking.slips import root_intervals, upward
from drill.terms import Direction
from drill.theory.chords import ChordKind
from drill.theory.spelling import parse_name

_LEAST = 3
"""Notes of a chord."""


def _turned(notes: tuple[int, ...], times: int) -> tuple[int, ...]:
    """A chord with its lowest notes put on top."""
    return notes[times:] + notes[:times]


def _asked(case: Case) -> tuple[ChordKind | None, int]:
    """The chord asked for and its inversion; None where the cell is no chord of the table."""
    form = root_form(case.shape)
    if form is None:
        return None, 0
    for turn in range(len(form)):
        kind = chord_forms().get(_turned(form, turn))
        if kind is not None and _turned(form, turn)[0] == 0:
            # Notes 1 3 5 in the order 3 5 1 are the first inversion: one turn less than whole.
            return kind, (len(form) - turn) % len(form)
    return None, 0


def inversion(case: Case) -> Iterator[Chorded]:
    """The chord asked for, begun on another of its notes and rising from there."""
    if not case.same_length or len(case.expected) < _LEAST:
        return
    if len(set(case.expected)) < len(case.expected):
        return
    kind, asked = (None, 0) if case.keyed else _asked(case)
    if case.keyed and not (_stacked(case) and case.cell.direction is Direction.UP):
        return
    played, wanted = upward(case, case.answer), upward(case, case.expected)
    for turn in range(1, len(wanted)):
        if played == wanted[turn:] + wanted[:turn]:
            root = wanted[0] if case.keyed else parse_name(case.cell.label)
            many = len(wanted)
            yield Chorded(root, kind, (asked + turn) % many, kind, asked)
            return


def _stacked(case: Case) -> bool:
    """Whether a cell in degrees is a chord in thirds: 1-3-5, 1-3-5-7."""
    degrees = [item.degree + 7 * item.octave for item in case.shape]
    return degrees == list(range(1, 2 * len(degrees), 2)) and not any(
        item.modifier for item in case.shape
    )


def quality(case: Case) -> Iterator[Chorded]:
    """Root mode: another chord of the table, on this root or on another."""
    if case.keyed or len(case.answer) < _LEAST:
        return
    kind, asked = _asked(case)
    if kind is None:
        return
    own = parse_name(case.cell.label)
    for root in dict.fromkeys((own, *upward(case, case.answer))):
        above = root_intervals(case, root)
        for turn in range(len(above)):
            found = chord_forms().get(_turned(above, turn))
            if found is None or _turned(above, turn)[0] != 0:
                continue
            inverted = (len(above) - turn) % len(above)
            if (root, found, inverted) != (own, kind, asked):
                yield Chorded(root, found, inverted, kind, asked)
                return
