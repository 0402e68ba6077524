"""What holds for every descent and every ending of a run, whatever its cell."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from run_draws import ANY_KEY, MAJOR, PLAIN_SHAPE, SHAPE, free

from drill.errors import TheoryError
from drill.terms import (
    Descent,
    Digit,
    Direction,
    Ending,
    Fit,
    Key,
    Remark,
    Shape,
)
from drill.theory.patterns import PATTERNS, find_pattern
from drill.theory.runs import build_run
from drill.theory.scales import SCALES, parse_key

UP, DOWN = Direction.UP, Direction.DOWN


def turned(shape: Shape) -> Shape:
    """A cell turned over about its start: each step up becomes the same step down."""
    found = []
    for item in shape:
        octaves, step = divmod(-(item.degree - 1 + 7 * item.octave), 7)
        modifier = item.modifier.translate(str.maketrans("lu", "ul"))
        found.append(Digit(step + 1, octaves, modifier))
    return tuple(found)


def notes_of(key: Key, shape: Shape, direction: Direction, descent: Descent) -> list[list[str]]:
    run = build_run(key, free(shape, descent), direction)
    return [[str(note) for note in cell.notes] for cell in run.cells]


@settings(deadline=None)
@given(MAJOR, SHAPE)
def test_the_mirror_of_a_mirror_is_the_run(key: Key, shape: Shape) -> None:
    over = turned(shape)
    assert [item.degree + 7 * item.octave for item in turned(over)] == [
        item.degree + 7 * item.octave for item in shape
    ]
    same = notes_of(key, shape, DOWN, Descent.SAME_SHAPE)
    assert notes_of(key, over, DOWN, Descent.MIRROR) == same
    mirrored = notes_of(key, shape, DOWN, Descent.MIRROR)
    assert notes_of(key, over, DOWN, Descent.SAME_SHAPE) == mirrored
    assert notes_of(key, turned(over), DOWN, Descent.MIRROR) == mirrored


@settings(deadline=None)
@given(ANY_KEY, SHAPE, st.integers(1, 3))
def test_retrograde_is_the_rising_run_read_backwards(key: Key, shape: Shape, moves: int) -> None:
    assume(SCALES[key.scale].up == SCALES[key.scale].down)
    pattern = replace(free(shape, Descent.RETROGRADE), moves_by=moves)
    up = build_run(key, pattern, UP)
    down = build_run(key, pattern, DOWN)
    rising = [note for cell in up.cells for note in cell.notes]
    assert [note for cell in down.cells for note in cell.notes] == rising[::-1]


@settings(deadline=None)
@given(MAJOR, SHAPE)
def test_retrograde_inversion_is_the_mirror_with_each_cell_backwards(
    key: Key, shape: Shape
) -> None:
    mirror = notes_of(key, shape, DOWN, Descent.MIRROR)
    assert notes_of(key, shape, DOWN, Descent.RETROGRADE_INVERSION) == [
        cell[::-1] for cell in mirror
    ]


@settings(deadline=None)
@given(MAJOR, PLAIN_SHAPE)
def test_chord_tones_from_the_top_have_the_ends_of_the_cell(key: Key, shape: Shape) -> None:
    """The same lowest and highest note of each cell, and turned twice the cell itself."""
    same = build_run(key, free(shape, Descent.SAME_SHAPE), DOWN)
    tops = build_run(key, free(shape, Descent.CHORD_TONES), DOWN)
    for plain, chord in zip(same.cells, tops.cells, strict=True):
        assert min(note.midi for note in plain.notes) == min(note.midi for note in chord.notes)
        assert max(note.midi for note in plain.notes) == max(note.midi for note in chord.notes)


@settings(deadline=None)
@given(ANY_KEY, SHAPE, st.sampled_from(Direction), st.sampled_from(Descent))
def test_clipped_never_passes_the_octave(
    key: Key, shape: Shape, direction: Direction, descent: Descent
) -> None:
    """No note below the lower tonic or above the upper, chromatic neighbours included."""
    try:
        run = build_run(key, free(shape, descent, Ending.CLIPPED), direction)
    except TheoryError:
        return  # a cell wider than the octave
    low = build_run(key, PATTERNS["scale"], UP).cells[0].notes[0]
    notes = [note for cell in run.cells for note in cell.notes]
    assert all(low.midi <= note.midi <= low.midi + 12 for note in notes)
    assert run.close.midi == low.midi + (12 if direction is UP else 0)


@pytest.mark.parametrize(
    ("pattern", "way", "left_out"),
    [
        ("appr_above2", UP, "7"),  # two half steps above B is past C
        ("octaves", UP, "2 3 4 5 6 7"),
        ("triad3", UP, "5 6 7"),
        ("ln", UP, "1"),
        ("turn", UP, "1"),
        ("return3", DOWN, "2"),
    ],
)
def test_a_clipped_cell_that_would_change_its_sense_is_left_out(
    pattern: str, way: Direction, left_out: str
) -> None:
    """Turned back, octaves, triads and neighbours are none any more (a teacher's judgement)."""
    run = build_run(parse_key("C"), replace(PATTERNS[pattern], ending=Ending.CLIPPED), way)
    assert run.remarks == (Remark(Fit.CLIPPED, tuple(left_out.split())),)


def test_clipped_thirds_and_groups_turn_back_whole() -> None:
    for pattern in ("scale", "thirds", "groups3", "groups4", "groups5"):
        clipped = replace(PATTERNS[pattern], ending=Ending.CLIPPED)
        run = build_run(parse_key("C"), clipped, UP)
        assert (len(run.cells), run.remarks) == (7, ())


@settings(deadline=None)
@given(MAJOR, SHAPE, st.sampled_from(Direction), st.sampled_from(list(Descent)))
def test_closed_adds_the_cell_on_the_last_tonic(
    key: Key, shape: Shape, direction: Direction, descent: Descent
) -> None:
    assume(descent is not Descent.RETROGRADE)  # it begins with that cell, tested below
    plain = build_run(key, free(shape, descent), direction)
    closed = build_run(key, free(shape, descent, Ending.CLOSED), direction)
    assert closed.cells[:-1] == plain.cells
    assert closed.cells[-1].label == ("8" if direction is UP else "1")
    assert closed.close == plain.close


def test_a_closed_retrograde_begins_with_the_cell_on_the_upper_tonic() -> None:
    pattern = find_pattern("1-2-3-1")
    pattern = replace(pattern, descent=Descent.RETROGRADE, ending=Ending.CLOSED)
    run = build_run(parse_key("C"), pattern, DOWN)
    assert " ".join(map(str, run.cells[0].notes)) == "C5 E5 D5 C5"
    assert [cell.label for cell in run.cells] == list("87654321")
