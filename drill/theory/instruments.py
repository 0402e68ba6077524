"""The instruments: how each transposes, its clef, its written range, its usual first octave.

Ranges follow the usual handbooks; *standard* is what a good student reads,
*extended* what the key work or the high register adds.  A *first* note is the
lowest tonic of a first page (common practice, no source): a run of one octave
begins on the tonic at or above it.  Programs are General MIDI's, counted from 0;
where it has no sound of its own the nearest is taken.
"""

from __future__ import annotations

import difflib
from typing import Literal

from drill.terms import Instrument
from drill.theory import faults
from drill.theory.spelling import parse_interval, parse_note

Family = Literal["sax", "clarinet", "flute", "double reed", "brass"]
"""Horns of one family have one tone colour."""
FAMILIES: tuple[Family, ...] = ("sax", "clarinet", "flute", "double reed", "brass")
CLEFS = ("treble", "treble 8va", "bass", "tenor")
"""Every clef that an instrument may read."""
OWN = "own"
"""In the place of an instrument's id: the one that the player plays."""


def _horn(
    horn_id: str,
    name: str,
    *,
    family: Family,
    clef: str,
    sounds: str,
    written: str,
    first: str,
    program: int,
    extended: str = "",
) -> Instrument:
    """A row; ``sounds`` is the interval from written to sounding, ranges are low and high."""
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


