"""The instruments: how each transposes, its clef, its written range, its usual first octave.

Ranges follow the usual handbooks; *standard* is what a good student reads,
*extended* what the key work or the high register adds.  A *first* note is the
lowest tonic of a first page (common practice, no source): a run of one octave
begins on the tonic at or above it.  Programs are General MIDI's, counted from 0;
where it has no sound of its own the nearest is taken.
"""

from __future__ import annotations

import difflib

from drill.terms import Instrument
from drill.theory import faults
from drill.theory.spelling import parse_interval, parse_note

_PROGRAMS = {"sax": 65, "clarinet": 71, "flute": 73, "double reed": 68, "brass": 56}
FAMILIES = tuple(_PROGRAMS)
"""Horns of one family have one tone colour."""
CLEFS = ("treble", "treble 8va", "bass", "tenor")
"""Every clef that an instrument may read."""
OWN = "own"
"""In the place of an instrument's id: the one that the player plays."""


# fmt: off
_ROWS = (
    # id, name, family, clef, written to sounding, range, extended, first note, program
    ("soprano_sax", "Soprano saxophone in Bb", "sax", "treble", "M2 down", "Bb3 F6", "Bb3 F#6", "Bb3", 64),
    ("alto_sax", "Alto saxophone in Eb", "sax", "treble", "M6 down", "Bb3 F6", "Bb3 F#6", "Bb3", 65),
    ("tenor_sax", "Tenor saxophone in Bb", "sax", "treble", "M9 down", "Bb3 F6", "Bb3 F#6", "Bb3", 66),
    ("baritone_sax", "Baritone saxophone in Eb", "sax", "treble", "M13 down", "A3 F6", "A3 F#6", "Bb3", 67),
    ("bass_sax", "Bass saxophone in Bb", "sax", "treble", "M16 down", "Bb3 F6", "Bb3 F#6", "Bb3", 67),
    ("clarinet_bb", "Clarinet in Bb", "clarinet", "treble", "M2 down", "E3 G6", "E3 C7", "E3", 71),
    ("clarinet_a", "Clarinet in A", "clarinet", "treble", "m3 down", "E3 G6", "E3 C7", "E3", 71),
    ("clarinet_eb", "Clarinet in Eb", "clarinet", "treble", "m3 up", "E3 G6", "E3 C7", "E3", 71),
    ("alto_clarinet", "Alto clarinet in Eb", "clarinet", "treble", "M6 down", "Eb3 F6", "Eb3 G6", "E3", 71),
    ("bass_clarinet", "Bass clarinet in Bb (treble clef)", "clarinet", "treble", "M9 down", "Eb3 F6", "C3 G6", "E3", 71),
    ("bass_clarinet_bc", "Bass clarinet in Bb (bass clef)", "clarinet", "bass", "M2 down", "Eb2 F5", "C2 G5", "E2", 71),
    ("contra_alto_clarinet", "Contra-alto clarinet in Eb", "clarinet", "treble", "M13 down", "Eb3 C6", "Eb3 G6", "E3", 71),
    ("contrabass_clarinet", "Contrabass clarinet in Bb", "clarinet", "treble", "M16 down", "Eb3 C6", "C3 G6", "E3", 71),
    ("flute", "Flute", "flute", "treble", "P1", "C4 C7", "B3 D7", "C4", 73),
    ("piccolo", "Piccolo", "flute", "treble", "P8 up", "D4 A6", "D4 C7", "D4", 72),
    ("alto_flute", "Alto flute in G", "flute", "treble", "P4 down", "C4 C7", "", "C4", 73),
    ("bass_flute", "Bass flute", "flute", "treble", "P8 down", "C4 A6", "B3 C7", "C4", 73),
    ("oboe", "Oboe", "double reed", "treble", "P1", "Bb3 E6", "Bb3 A6", "Bb3", 68),
    ("english_horn", "English horn (cor anglais) in F", "double reed", "treble", "P5 down", "B3 E6", "B3 G6", "B3", 69),
    ("bassoon", "Bassoon", "double reed", "bass", "P1", "Bb1 Bb4", "Bb1 E5", "F2", 70),
    ("bassoon_tenor_clef", "Bassoon, tenor clef", "double reed", "tenor", "P1", "Bb1 Bb4", "Bb1 E5", "C3", 70),
    ("contrabassoon", "Contrabassoon", "double reed", "bass", "P8 down", "Bb1 F4", "Bb1 Bb4", "F2", 70),
    ("trumpet_bb", "Trumpet in Bb", "brass", "treble", "M2 down", "F#3 C6", "F#3 E6", "F#3", 56),
    ("trumpet_c", "Trumpet in C", "brass", "treble", "P1", "F#3 C6", "F#3 E6", "F#3", 56),
    ("trumpet_eb", "Trumpet in Eb", "brass", "treble", "m3 up", "F#3 C6", "F#3 E6", "F#3", 56),
    ("piccolo_trumpet_bb", "Piccolo trumpet in Bb", "brass", "treble", "m7 up", "F#3 A5", "F#3 C6", "F#3", 56),
    ("piccolo_trumpet_a", "Piccolo trumpet in A", "brass", "treble", "M6 up", "F#3 A5", "F#3 C6", "F#3", 56),
    ("cornet_bb", "Cornet in Bb", "brass", "treble", "M2 down", "F#3 C6", "F#3 E6", "F#3", 56),
    ("cornet_eb", "Cornet (soprano) in Eb", "brass", "treble", "m3 up", "F#3 C6", "F#3 E6", "F#3", 56),
    ("flugelhorn", "Flugelhorn in Bb", "brass", "treble", "M2 down", "F#3 Bb5", "F#3 C6", "F#3", 56),
    ("horn_f", "Horn in F", "brass", "treble", "P5 down", "F#2 C6", "C2 C6", "C4", 60),
    ("mellophone_f", "Mellophone in F", "brass", "treble", "P5 down", "F#3 A5", "F#3 C6", "F#3", 60),
    ("tenor_horn_eb", "Tenor (alto) horn in Eb", "brass", "treble", "M6 down", "F#3 A5", "F#3 C6", "F#3", 60),
    ("trombone", "Trombone (tenor), bass clef", "brass", "bass", "P1", "E2 Bb4", "E2 F5", "E2", 57),
    ("trombone_tc", "Trombone, treble clef in Bb", "brass", "treble", "M9 down", "F#3 C6", "F#3 E6", "F#3", 57),
    ("trombone_tenor_clef", "Trombone (tenor), tenor clef", "brass", "tenor", "P1", "E2 Bb4", "E2 F5", "Bb2", 57),
    ("bass_trombone", "Bass trombone", "brass", "bass", "P1", "Bb1 F4", "Bb1 Bb4", "E2", 57),
    ("euphonium_bc", "Euphonium / baritone, bass clef", "brass", "bass", "P1", "E2 Bb4", "Bb1 F5", "E2", 58),
    ("euphonium_tc", "Euphonium / baritone, treble clef in Bb", "brass", "treble", "M9 down", "F#3 C6", "F#3 E6", "F#3", 58),
    ("tuba", "Tuba (C/BBb), bass clef", "brass", "bass", "P1", "E1 F3", "D1 F4", "E1", 58),
    ("sousaphone", "Sousaphone (BBb), bass clef", "brass", "bass", "P1", "E1 F3", "E1 Bb3", "E1", 58),
    ("eb_bass_tc", "E flat bass (tuba), treble clef in Eb", "brass", "treble", "M13 down", "F#3 A5", "F#3 C6", "F#3", 58),
    ("eb_bass_bc", "E flat bass (tuba), bass clef", "brass", "bass", "P1", "A1 C4", "Bb0 Eb4", "A1", 58),
    ("bb_bass_tc", "B flat bass (tuba), treble clef in Bb", "brass", "treble", "M16 down", "F#3 A5", "F#3 C6", "F#3", 58),
    ("recorder_descant", "Descant (soprano) recorder", "flute", "treble 8va", "P8 up", "C4 C6", "C4 D6", "C4", 74),
    ("recorder_alto", "Treble (alto) recorder", "flute", "treble", "P1", "F4 F6", "F4 G6", "F4", 74),
)
# fmt: on


