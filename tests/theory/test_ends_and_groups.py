"""Runs that begin off the tonic, notes in other groups than cells, all turns of a cell.

3 to 3 and 5 to 5, rotations, permutations and displacement are common practice.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from math import factorial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.errors import TheoryError
from drill.terms import Direction, Ending, Pattern, Run, Span
from drill.theory.instruments import INSTRUMENTS
from drill.theory.patterns import PATTERNS, Turns, find_pattern, free_pattern, turns_of
from drill.theory.runs import build_run
from drill.theory.scales import parse_key

UP, DOWN = Direction.UP, Direction.DOWN


def run(pattern: Pattern, way: Direction = UP, key: str = "C", **more: object) -> Run:
    return build_run(parse_key(key), pattern, way, **more)  # type: ignore[arg-type]


def firsts(of: Run) -> str:
    return " ".join([*(str(cell.notes[0]) for cell in of.cells), str(of.close)])


def test_from_the_third_to_the_third() -> None:
    assert firsts(run(replace(PATTERNS["scale"], begin=3))) == "E4 F4 G4 A4 B4 C5 D5 E5"
    assert firsts(run(replace(PATTERNS["scale"], begin=3), DOWN)) == "E5 D5 C5 B4 A4 G4 F4 E4"
    assert run(replace(PATTERNS["return3"], begin=5)).close_degree == 12


def test_from_one_degree_to_another() -> None:
    pattern = replace(PATTERNS["thirds"], begin=5, finish=1)
    assert firsts(run(pattern)) == "G4 A4 B4 C5"
    assert firsts(run(pattern, DOWN)) == "C5 B4 A4 G4"


@given(st.integers(1, 7), st.sampled_from(list(Direction)), st.sampled_from(["alto_sax", "flute"]))
def test_off_the_tonic_every_note_is_on_the_horn(begin: int, way: Direction, horn: str) -> None:
    pattern = replace(PATTERNS["return3"], begin=begin)
    made = run(pattern, way, "Eb", horn=INSTRUMENTS[horn])
    low, high = INSTRUMENTS[horn].low.midi, INSTRUMENTS[horn].high.midi
    notes = [note for cell in made.cells for note in cell.notes] + [made.close]
    assert all(low <= note.midi <= high for note in notes)
    assert len(made.cells) == 7
    # The same cells as a run on the tonic has: only where it begins is another.
    plain = {cell.notes[0].name: [n.name for n in cell.notes] for cell in made.cells}
    usual = {
        cell.notes[0].name: [n.name for n in cell.notes]
        for cell in run(PATTERNS["return3"], way, "Eb").cells
    }
    assert plain == usual


@pytest.mark.parametrize(
    ("pattern", "span"),
    [
        (replace(PATTERNS["thirds"], begin=3, ending=Ending.CLIPPED), Span.ONE),
        (replace(PATTERNS["thirds"], begin=3), Span.FULL),
        (replace(PATTERNS["thirds"], begin=9), Span.ONE),
    ],
)
def test_ends_that_cannot_be(pattern: Pattern, span: Span) -> None:
    with pytest.raises(TheoryError):
        run(pattern, span=span, horn=INSTRUMENTS["flute"])


@given(st.sampled_from(sorted(PATTERNS)), st.integers(2, 7), st.sampled_from(list(Direction)))
def test_displaced_the_notes_are_the_same_in_other_groups(
    name: str, size: int, way: Direction
) -> None:
    plain = run(PATTERNS[name], way)
    moved = run(replace(PATTERNS[name], groups_of=size), way)
    assert [n for cell in moved.cells for n in cell.notes] == [
        n for cell in plain.cells for n in cell.notes
    ]
    assert [s for cell in moved.cells for s in cell.by_sound] == [
        s for cell in plain.cells for s in cell.by_sound
    ]
    assert {len(cell.notes) for cell in moved.cells[:-1]} <= {size}
    assert (moved.close, moved.close_degree) == (plain.close, plain.close_degree)


def test_a_four_note_cell_in_threes() -> None:
    made = run(replace(PATTERNS["return3"], groups_of=3))
    assert [cell.label for cell in made.cells][:4] == ["1-3", "4-6", "7-9", "10-12"]
    assert [" ".join(map(str, cell.notes)) for cell in made.cells][:4] == [
        "C4 D4 E4", "C4 D4 E4", "F4 D4 E4", "F4 G4 E4",
    ]  # fmt: skip


def test_all_rotations_are_the_catalogue_s() -> None:
    found = turns_of(PATTERNS["c1235"], Turns.ROTATIONS)
    assert [each.id for each in found] == ["c1235", "c1235_inv1", "c1235_inv2", "c1235_inv3"]
    assert [each.text for each in turns_of(find_pattern("1-2-3-1"), Turns.ROTATIONS)] == [
        "1-2-3-1", "2-3-1-8", "3-1-8-9", "1-8-9-10",
    ]  # fmt: skip


@given(st.lists(st.sampled_from("1 2 3 4 5 l1".split()), min_size=2, max_size=4))
def test_all_permutations_are_each_order_once(items: list[str]) -> None:
    pattern = free_pattern(("-".join(items),))
    found = [each.text.split("-") for each in turns_of(pattern, Turns.PERMUTATIONS)]
    assert sorted(map(tuple, found)) == sorted(set(itertools.permutations(items)))
    if len(set(items)) == len(items):
        assert len(found) == factorial(len(items))


@pytest.mark.parametrize(
    ("pattern", "kind"),
    [
        (free_pattern(("1-2-3-4-5",)), Turns.PERMUTATIONS),
        (free_pattern(("1-2-3", "1-3-2")), Turns.ROTATIONS),
        (find_pattern("Dm7 G7"), Turns.ROTATIONS),
    ],
)
def test_what_has_no_turns(pattern: Pattern, kind: Turns) -> None:
    with pytest.raises(TheoryError):
        turns_of(pattern, kind)
