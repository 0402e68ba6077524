"""Digits in scales that have not seven notes: below is below, and every note can be written.

What neighbours, turns and enclosures are (a step of the scale below and above) is common
practice; that the point of the bebop scales is their added half step, too.
"""

from __future__ import annotations

import pytest

from drill.terms import Direction
from drill.theory.patterns import PATTERNS, find_pattern
from drill.theory.runs import build_run
from drill.theory.scales import SCALES, parse_key, scale_of

UP = Direction.UP
ODD = [kind.id for kind in SCALES.values() if len(kind.up) != 7]
BELOW = ("ln", "turn", "turn5", "double_nb", "encl_dd")
"""The catalogue's patterns that dip below the note they begin on or circle round."""


def first(key: str, cell: str, index: int = 0) -> str:
    run = build_run(parse_key(key), find_pattern(cell), UP)
    return " ".join(str(note) for note in run.cells[index].notes)


def test_there_are_sixteen_such_scales() -> None:
    assert len(ODD) == 16


@pytest.mark.parametrize("scale", ODD)
@pytest.mark.parametrize("pattern", BELOW)
def test_the_note_below_is_the_next_of_the_scale(scale: str, pattern: str) -> None:
    """In every cell of every such scale: 7. is the scale's next note down from 1."""
    key = parse_key(f"C {scale}")
    names = scale_of(key).up
    low = [i for i, item in enumerate(PATTERNS[pattern].cells[0]) if str(item) == "7."]
    one = [i for i, item in enumerate(PATTERNS[pattern].cells[0]) if str(item) == "1"]
    for cell in build_run(key, PATTERNS[pattern], UP).cells:
        start, below = cell.notes[one[0]], cell.notes[low[0]]
        assert below.midi < start.midi
        place = names.index(start.name)
        assert below.name == names[place - 1]


@pytest.mark.parametrize(
    ("key", "cell", "index", "notes"),
    [
        ("C major_pentatonic", "ln", 0, "C4 A3 C4"),
        ("C major_pentatonic", "ln", 2, "E4 D4 E4"),
        ("A minor_pentatonic", "turn", 0, "C5 A4 G4 A4"),
        ("A blues", "encl_dd", 0, "C5 G4 A4"),
        ("F bebop_dominant", "ln", 0, "F4 E4 F4"),
        ("C chromatic", "ln", 0, "C4 B3 C4"),
        ("C chromatic", "1-7.-6.-1", 0, "C4 B3 A#3 C4"),
    ],
)
def test_neighbours_go_down(key: str, cell: str, index: int, notes: str) -> None:
    assert first(key, cell, index) == notes


@pytest.mark.parametrize("scale", ODD)
def test_octaves_are_octaves(scale: str) -> None:
    for cell in ("1-8", "1-1'"):
        run = build_run(parse_key(f"D {scale}"), find_pattern(cell), UP)
        assert all(b.midi - a.midi == 12 for a, b in (each.notes for each in run.cells))


@pytest.mark.parametrize("scale", list(SCALES))
def test_every_note_of_a_scale_can_be_written_from_its_tonic(scale: str) -> None:
    """Above with the digits 1 to 7 and, counted down from the octave, 2.' to 7.'."""
    names = set(scale_of(parse_key(f"C {scale}")).up)
    written = [str(n) for n in range(1, 8)] + [f"{n}.'" for n in range(2, 8)]
    found = set()
    for item in written:
        run = build_run(parse_key(f"C {scale}"), find_pattern(f"1-{item}-1"), UP)
        note = run.cells[0].notes[1]
        assert note.midi >= 60
        found.add(note.name)
    assert found == names


def test_a_scale_of_seven_counts_as_it_always_did() -> None:
    assert first("C", "1-7.'-1") == first("C", "1-7-1") == "C4 B4 C4"
    assert first("C", "1-2.-1") == "C4 D3 C4"
