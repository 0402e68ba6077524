"""Written and concert keys, and the respelling policy between them.

A written key that the player chose is never respelled.  A key *derived* through
a transposing horn is: 8 or more accidentals must change, 7 becomes 5, 6 keeps
its side (common practice).  A horn at pitch, or an octave from it, keeps all.
"""

from __future__ import annotations

from drill.terms import Instrument, Key, Name
from drill.theory.scales import SCALES, fifths_of, name_of_fifths
from drill.theory.spelling import moved

ORDERS: dict[str, tuple[str, ...]] = {
    "fourths": ("C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "B", "E", "A", "D", "G"),
    "fifths": ("C", "G", "D", "A", "E", "B", "Gb", "Db", "Ab", "Eb", "Bb", "F"),
    "signatures": (
        "Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#",
    ),
    "outward": (
        "C", "G", "F", "D", "Bb", "A", "Eb", "E", "Ab", "B", "Db", "F#", "Gb", "C#", "Cb",
    ),
    "fourths-F#": ("C", "F", "Bb", "Eb", "Ab", "Db", "F#", "B", "E", "A", "D", "G"),
    "fifths-F#": ("C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F"),
    "half-steps": ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"),
    "whole-tones": ("C", "D", "E", "F#", "Ab", "Bb", "Db", "Eb", "F", "G", "A", "B"),
    "minor-thirds": ("C", "Eb", "F#", "A", "Db", "E", "G", "Bb", "D", "F", "Ab", "B"),
    "major-thirds": ("C", "E", "Ab", "Db", "F", "A", "D", "F#", "Bb", "Eb", "G", "B"),
}  # fmt: skip
"""Orders through the major keys that teachers assign; other scales follow by signature."""


def respelled(key: Key) -> Key:
    """A derived key as players write it: 7 accidentals or more go to the other side."""
    shift = SCALES[key.scale].shift
    fifths = fifths_of(key.tonic) + shift
    while abs(fifths) >= 7:
        fifths -= 12 if fifths > 0 else -12
    return Key(name_of_fifths(fifths - shift), key.scale)


def written_key(concert: Key, horn: Instrument | None) -> Key:
    """The written key in which a horn plays a concert key: concert Bb is G on alto.

    None is an instrument at concert pitch.
    """
    if horn is None:
        return concert
    strict = Key(moved(concert.tonic, -horn.steps, -horn.semitones), concert.scale)
    return strict if horn.semitones % 12 == 0 else respelled(strict)


def concert_key(written: Key, horn: Instrument | None) -> Key:
    """The key that sounds when a horn reads a written key: G on alto is concert Bb.

    It is a derived key, and written as players say it: D flat on tenor is concert B.
    """
    if horn is None:
        return written
    strict = Key(moved(written.tonic, horn.steps, horn.semitones), written.scale)
    return strict if horn.semitones % 12 == 0 else respelled(strict)


def sounding_shift(written: Key, concert: Key, horn: Instrument | None) -> tuple[int, int]:
    """The interval (steps, semitones) that spells written notes in the concert key given.

    It differs from the horn's own by a letter where the concert key was respelled.
    """
    if horn is None:
        return (0, 0)
    strict = moved(written.tonic, horn.steps, horn.semitones)
    letters = "CDEFGAB"
    step = (letters.index(concert.tonic.letter) - letters.index(strict.letter) + 3) % 7 - 3
    return (horn.steps + step, horn.semitones)


def in_order(tonics: tuple[Name, ...], order: str, scale: str) -> tuple[Name, ...]:
    """The tonics sorted by one of ``ORDERS``; those it does not name come last, as they stood.

    Orders name major tonics; another scale's tonic stands where its signature's does.
    """
    shift = SCALES[scale].shift
    places = {tonic: place for place, tonic in enumerate(ORDERS[order])}
    return tuple(
        sorted(
            tonics,
            key=lambda tonic: places.get(str(name_of_fifths(fifths_of(tonic) + shift)), 99),
        )
    )
