"""The ``[horn]`` table of a deck or of the settings: a horn that the program's table lacks.

``name``, ``clef``, ``sounds`` (the interval from written to sounding), ``low`` and ``high``
(written), ``first`` (where a first octave begins) and ``family`` (the tone colour).
"""

from __future__ import annotations

import re

from drill.decks.fields import FileTable, nearest
from drill.shown import quoted
from drill.terms import Instrument, Note
from drill.theory.instruments import CLEFS, FAMILIES, INSTRUMENTS, OWN, program_of
from drill.theory.spelling import moved_note, parse_interval, parse_note

KEYS = ("name", "clef", "sounds", "low", "high", "first", "family")
EXAMPLE = '[horn] with clef = "bass", sounds = "M2 down", low = "E2", high = "Bb4"'
_MEANT = {
    "interval": "sounds",
    "transposition": "sounds",
    "transposes": "sounds",
    "range": "low and high",
    "octave": "first",
    "colour": "family",
    "kind": "family",
}
_LOWEST, _HIGHEST = 12, 120
"""MIDI numbers of the lowest and highest sounding note of a horn: C0 and C9."""


def read_horn(table: FileTable) -> Instrument | None:
    """The horn that the table describes; None where something of it is wrong, and noted."""
    table.refuse_others(KEYS, _MEANT)
    for key in ("clef", "low", "high"):
        if key not in table:
            table.report.at_key(table.path, f"horn: {key} is missing", EXAMPLE)
    clef = _word(table, "clef", CLEFS)
    family = _word(table, "family", FAMILIES) if "family" in table else "brass"
    shift = _interval(table)
    low, high = (note_in(table, key) for key in ("low", "high"))
    first = note_in(table, "first") if "first" in table else low
    name = table.text("name", longest=60) or "my own horn"
    if not (clef and family and shift and low and high and first):
        return None
    if not _fits(table, low, high, first, shift):
        return None
    return Instrument(
        _id_of(name),
        name,
        family,
        clef,
        *shift,
        low=low,
        high=high,
        low_extended=low,
        high_extended=high,
        first=first,
        program=program_of(family),
    )


def _id_of(name: str) -> str:
    """An id made of the name that no horn of the table has: ``old_bass_horn``."""
    word = re.sub(r"[^a-z0-9]+", "_", name.casefold()).strip("_") or "horn"
    return f"{word}_own" if word in INSTRUMENTS or word == OWN else word


def _word(table: FileTable, key: str, words: tuple[str, ...]) -> str | None:
    text = table.text(key)
    if text is None or text in words:
        return text
    hint = nearest(text, words) or f"known are {', '.join(words)}"
    table.wrong(key, f"{key}: there is no {key} {quoted(text)}", hint)
    return None


def _interval(table: FileTable) -> tuple[int, int] | None:
    """Letters and semitones from written to sounding; as written where nothing is said."""
    if "sounds" not in table:
        return 0, 0
    hint = 'such as "M6 down", "P8 up", or "P1" for as written'
    return table.parsed("sounds", parse_interval, "an interval", hint)


def note_in(table: FileTable, key: str) -> Note | None:
    """The note that stands there; None where there is none, or none that can be read."""
    hint = 'a name and an octave, such as "Bb3"; C4 is middle C'
    return table.parsed(key, parse_note, "a note", hint)


def _fits(table: FileTable, low: Note, high: Note, first: Note, shift: tuple[int, int]) -> bool:
    """Whether a run has room; what is wrong is noted."""
    if high.midi - low.midi < 12:
        message = f"horn: {low} to {high} is less than an octave"
        table.report.at_value(table.path, message, "a run needs an octave")
        return False
    if not low.midi <= first.midi <= high.midi:
        table.wrong("first", f"first: {first} is not between {low} and {high}")
        return False
    sounding = [moved_note(note, *shift).midi for note in (low, high)]
    if sounding[0] < _LOWEST or sounding[1] > _HIGHEST:
        message = f"horn: sounding {sounding[0]} to {sounding[1]} as MIDI numbers is out of hearing"
        table.report.at_value(table.path, message, f"expected {_LOWEST} to {_HIGHEST}")
        return False
    return True