def _horn(  # noqa: PLR0917 - a row of the table
    horn_id: str,
    name: str,
    family: str,
    clef: str,
    sounds: str,
    written: str,
    extended: str,
    first: str,
    program: int,
) -> Instrument:
    """A row: ``sounds`` is the interval from written to sounding, ranges are low and high, and an
    extended one that is empty is the standard one."""
    low, high = map(parse_note, written.split())
    low_extended, high_extended = map(parse_note, (extended or written).split())
    return Instrument(
        horn_id,
        name,
        family,
        clef,
        *parse_interval(sounds),
        low=low,
        high=high,
        low_extended=low_extended,
        high_extended=high_extended,
        first=parse_note(first),
        program=program,
    )


_TABLE = tuple(_horn(*row) for row in _ROWS)
INSTRUMENTS: dict[str, Instrument] = {horn.id: horn for horn in _TABLE}
"""Every instrument by id."""

NO_HORN = Instrument(
    OWN,
    "the player's own horn",
    "flute",
    "treble",
    0,
    0,
    low=parse_note("C3"),
    high=parse_note("C7"),
    low_extended=parse_note("C3"),
    high_extended=parse_note("C7"),
    first=parse_note("C4"),
    program=73,
)
"""Stands for a horn that nobody has named yet: at concert pitch, in the treble clef."""


