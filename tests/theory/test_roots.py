"""Cells on moving roots: how roots are spelled, and what a horn leaves out.

The names of roots are common practice: F sharp, C sharp and G sharp minor, F sharp diminished;
never G flat minor with B double flat.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from drill.errors import TheoryError
from drill.terms import Direction, Fit, Key, Mode, Name, Pattern, Remark
from drill.theory.chords import CHORDS, chord_pattern
from drill.theory.instruments import INSTRUMENTS
from drill.theory.limits import limits_of
from drill.theory.patterns import ROOT_ORDERS, find_pattern, free_pattern
from drill.theory.runs import build_run
from drill.theory.scales import parse_key

UP = Direction.UP
FOURTHS = ROOT_ORDERS["fourths"]


def labels(pattern: Pattern, key: str = "C") -> list[str]:
    return [cell.label for cell in build_run(parse_key(key), pattern, UP).cells]


def test_minor_cells_round_the_fourths_are_written_as_players_read_them() -> None:
    pattern = free_pattern(("1-2-b3-5",), mode=Mode.ROOT, roots=FOURTHS)
    run = build_run(parse_key("C"), pattern, UP)
    on = {cell.label: " ".join(str(note.name) for note in cell.notes) for cell in run.cells}
    assert on["F#"] == "F# G# A C#"
    assert on["C#"] == "C# D# E G#"
    assert {"Gb", "Db"} & set(on) == set()


@pytest.mark.parametrize("chord", list(CHORDS))
def test_no_root_needs_a_double_accidental_that_its_other_name_has_not(chord: str) -> None:
    run = build_run(parse_key("C"), replace(chord_pattern(chord), roots=FOURTHS), UP)
    for cell in run.cells:
        worst = max(abs(note.alter) for note in cell.notes)
        others = [max(abs(note.alter) for note in notes) for notes in cell.also]
        if worst > 1 and cell.label not in "CDEFGAB":
            assert all(other > 1 for other in others), (cell.label, chord)


def test_major_chords_keep_the_flat_names_of_the_circle() -> None:
    for chord in ("maj", "maj7", "6"):
        pattern = replace(chord_pattern(chord), roots=FOURTHS)
        assert labels(pattern) == "C F Bb Eb Ab Db Gb B E A D G".split()


def test_a_progression_within_the_key_keeps_the_key_s_names() -> None:
    pattern = free_pattern(
        ("1-b3-5-b7", "1-3-5-b7", "1-3-5-7"), mode=Mode.ROOT, roots=("2", "5", "1")
    )
    assert labels(pattern, "Gb") == ["Ab", "Db", "Gb"]
    assert labels(pattern, "F#") == ["G#", "C#", "F#"]


def test_the_other_name_of_a_root_is_held_at_the_same_pitch() -> None:
    pattern = free_pattern(("1-2-b3-5",), mode=Mode.ROOT, roots=FOURTHS)
    run = build_run(parse_key("C"), pattern, UP)
    cell = next(cell for cell in run.cells if cell.label == "F#")
    assert [" ".join(map(str, notes)) for notes in cell.also] == ["Gb4 Ab4 Bbb4 Db5"]
    for cell in run.cells:
        for notes in cell.also:
            assert [note.midi for note in notes] == [note.midi for note in cell.notes]


def test_a_diminished_seventh_is_known_by_sound() -> None:
    pattern = replace(chord_pattern("dim7"), roots=FOURTHS)
    run = build_run(parse_key("C"), pattern, UP)
    assert all(all(cell.by_sound) for cell in run.cells)
    other = build_run(parse_key("C"), replace(chord_pattern("m7b5"), roots=FOURTHS), UP)
    assert not any(any(cell.by_sound) for cell in other.cells)


def test_what_does_not_fit_is_left_out_and_said() -> None:
    pattern = replace(find_pattern("chord-13"), roots=FOURTHS)
    run = build_run(parse_key("C"), pattern, UP, horn=INSTRUMENTS["alto_sax"])
    assert run.remarks == (Remark(Fit.LACKING, ("A13",)),)
    assert "A" not in [cell.label for cell in run.cells]


def test_every_chord_in_fourths_is_played_as_far_as_a_horn_goes() -> None:
    """Of 33 chords on 30 horns 109 were refused whole for one root."""
    short = 0
    for horn in list(INSTRUMENTS.values())[::4]:
        limits = limits_of(horn)
        for chord in CHORDS:
            pattern = replace(chord_pattern(chord), roots=FOURTHS)
            run = build_run(parse_key("C"), pattern, UP, horn=horn)
            assert all(limits.hold(cell.notes) for cell in run.cells)
            lost = 12 - len(run.cells)
            assert bool(lost) is bool(run.remarks)
            short += bool(lost)
    assert short > 10


def test_where_no_root_fits_it_is_one_message() -> None:
    pattern = free_pattern(("1-15",), mode=Mode.ROOT, roots=("1", "4"))
    from drill.theory.limits import Limits
    from drill.theory.spelling import parse_note

    limits = Limits(parse_note("C4"), parse_note("C5"))
    with pytest.raises(TheoryError, match="does not fit between C4 and C5"):
        build_run(Key(Name("C"), "major"), pattern, UP, limits=limits)


@pytest.mark.parametrize(
    ("chord", "notes"),
    [
        ("chord-add9/3", "D4 E4 G4 C5"),
        ("chord-9/4", "D4 E4 G4 Bb4 C5"),
        ("chord-13/4", "D4 E4 F4 G4 A4 Bb4 C5"),
        ("chord-13/6", "A4 Bb4 C5 D5 E5 F5 G5"),
    ],
)
def test_an_extension_in_the_bass_is_the_lowest_note(chord: str, notes: str) -> None:
    run = build_run(parse_key("C"), find_pattern(chord), UP)
    assert " ".join(map(str, run.cells[0].notes)) == notes


def test_every_inversion_has_its_own_note_in_the_bass() -> None:
    for chord in CHORDS.values():
        for inversion, token in enumerate(chord.formula):
            bass = (
                build_run(parse_key("C"), find_pattern(f"chord-{chord.id}/{inversion}"), UP)
                .cells[0]
                .notes
            )
            plain = build_run(parse_key("C"), find_pattern(f"chord-{chord.id}"), UP)
            assert bass[0].name == plain.cells[0].notes[inversion].name, token
            assert min(bass, key=lambda note: note.midi) == bass[0]
