"""Spelling by letter: reading and printing, moving by an interval, MIDI numbers and hertz.

Our arithmetic, music21's and three other libraries' are held against each other.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from theory_tables import moved_by_music21

from drill.errors import TheoryError
from drill.terms import LETTERS, Name, Note, hertz
from drill.theory.spelling import (
    degree_interval,
    interval_name,
    moved,
    moved_note,
    parse_interval,
    parse_name,
    parse_note,
)

NAMES = st.builds(Name, st.sampled_from(LETTERS), st.integers(-2, 2))
NOTES = st.builds(Note, st.sampled_from(LETTERS), st.integers(-2, 2), st.integers(0, 8))
STEPS = st.integers(-15, 15)
SEMITONES = st.integers(-26, 26)


@given(NAMES)
def test_spell_then_parse_is_the_identity(name: Name) -> None:
    assert parse_name(str(name)) == name
    glyphs = str(name).replace("b", "♭").replace("#", "♯")
    assert parse_name(glyphs) == name
    assert parse_name(str(name).lower()) == name


@given(NOTES)
def test_spell_then_parse_is_the_identity_for_notes(note: Note) -> None:
    assert parse_note(str(note)) == note
    assert note.name == parse_name(str(note)[:-1])


@pytest.mark.parametrize("text", ["", "H", "Cis", "C###", "B-", "b b", "C4", "x", "bbbb"])
def test_what_is_no_name(text: str) -> None:
    with pytest.raises(TheoryError, match="not a note name"):
        parse_name(text)


@pytest.mark.parametrize("text", ["", "C", "4", "C44", "C 4", "do4", "C4.5"])
def test_what_is_no_note(text: str) -> None:
    with pytest.raises(TheoryError, match="not a note"):
        parse_note(text)


@given(NAMES, st.integers(-7, 7), st.integers(-2, 2))
def test_music21_and_letter_arithmetic_move_alike_up_and_down(
    name: Name, steps: int, bent: int
) -> None:
    plain = (0, 2, 4, 5, 7, 9, 11, 12)[abs(steps)]
    semitones = plain + bent if steps >= 0 else -plain - bent
    there = moved(name, steps, semitones)
    if abs(there.alter) <= 4:  # music21's accidentals end there
        assert moved_by_music21(name, steps, semitones) == str(there)


@given(NOTES, STEPS, SEMITONES)
def test_moving_and_moving_back_is_the_identity(note: Note, steps: int, semitones: int) -> None:
    there = moved_note(note, steps, semitones)
    assert moved_note(there, -steps, -semitones) == note
    assert there.midi - note.midi == semitones
    assert there.name == moved(note.name, steps, semitones)


@given(NOTES)
def test_midi_numbers_agree_with_four_libraries(note: Note) -> None:
    """MIDI 1.0: 60 is middle C; octaves are counted by letter, so Cb4 sounds as B3."""
    import abjad
    import musthe
    from mingus.containers import Note as MingusNote
    from music21 import pitch

    text = str(note)
    assert abjad.NamedPitch(text).number + 60 == note.midi
    assert musthe.Note(text).midi_note() == note.midi
    assert int(MingusNote(str(note.name), note.octave)) + 12 == note.midi
    assert pitch.Pitch(text.replace("b", "-")).midi == note.midi


def test_middle_c_is_60_and_the_octave_changes_between_b_and_c_by_letter() -> None:
    # MIDI 1.0 and scientific pitch notation (common practice).
    numbers = {"C4": 60, "A4": 69, "C-1": 0, "G9": 127, "Cb4": 59, "B#3": 60, "B3": 59, "Fb4": 64}
    for text, number in numbers.items():
        assert parse_note(text).midi == number


@given(NOTES)
def test_hertz_agrees_with_three_libraries(note: Note) -> None:
    """A4 is 440 Hz (ISO 16), in equal temperament."""
    import abjad
    import musthe
    from mingus.containers import Note as MingusNote

    text = str(note)
    assert hertz(note.midi) == pytest.approx(float(abjad.NamedPitch(text).hertz), rel=1e-9)
    assert hertz(note.midi) == pytest.approx(musthe.Note(text).frequency(), rel=1e-9)
    assert hertz(note.midi) == pytest.approx(
        MingusNote(str(note.name), note.octave).to_hertz(), rel=1e-9
    )


def test_hertz_follows_the_tuning_note() -> None:
    a4 = parse_note("A4")
    assert hertz(a4.midi) == 440.0
    assert hertz(a4.midi, 442.0) == 442.0
    assert hertz(parse_note("A3").midi, 442.0) == pytest.approx(221.0)
    assert hertz(parse_note("C4").midi) == pytest.approx(261.6256, abs=1e-4)


@pytest.mark.parametrize(
    ("token", "interval"),
    [("1", (0, 0)), ("b3", (2, 3)), ("#4", (3, 6)), ("bb7", (6, 9)), ("9", (8, 14)),
     ("#9", (8, 15)), ("b13", (12, 20)), ("8", (7, 12)), ("15", (14, 24))],
)  # fmt: skip
def test_degrees_as_intervals(token: str, interval: tuple[int, int]) -> None:
    assert degree_interval(token) == interval


@pytest.mark.parametrize("token", ["", "0", "b", "3b", "bbb3", "-1", "#0"])
def test_what_is_no_degree(token: str) -> None:
    with pytest.raises(TheoryError, match="not a degree"):
        degree_interval(token)


@given(st.sampled_from("PMmAd"), st.integers(1, 22), st.sampled_from(["up", "down"]))
def test_an_interval_is_named_as_it_is_read(quality: str, number: int, way: str) -> None:
    """Unisons, fourths, fifths and octaves are perfect, the others major or minor."""
    if quality in ("P" if number % 7 not in (1, 4, 5) else "Mm"):
        with pytest.raises(TheoryError, match="is not an interval: write M6 down"):
            parse_interval(f"{quality}{number} {way}")
        return
    interval = parse_interval(f"{quality}{number} {way}")
    assert parse_interval(interval_name(*interval)) == interval


def test_an_interval_that_is_bent_too_far_has_no_name() -> None:
    with pytest.raises(TheoryError, match="an interval of 2 letters and 9 semitones has no name"):
        interval_name(2, 9)
