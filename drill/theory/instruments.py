"""The instruments: how each transposes, its clef and its written range.

Ranges follow the usual handbooks; *standard* is what a good student reads,
*extended* what the key work or the high register adds.  Programs are General
MIDI's, counted from 0; where it has no sound of its own the nearest is taken.
"""

from __future__ import annotations

import difflib

from drill.errors import TheoryError
from drill.terms import Instrument
from drill.theory.spelling import parse_note


def _horn(
    horn_id: str,
    name: str,
    family: str,
    clef: str,
    steps: int,
    semitones: int,
    ranges: str,
    program: int,
) -> Instrument:
    low, high, low_extended, high_extended = (parse_note(text) for text in ranges.split())
    return Instrument(
        horn_id,
        name,
        family,
        clef,
        steps,
        semitones,
        low,
        high,
        low_extended,
        high_extended,
        program,
    )


# fmt: off
_TABLE = (
    _horn("soprano_sax", "Soprano saxophone in Bb", "sax", "treble", -1, -2, "Bb3 F6 Bb3 F#6", 64),
    _horn("alto_sax", "Alto saxophone in Eb", "sax", "treble", -5, -9, "Bb3 F6 Bb3 F#6", 65),
    _horn("tenor_sax", "Tenor saxophone in Bb", "sax", "treble", -8, -14, "Bb3 F6 Bb3 F#6", 66),
    _horn("baritone_sax", "Baritone saxophone in Eb", "sax", "treble", -12, -21, "A3 F6 A3 F#6", 67),
    _horn("bass_sax", "Bass saxophone in Bb", "sax", "treble", -15, -26, "Bb3 F6 Bb3 F#6", 67),
    _horn("clarinet_bb", "Clarinet in Bb", "clarinet", "treble", -1, -2, "E3 G6 E3 C7", 71),
    _horn("clarinet_a", "Clarinet in A", "clarinet", "treble", -2, -3, "E3 G6 E3 C7", 71),
    _horn("clarinet_eb", "Clarinet in Eb", "clarinet", "treble", 2, 3, "E3 G6 E3 C7", 71),
    _horn("alto_clarinet", "Alto clarinet in Eb", "clarinet", "treble", -5, -9, "Eb3 F6 Eb3 G6", 71),
    _horn("bass_clarinet", "Bass clarinet in Bb (treble clef)", "clarinet", "treble", -8, -14, "Eb3 F6 C3 G6", 71),
    _horn("flute", "Flute", "flute", "treble", 0, 0, "C4 C7 B3 D7", 73),
    _horn("piccolo", "Piccolo", "flute", "treble", 7, 12, "D4 A6 D4 C7", 72),
    _horn("alto_flute", "Alto flute in G", "flute", "treble", -3, -5, "C4 C7 C4 C7", 73),
    _horn("oboe", "Oboe", "double reed", "treble", 0, 0, "Bb3 E6 Bb3 A6", 68),
    _horn("english_horn", "English horn (cor anglais) in F", "double reed", "treble", -4, -7, "B3 E6 B3 G6", 69),
    _horn("bassoon", "Bassoon", "double reed", "bass", 0, 0, "Bb1 Bb4 Bb1 E5", 70),
    _horn("trumpet_bb", "Trumpet in Bb", "brass", "treble", -1, -2, "F#3 C6 F#3 E6", 56),
    _horn("trumpet_c", "Trumpet in C", "brass", "treble", 0, 0, "F#3 C6 F#3 E6", 56),
    _horn("cornet_bb", "Cornet in Bb", "brass", "treble", -1, -2, "F#3 C6 F#3 E6", 56),
    _horn("flugelhorn", "Flugelhorn in Bb", "brass", "treble", -1, -2, "F#3 Bb5 F#3 C6", 56),
    _horn("horn_f", "Horn in F", "brass", "treble", -4, -7, "F#2 C6 C2 C6", 60),
    _horn("mellophone_f", "Mellophone in F", "brass", "treble", -4, -7, "F#3 A5 F#3 C6", 60),
    _horn("tenor_horn_eb", "Tenor (alto) horn in Eb", "brass", "treble", -5, -9, "F#3 A5 F#3 C6", 60),
    _horn("trombone", "Trombone (tenor), bass clef", "brass", "bass", 0, 0, "E2 Bb4 E2 F5", 57),
    _horn("bass_trombone", "Bass trombone", "brass", "bass", 0, 0, "Bb1 F4 Bb1 Bb4", 57),
    _horn("euphonium_bc", "Euphonium / baritone, bass clef", "brass", "bass", 0, 0, "E2 Bb4 Bb1 F5", 58),
    _horn("euphonium_tc", "Euphonium / baritone, treble clef in Bb", "brass", "treble", -8, -14, "F#3 C6 F#3 E6", 58),
    _horn("tuba", "Tuba (C/BBb), bass clef", "brass", "bass", 0, 0, "E1 F3 D1 F4", 58),
    _horn("recorder_descant", "Descant (soprano) recorder", "flute", "treble 8va", 7, 12, "C4 C6 C4 D6", 74),
    _horn("recorder_alto", "Treble (alto) recorder", "flute", "treble", 0, 0, "F4 F6 F4 G6", 74),
)
# fmt: on

INSTRUMENTS: dict[str, Instrument] = {horn.id: horn for horn in _TABLE}
"""The 30 instruments by id."""


def find_instrument(text: str) -> Instrument:
    """The instrument of that id or name; case, spaces and hyphens do not matter.

    Raises TheoryError with the nearest ids where there is none.
    """
    word = text.strip().casefold().replace("-", "_").replace(" ", "_")
    if word in INSTRUMENTS:
        return INSTRUMENTS[word]
    for horn in _TABLE:
        if horn.name.casefold() == text.strip().casefold():
            return horn
    near = difflib.get_close_matches(word, list(INSTRUMENTS), n=3, cutoff=0.5)
    hint = f"; did you mean {' or '.join(near)}?" if near else ""
    raise TheoryError(f"there is no instrument {text!r}{hint}")
