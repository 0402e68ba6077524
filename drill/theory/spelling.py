"""Spelling by letter: reading and printing names, and moving them by an interval.

Pure and fast; nothing here is music21.  An interval is a pair *(steps,
semitones)*, both signed: a major third up is (2, 4), a major sixth down (-5, -9).
"""

from __future__ import annotations

import re
from functools import cache

from drill.errors import TheoryError
from drill.terms import LETTERS, NATURAL_SEMITONES, Name, Note
from drill.theory import faults

MAJOR_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
"""Semitones of the degrees 1 to 7 of the major scale above its tonic."""

NEIGHBOURS = {"l": (-1, -1), "ll": (-1, -2), "u": (1, 1), "uu": (1, 2)}
"""Chromatic neighbours as players write them in a cell, as (letters, semitones): the adjacent
letter, a half or whole step away."""

_ALTERS = {"": 0, "#": 1, "##": 2, "x": 2, "b": -1, "bb": -2, "n": 0}
_NAME = re.compile(r"([A-Ga-g])(##|#|x|bb|b|n|)")
_NOTE = re.compile(r"([A-Ga-g])(##|#|x|bb|b|n|)(-?\d)")
_GLYPHS = str.maketrans({"♯": "#", "♭": "b", "♮": "n"})


def parse_name(text: str) -> Name:
    """The name that an ASCII or glyph spelling such as ``Bb``, ``F##``, ``E♭`` stands for.

    English letters only.  Raises TheoryError for anything else.
    """
    match = _NAME.fullmatch(text.strip().translate(_GLYPHS))
    if not match:
        raise faults.unread("a note name", text)
    return Name(match[1].upper(), _ALTERS[match[2]])


def parse_note(text: str) -> Note:
    """The note that a spelling with an octave such as ``Bb3`` stands for (C4 is middle C).

    Raises TheoryError for anything else.
    """
    match = _NOTE.fullmatch(text.strip().translate(_GLYPHS))
    if not match:
        raise faults.unread("a note", text)
    return Note(match[1].upper(), _ALTERS[match[2]], int(match[3]))


def moved(name: Name, steps: int, semitones: int) -> Name:
    """The name an interval away; the letter follows the steps, the alteration the semitones."""
    here = LETTERS.index(name.letter)
    octaves, there = divmod(here + steps, 7)
    plain = NATURAL_SEMITONES[there] + 12 * octaves - NATURAL_SEMITONES[here]
    return Name(LETTERS[there], name.alter + semitones - plain)


def moved_note(note: Note, steps: int, semitones: int) -> Note:
    """The note an interval away, its octave counted by letter."""
    name = moved(note.name, steps, semitones)
    return Note(name.letter, name.alter, (note.staff_step + steps) // 7)


_INTERVAL = re.compile(r"([PMmAd])([1-9]\d?)(?: (up|down))?")
_PERFECT = (0, 3, 4)
"""Steps above the octave of the intervals that are perfect: unison, fourth and fifth."""


def parse_interval(text: str) -> tuple[int, int]:
    """The interval (steps, semitones) of a name such as ``M6 down``; ``P1`` needs no way.

    P, M, m, A and d are perfect, major, minor, augmented and diminished (common practice).
    Raises TheoryError for anything else.
    """
    match = _INTERVAL.fullmatch(" ".join(text.split()))
    if match and (match[3] or match[2] == "1"):
        octaves, step = divmod(int(match[2]) - 1, 7)
        perfect = step in _PERFECT
        bends = {"P": 0, "A": 1, "d": -1} if perfect else {"M": 0, "m": -1, "A": 1, "d": -2}
        if match[1] in bends:
            sign = -1 if match[3] == "down" else 1
            semitones = MAJOR_SEMITONES[step] + 12 * octaves + bends[match[1]]
            return sign * (int(match[2]) - 1), sign * semitones
    raise faults.unread("an interval", text)


def interval_name(steps: int, semitones: int) -> str:
    """The name that ``parse_interval`` reads as this interval: ``M6 down``.

    Raises TheoryError for one that is bent further than augmented or diminished.
    """
    if steps == semitones == 0:
        return "P1"
    down = steps < 0 or (steps == 0 and semitones < 0)
    way = "down" if down else "up"
    for quality in "PMmAd":
        text = f"{quality}{abs(steps) + 1} {way}"
        try:
            if parse_interval(text) == (steps, semitones):
                return text
        except TheoryError:
            continue
    raise faults.unnamed_interval(steps, semitones)


@cache
def degree_interval(token: str) -> tuple[int, int]:
    """The interval (steps, semitones) of a formula token: ``b3`` is (2, 3), ``#9`` (8, 15).

    Raises TheoryError where the token is no degree with accidentals before it.
    """
    match = re.fullmatch(r"(bb|b|##|#|)(\d+)", token)
    if not match or int(match[2]) < 1:
        raise faults.unread("a degree", token)
    octaves, degree = divmod(int(match[2]) - 1, 7)
    return (
        degree + 7 * octaves,
        MAJOR_SEMITONES[degree] + 12 * octaves + _ALTERS[match[1]],
    )


def degree_name(tonic: Name, token: str) -> Name:
    """The name on a degree token such as ``b3`` or ``#9`` above a tonic or root."""
    return moved(tonic, *degree_interval(token))