def program_of(family: str) -> int:
    """The General MIDI program, from 0, for a horn of the family that the table lacks."""
    return _PROGRAMS[family]


_USUAL = {
    "sax": "alto_sax", "saxophone": "alto_sax", "alto": "alto_sax", "tenor": "tenor_sax",
    "soprano": "soprano_sax", "baritone": "baritone_sax", "bari": "baritone_sax",
    "bari_sax": "baritone_sax", "alto_saxophone": "alto_sax", "tenor_saxophone": "tenor_sax",
    "soprano_saxophone": "soprano_sax", "baritone_saxophone": "baritone_sax",
    "clarinet": "clarinet_bb", "trumpet": "trumpet_bb", "cornet": "cornet_bb",
    "horn": "horn_f", "french_horn": "horn_f", "mellophone": "mellophone_f",
    "tenor_horn": "tenor_horn_eb", "alto_horn": "tenor_horn_eb", "euphonium": "euphonium_bc",
    "baritone_horn": "euphonium_bc", "cor_anglais": "english_horn", "recorder": "recorder_descant",
    "piccolo_trumpet": "piccolo_trumpet_bb", "soprano_cornet": "cornet_eb",
    "eb_clarinet": "clarinet_eb", "contra_alto": "contra_alto_clarinet", "bass": "tuba",
    "double_bassoon": "contrabassoon", "eb_bass": "eb_bass_tc", "bb_bass": "bb_bass_tc",
}  # fmt: skip
"""What a player says, and the instrument that is usually meant (common practice)."""
_ABOUT = 0.04
"""Difference of similarity (0 to 1) below which two names are about as near."""


def find_instrument(text: str) -> Instrument:
    """The instrument of that id or name, or the usual one of what players say: trumpet is the
    one in B flat.  Case, spaces and hyphens do not matter.

    Raises TheoryError with the nearest ids where there is none.
    """
    word = text.strip().casefold().replace("-", "_").replace(" ", "_")
    if word in INSTRUMENTS or word in _USUAL:
        return INSTRUMENTS[_USUAL.get(word, word)]
    for horn in _TABLE:
        if horn.name.casefold() == text.strip().casefold():
            return horn
    raise faults.unknown("instrument", text, near_instruments(word))


def near_instruments(text: str, most: int = 3) -> tuple[str, ...]:
    """The ids that a mistyped instrument may have meant, the usual one first."""
    word = text.strip().casefold().replace("-", "_").replace(" ", "_")
    names = [*_USUAL, *INSTRUMENTS]
    near = difflib.get_close_matches(word, names, n=2 * most, cutoff=0.5)
    alike = [difflib.SequenceMatcher(None, each, word).ratio() for each in near]
    # Others only where they are about as near as the first.
    near = [each for each, ratio in zip(near, alike, strict=True) if ratio > alike[0] - _ABOUT]
    return tuple(dict.fromkeys(_USUAL.get(each, each) for each in near))[:most]
