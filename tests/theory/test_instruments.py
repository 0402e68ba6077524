"""The instruments against a table with sources and two libraries' instruments.

``JUDGED`` is the table of every disagreement, each with its judgement and source.
"""

from __future__ import annotations

import pytest
from theory_tables import called, table

from drill.errors import TheoryError
from drill.terms import LETTERS, Direction, Key, Note
from drill.theory.instruments import INSTRUMENTS, find_instrument, near_instruments
from drill.theory.keys import written_key
from drill.theory.patterns import find_pattern
from drill.theory.runs import build_run
from drill.theory.spelling import moved_note, parse_interval, parse_name, parse_note

ROWS = table("instruments")

MUSIC21, ABJAD = called("instrument", "music21"), called("instrument", "abjad")

JUDGED = {
    ("abjad", "bass_sax"): (
        12,
        (
            "its register starts at Ab2, though its own transposition and the saxophones' written "
            "Bb3 give Ab1, as ours do: an octave too high (common practice: the bass sounds an "
            "octave below the tenor)"
        ),
    ),
}
"""(library, instrument) -> semitones by which its lowest note is higher, our judgement and its
source.  No transposition and no General MIDI program differs."""


def test_the_table_row_for_row() -> None:
    assert [row["id"] for row in ROWS] == list(INSTRUMENTS)
    for row in ROWS:
        horn = INSTRUMENTS[row["id"]]
        assert (horn.name, horn.family, horn.clef) == (row["name"], row["family"], row["clef"])
        assert str(horn.low) == row["written_low"]
        assert str(horn.high) == row["written_high"]
        assert str(horn.low_extended) == row["written_low_extended"]
        assert str(horn.high_extended) == row["written_high_extended"]
        assert str(horn.first) == row["usual_first"]
        assert horn.program == int(row["gm_program_0based"])
        assert horn.semitones == int(row["semitones"])
        assert (horn.steps, horn.semitones) == named_interval(row["written_to_sounding"])


def named_interval(text: str) -> tuple[int, int]:
    """Steps and semitones of ``M6 down``, by music21's interval names."""
    from music21 import interval

    name, _, way = text.partition(" ")
    made = interval.Interval(name)
    sign = -1 if way == "down" else 1
    return sign * (made.generic.value - 1), sign * int(made.semitones)


@pytest.mark.parametrize("horn_id", MUSIC21)
def test_transpositions_of_music21_instruments(horn_id: str) -> None:
    from music21 import instrument

    horn = INSTRUMENTS[horn_id]
    theirs = getattr(instrument, MUSIC21[horn_id])()
    shift = theirs.transposition
    if horn_id == "contrabassoon":
        assert shift is None  # music21 10.5 leaves out that it sounds an octave lower
        return
    found = (0, 0)
    if shift is not None:
        found = (shift.generic.staffDistance, int(shift.chromatic.semitones))
    assert found == (horn.steps, horn.semitones)


@pytest.mark.parametrize("horn_id", ABJAD)
def test_what_written_middle_c_sounds_on_abjad_instruments(horn_id: str) -> None:
    import abjad

    horn = INSTRUMENTS[horn_id]
    theirs = getattr(abjad, ABJAD[horn_id])().middle_c_sounding_pitch
    ours = moved_note(parse_note("C4"), horn.steps, horn.semitones)
    assert theirs.number + 60 == ours.midi
    assert theirs.name[0].upper() == ours.letter


def test_instruments_that_neither_library_has_transpose_as_their_name_says() -> None:
    """The key in a name is the sounding note of a written C (common practice)."""
    for horn in INSTRUMENTS.values():
        if " in " in horn.name:
            key = horn.name.split(" in ")[1].split()[0]
            sounding = moved_note(parse_note("C4"), horn.steps, horn.semitones)
            assert str(sounding.name) == key, horn.id
    alone = set(INSTRUMENTS) - set(MUSIC21) - set(ABJAD)
    at_pitch = {horn for horn in alone if INSTRUMENTS[horn].semitones % 12 == 0}
    assert at_pitch == {
        "euphonium_bc", "recorder_descant", "bassoon_tenor_clef", "trombone_tenor_clef",
        "sousaphone", "eb_bass_bc",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("horn_id", "written", "sounding"),
    [
        # Concert B flat is G on alto and C on tenor (common practice); octaves by instrument.
        ("alto_sax", "G4", "Bb3"), ("tenor_sax", "C5", "Bb3"), ("soprano_sax", "C5", "Bb4"),
        ("baritone_sax", "G4", "Bb2"), ("bass_sax", "C5", "Bb2"), ("clarinet_bb", "C5", "Bb4"),
        ("clarinet_a", "C4", "A3"), ("clarinet_eb", "C4", "Eb4"), ("horn_f", "C5", "F4"),
        ("english_horn", "C5", "F4"), ("alto_flute", "C4", "G3"), ("piccolo", "D4", "D5"),
        ("recorder_descant", "C4", "C5"), ("trumpet_bb", "C4", "Bb3"),
        ("bass_clarinet", "C4", "Bb2"), ("euphonium_tc", "C5", "Bb3"), ("flute", "C4", "C4"),
        ("bassoon", "Bb1", "Bb1"), ("piccolo_trumpet_bb", "C4", "Bb4"), ("cornet_eb", "C4", "Eb4"),
        ("piccolo_trumpet_a", "C4", "A4"), ("contra_alto_clarinet", "C5", "Eb3"),
        ("contrabass_clarinet", "C5", "Bb2"), ("bass_clarinet_bc", "C3", "Bb2"),
        ("eb_bass_tc", "C5", "Eb3"), ("trombone_tc", "C5", "Bb3"), ("bb_bass_tc", "C5", "Bb2"),
        ("contrabassoon", "C3", "C2"), ("bass_flute", "C5", "C4"),
        ("alto_sax", "Cb5", "Ebb4"), ("alto_sax", "F#6", "A5"),
    ],
)  # fmt: skip
def test_sounding_notes(horn_id: str, written: str, sounding: str) -> None:
    horn = INSTRUMENTS[horn_id]
    note = moved_note(parse_note(written), horn.steps, horn.semitones)
    assert str(note) == sounding
    assert note.midi - parse_note(written).midi == horn.semitones


