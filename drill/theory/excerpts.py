"""A line out of a study as a pattern: its notes as degrees of its key, to be asked in all keys.

In root mode the line is kept to the half step (``5-#4-5-b7``) and stands once in each key; in
key mode its digits are steps of the key and it can begin on every degree, if it has no note
from outside the key.
"""

from __future__ import annotations

from pathlib import Path

from drill.terms import Digit, Key, Mode, Name, Note, Pattern, shape_text
from drill.theory import faults
from drill.theory.cells import MOST_NOTES
from drill.theory.library import MusicLine, read_line
from drill.theory.patterns import free_pattern
from drill.theory.scales import name_of_fifths, scale_of
from drill.theory.spelling import MAJOR_SEMITONES
from drill.theory.symbols import degree_between

_SIGNS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}


def excerpt(
    path: Path,
    bars: tuple[int, int],
    *,
    part: int = 1,
    tonic: Name | None = None,
    mode: Mode = Mode.ROOT,
    name: str = "",
) -> Pattern:
    """The pattern of some bars of a MusicXML or MIDI file, the first and the last included.

    ``tonic`` names the line's key; None takes its signature's: the major one, or the minor one
    where the file says so.  Raises TheoryError where the bars are no short line.
    """
    line = read_line(path, *bars, part)
    if not 2 <= len(line.notes) <= MOST_NOTES:
        raise faults.line_long(_where(path, bars), len(line.notes), MOST_NOTES)
    home = tonic or name_of_fifths(line.fifths + (3 if line.minor else 0))
    items = tuple(_item(note, line, home) for note in line.notes)
    base = items[0].degree + 7 * items[0].octave
    lowered = (base - 1) // 7
    shape = tuple(Digit(i.degree, i.octave - lowered, i.modifier) for i in items)
    if mode is Mode.KEY:
        shape = _in_key(shape, home, line, path, bars)
    if any(abs(item.degree - 1 + 7 * item.octave) > 14 for item in shape):
        raise faults.line_wide(_where(path, bars))
    return free_pattern((shape_text(shape),), name=name or _where(path, bars), mode=mode)


def _where(path: Path, bars: tuple[int, int]) -> str:
    first, last = bars
    return f"{path.stem}, bar{'' if first == last else 's'} " + (
        f"{first}" if first == last else f"{first}-{last}"
    )


def _item(note: Note, line: MusicLine, home: Name) -> Digit:
    """A note as a degree of the major scale on the tonic, octaves counted from C0."""
    if line.spelled:
        token = degree_between(home, note.name)
        sign, degree = token[:-1], int(token[-1])
    else:
        away = (note.midi - Note(home.letter, home.alter, 0).midi) % 12
        degree, sign = _by_sound(away, minor=line.minor)
    if sign not in _SIGNS.values():
        raise faults.not_in_home(str(note.name), home)
    alter = next(alter for alter, text in _SIGNS.items() if text == sign)
    low = Note(home.letter, home.alter, 0).midi + MAJOR_SEMITONES[degree - 1] + alter
    return Digit(degree, (note.midi - low) // 12, sign)


def _by_sound(semitones: int, *, minor: bool) -> tuple[int, str]:
    """The usual degree of a sound: of the key's own scale, else raised, but for b7, b3 and b6."""
    sixth = (6, "b") if minor else (5, "#")
    usual = {1: (2, "b"), 3: (3, "b"), 6: (4, "#"), 8: sixth, 10: (7, "b")}
    if semitones in MAJOR_SEMITONES:
        return MAJOR_SEMITONES.index(semitones) + 1, ""
    return usual[semitones]


def _in_key(
    shape: tuple[Digit, ...], home: Name, line: MusicLine, path: Path, bars: tuple[int, int]
) -> tuple[Digit, ...]:
    """The same as steps of the key, where every note is one of its scale."""
    scale = scale_of(Key(home, "natural_minor" if line.minor else "major"))
    own = {degree_between(home, name) for name in scale.up}
    for item in shape:
        if item.degree_text not in own:
            raise faults.outside_key(_where(path, bars))
    return tuple(Digit(item.degree, item.octave) for item in shape)