# fmt: off
_TABLE = (
    _horn(
        "soprano_sax", "Soprano saxophone in Bb", family="sax", clef="treble", sounds="M2 down",
        written="Bb3 F6", extended="Bb3 F#6", first="Bb3", program=64,
    ),
    _horn(
        "alto_sax", "Alto saxophone in Eb", family="sax", clef="treble", sounds="M6 down",
        written="Bb3 F6", extended="Bb3 F#6", first="Bb3", program=65,
    ),
    _horn(
        "tenor_sax", "Tenor saxophone in Bb", family="sax", clef="treble", sounds="M9 down",
        written="Bb3 F6", extended="Bb3 F#6", first="Bb3", program=66,
    ),
    _horn(
        "baritone_sax", "Baritone saxophone in Eb", family="sax", clef="treble", sounds="M13 down",
        written="A3 F6", extended="A3 F#6", first="Bb3", program=67,
    ),
    _horn(
        "bass_sax", "Bass saxophone in Bb", family="sax", clef="treble", sounds="M16 down",
        written="Bb3 F6", extended="Bb3 F#6", first="Bb3", program=67,
    ),
    _horn(
        "clarinet_bb", "Clarinet in Bb", family="clarinet", clef="treble", sounds="M2 down",
        written="E3 G6", extended="E3 C7", first="E3", program=71,
    ),
    _horn(
        "clarinet_a", "Clarinet in A", family="clarinet", clef="treble", sounds="m3 down",
        written="E3 G6", extended="E3 C7", first="E3", program=71,
    ),
    _horn(
        "clarinet_eb", "Clarinet in Eb", family="clarinet", clef="treble", sounds="m3 up",
        written="E3 G6", extended="E3 C7", first="E3", program=71,
    ),
    _horn(
        "alto_clarinet", "Alto clarinet in Eb", family="clarinet", clef="treble", sounds="M6 down",
        written="Eb3 F6", extended="Eb3 G6", first="E3", program=71,
    ),
    _horn(
        "bass_clarinet", "Bass clarinet in Bb (treble clef)", family="clarinet", clef="treble", sounds="M9 down",
        written="Eb3 F6", extended="C3 G6", first="E3", program=71,
    ),
    _horn(
        "bass_clarinet_bc", "Bass clarinet in Bb (bass clef)", family="clarinet", clef="bass", sounds="M2 down",
        written="Eb2 F5", extended="C2 G5", first="E2", program=71,
    ),
    _horn(
        "contra_alto_clarinet", "Contra-alto clarinet in Eb", family="clarinet", clef="treble", sounds="M13 down",
        written="Eb3 C6", extended="Eb3 G6", first="E3", program=71,
    ),
    _horn(
        "contrabass_clarinet", "Contrabass clarinet in Bb", family="clarinet", clef="treble", sounds="M16 down",
        written="Eb3 C6", extended="C3 G6", first="E3", program=71,
    ),
    _horn(
        "flute", "Flute", family="flute", clef="treble", sounds="P1",
        written="C4 C7", extended="B3 D7", first="C4", program=73,
    ),
    _horn(
        "piccolo", "Piccolo", family="flute", clef="treble", sounds="P8 up",
        written="D4 A6", extended="D4 C7", first="D4", program=72,
    ),
    _horn(
        "alto_flute", "Alto flute in G", family="flute", clef="treble", sounds="P4 down",
        written="C4 C7", first="C4", program=73,
    ),
    _horn(
        "bass_flute", "Bass flute", family="flute", clef="treble", sounds="P8 down",
        written="C4 A6", extended="B3 C7", first="C4", program=73,
    ),
    _horn(
        "oboe", "Oboe", family="double reed", clef="treble", sounds="P1",
        written="Bb3 E6", extended="Bb3 A6", first="Bb3", program=68,
    ),
    _horn(
        "english_horn", "English horn (cor anglais) in F", family="double reed", clef="treble", sounds="P5 down",
        written="B3 E6", extended="B3 G6", first="B3", program=69,
    ),
    _horn(
        "bassoon", "Bassoon", family="double reed", clef="bass", sounds="P1",
        written="Bb1 Bb4", extended="Bb1 E5", first="F2", program=70,
    ),
    _horn(
        "bassoon_tenor_clef", "Bassoon, tenor clef", family="double reed", clef="tenor", sounds="P1",
        written="Bb1 Bb4", extended="Bb1 E5", first="C3", program=70,
    ),
    _horn(
        "contrabassoon", "Contrabassoon", family="double reed", clef="bass", sounds="P8 down",
        written="Bb1 F4", extended="Bb1 Bb4", first="F2", program=70,
    ),
    _horn(
        "trumpet_bb", "Trumpet in Bb", family="brass", clef="treble", sounds="M2 down",
        written="F#3 C6", extended="F#3 E6", first="F#3", program=56,
    ),
    _horn(
        "trumpet_c", "Trumpet in C", family="brass", clef="treble", sounds="P1",
        written="F#3 C6", extended="F#3 E6", first="F#3", program=56,
    ),
    _horn(
        "trumpet_eb", "Trumpet in Eb", family="brass", clef="treble", sounds="m3 up",
        written="F#3 C6", extended="F#3 E6", first="F#3", program=56,
    ),
    _horn(
        "piccolo_trumpet_bb", "Piccolo trumpet in Bb", family="brass", clef="treble", sounds="m7 up",
        written="F#3 A5", extended="F#3 C6", first="F#3", program=56,
    ),
    _horn(
        "piccolo_trumpet_a", "Piccolo trumpet in A", family="brass", clef="treble", sounds="M6 up",
        written="F#3 A5", extended="F#3 C6", first="F#3", program=56,
    ),
    _horn(
        "cornet_bb", "Cornet in Bb", family="brass", clef="treble", sounds="M2 down",
        written="F#3 C6", extended="F#3 E6", first="F#3", program=56,
    ),
    _horn(
        "cornet_eb", "Cornet (soprano) in Eb", family="brass", clef="treble", sounds="m3 up",
        written="F#3 C6", extended="F#3 E6", first="F#3", program=56,
    ),
    _horn(
        "flugelhorn", "Flugelhorn in Bb", family="brass", clef="treble", sounds="M2 down",
        written="F#3 Bb5", extended="F#3 C6", first="F#3", program=56,
    ),
    _horn(
        "horn_f", "Horn in F", family="brass", clef="treble", sounds="P5 down",
        written="F#2 C6", extended="C2 C6", first="C4", program=60,
    ),
    _horn(
        "mellophone_f", "Mellophone in F", family="brass", clef="treble", sounds="P5 down",
        written="F#3 A5", extended="F#3 C6", first="F#3", program=60,
    ),
    _horn(
        "tenor_horn_eb", "Tenor (alto) horn in Eb", family="brass", clef="treble", sounds="M6 down",
        written="F#3 A5", extended="F#3 C6", first="F#3", program=60,
    ),
    _horn(
        "trombone", "Trombone (tenor), bass clef", family="brass", clef="bass", sounds="P1",
        written="E2 Bb4", extended="E2 F5", first="E2", program=57,
    ),
    _horn(
        "trombone_tc", "Trombone, treble clef in Bb", family="brass", clef="treble", sounds="M9 down",
        written="F#3 C6", extended="F#3 E6", first="F#3", program=57,
    ),
    _horn(
        "trombone_tenor_clef", "Trombone (tenor), tenor clef", family="brass", clef="tenor", sounds="P1",
        written="E2 Bb4", extended="E2 F5", first="Bb2", program=57,
    ),
    _horn(
        "bass_trombone", "Bass trombone", family="brass", clef="bass", sounds="P1",
        written="Bb1 F4", extended="Bb1 Bb4", first="E2", program=57,
    ),
    _horn(
        "euphonium_bc", "Euphonium / baritone, bass clef", family="brass", clef="bass", sounds="P1",
        written="E2 Bb4", extended="Bb1 F5", first="E2", program=58,
    ),
    _horn(
        "euphonium_tc", "Euphonium / baritone, treble clef in Bb", family="brass", clef="treble", sounds="M9 down",
        written="F#3 C6", extended="F#3 E6", first="F#3", program=58,
    ),
    _horn(
        "tuba", "Tuba (C/BBb), bass clef", family="brass", clef="bass", sounds="P1",
        written="E1 F3", extended="D1 F4", first="E1", program=58,
    ),
    _horn(
        "sousaphone", "Sousaphone (BBb), bass clef", family="brass", clef="bass", sounds="P1",
        written="E1 F3", extended="E1 Bb3", first="E1", program=58,
    ),
    _horn(
        "eb_bass_tc", "E flat bass (tuba), treble clef in Eb", family="brass", clef="treble", sounds="M13 down",
        written="F#3 A5", extended="F#3 C6", first="F#3", program=58,
    ),
    _horn(
        "eb_bass_bc", "E flat bass (tuba), bass clef", family="brass", clef="bass", sounds="P1",
        written="A1 C4", extended="Bb0 Eb4", first="A1", program=58,
    ),
    _horn(
        "bb_bass_tc", "B flat bass (tuba), treble clef in Bb", family="brass", clef="treble", sounds="M16 down",
        written="F#3 A5", extended="F#3 C6", first="F#3", program=58,
    ),
    _horn(
        "recorder_descant", "Descant (soprano) recorder", family="flute", clef="treble 8va", sounds="P8 up",
        written="C4 C6", extended="C4 D6", first="C4", program=74,
    ),
    _horn(
        "recorder_alto", "Treble (alto) recorder", family="flute", clef="treble", sounds="P1",
        written="F4 F6", extended="F4 G6", first="F4", program=74,
    ),
)
# fmt: on

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

_PROGRAMS = {"sax": 65, "clarinet": 71, "flute": 73, "double reed": 68, "brass": 56}


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