def test_lowest_sounding_notes_against_the_registers_of_abjad() -> None:
    """Within a fourth of abjad's (horns, handbooks and trigger notes vary), but for the judged."""
    import abjad

    far = {}
    for horn_id, name in ABJAD.items():
        horn = INSTRUMENTS[horn_id]
        ours = moved_note(horn.low, horn.steps, horn.semitones).midi
        theirs = getattr(abjad, name)().pitch_range.start_pitch.number + 60
        if abs(ours - theirs) > 5:
            far["abjad", horn_id] = theirs - ours
    assert far == {judged: semitones for judged, (semitones, _) in JUDGED.items()}


def test_general_midi_programs_agree_with_music21() -> None:
    """General MIDI 1: 65 alto saxophone, 71 clarinet, 73 flute .. counted from 0."""
    from music21 import instrument

    for horn_id, name in MUSIC21.items():
        assert getattr(instrument, name)().midiProgram == INSTRUMENTS[horn_id].program, horn_id


def test_ranges_are_in_order_and_playable() -> None:
    for horn in INSTRUMENTS.values():
        ends = [horn.low_extended, horn.low, horn.high, horn.high_extended]
        assert [note.midi for note in ends] == sorted(note.midi for note in ends)
        assert horn.high.midi - horn.low.midi >= 21, "an octave and a sixth at least"
        for note in ends:
            assert 21 <= moved_note(note, horn.steps, horn.semitones).midi <= 108


def test_every_written_note_of_every_horn_sounds_its_interval() -> None:
    """1344 notes and more: written to sounding and back, MIDI number by MIDI number."""
    count = 0
    for horn in INSTRUMENTS.values():
        for octave in range(1, 8):
            for letter in LETTERS:
                for alter in (-1, 0, 1):
                    note = Note(letter, alter, octave)
                    if horn.low.midi <= note.midi <= horn.high.midi:
                        sounding = moved_note(note, horn.steps, horn.semitones)
                        assert sounding.midi == note.midi + horn.semitones
                        assert moved_note(sounding, -horn.steps, -horn.semitones) == note
                        count += 1
    assert count > 1344


def test_an_instrument_is_found_by_id_or_name() -> None:
    for horn in INSTRUMENTS.values():
        for text in (horn.id, horn.id.upper(), horn.id.replace("_", " "), horn.name.lower(),
                     horn.id.replace("_", "-")):  # fmt: skip
            assert find_instrument(text) is horn


def test_a_mistyped_instrument_is_answered_with_the_nearest() -> None:
    with pytest.raises(TheoryError, match="did you mean .*alto_sax"):
        find_instrument("alto sacks")
    with pytest.raises(TheoryError, match="no instrument 'qqq'$"):
        find_instrument("qqq")


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        # What players call the horn that a school owns (common practice, no source).
        ("trumpet", "trumpet_bb"), ("clarinet", "clarinet_bb"), ("sax", "alto_sax"),
        ("bari sax", "baritone_sax"), ("French horn", "horn_f"), ("euphonium", "euphonium_bc"),
        ("alto saxophone", "alto_sax"), ("cor anglais", "english_horn"),
    ],
)  # fmt: skip
def test_what_players_say_is_the_usual_horn(said: str, meant: str) -> None:
    assert find_instrument(said).id == meant


def test_the_usual_horn_comes_first_for_a_mistyped_one() -> None:
    assert near_instruments("trumpett")[0] == "trumpet_bb"
    assert near_instruments("clarnet")[0] == "clarinet_bb"


def test_every_usual_first_note_is_on_the_horn_with_an_octave_above() -> None:
    for horn in INSTRUMENTS.values():
        assert horn.low.midi <= horn.first.midi <= horn.high.midi - 12, horn.id


@pytest.mark.parametrize("concert", ["Bb", "Eb", "F", "Ab", "C", "G"])
def test_a_school_horn_player_s_first_octave_is_in_the_treble_clef(concert: str) -> None:
    """Written C4 or the next tonic above, and not the F3 or Bb2 of the low register."""
    horn = find_instrument("horn_f")
    key = written_key(Key(parse_name(concert), "major"), horn)
    run = build_run(key, find_pattern("1-2-3-1"), Direction.UP, horn=horn)
    assert 60 <= run.cells[0].notes[0].midi < 72
    assert run.remarks == ()


def test_intervals_are_read_as_music21_reads_them() -> None:
    from music21 import interval

    for quality in "PMmAd":
        for number in range(1, 24):
            for way in ("up", "down"):
                text = f"{quality}{number} {way}"
                perfect = number % 7 in (1, 4, 5)
                if (quality in "Mm") if perfect else (quality == "P"):
                    with pytest.raises(TheoryError, match="not an interval"):
                        parse_interval(text)
                    continue
                theirs = interval.Interval(f"{quality}{number}")
                sign = -1 if way == "down" else 1
                assert parse_interval(text) == (sign * (number - 1), sign * theirs.semitones)
