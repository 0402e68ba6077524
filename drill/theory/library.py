"""The one door to music21: chord functions in figures, and lines of music in files.

It is imported here alone, and only when a function or a file asks for it: the import
takes about a quarter of a second.  Every value leaves this room as one of ours.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from drill.shown import counted
from drill.terms import Name, Note
from drill.theory import faults


def figured(figure: str, *, minor: bool) -> tuple[Name, tuple[Name, ...]]:
    """Root and notes, from the bass up, of a Roman numeral in C major or C minor.

    For figures of inversion (``V65``, ``ii42``) and the chords that have names of their own
    (``N6``, ``Ger65``, ``Cad64``).  Raises TheoryError where music21 cannot read it.
    """
    from music21 import exceptions21, roman

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            numeral: Any = roman.RomanNumeral(figure, "c" if minor else "C")
            pitches, root = numeral.pitches, numeral.root()
    except (exceptions21.Music21Exception, ValueError, KeyError, AttributeError) as error:
        raise faults.function_unread(figure) from error
    names = tuple(_name(pitch) for pitch in pitches)
    if len(set(names)) < 3:
        raise faults.function_unread(figure)
    return _name(root), names


def _name(pitch: Any) -> Name:
    return Name(str(pitch.step), int(pitch.alter))


@dataclass(frozen=True, slots=True)
class MusicLine:
    """A line of music out of a file, as it is written there."""

    notes: tuple[Note, ...]
    """In order; a tied note once."""
    fifths: int
    """Sharps (flats when negative) of its signature."""
    minor: bool
    """Whether the file says that its key is minor; most say nothing."""
    spelled: bool
    """False where the file has sounds alone, as MIDI has."""


LARGEST = 2_000_000
"""Bytes of a file of music: a study of some pages has a tenth."""

READ = (".musicxml", ".xml", ".mxl", ".mid", ".midi")
"""How the names of files end that can be read."""


def read_line(path: Path, first: int, last: int, part: int = 1) -> MusicLine:
    """The notes of some bars of one part, both bars included, as music21 reads the file.

    Raises TheoryError with one message for what is missing, too large, damaged or no line.
    """
    if path.suffix.casefold() not in READ:
        raise faults.not_music(path.name, READ)
    try:
        size = path.stat().st_size
    except OSError as error:
        raise faults.no_file(path.name) from error
    if size > LARGEST:
        raise faults.file_large(path.name, LARGEST)
    staves = _staves(path)
    if not 1 <= part <= len(staves):
        raise faults.no_such("part", part, path.name, counted(len(staves), "part"))
    spelled = path.suffix.casefold() not in (".mid", ".midi")
    return _line(staves[part - 1], path.name, first, last, spelled=spelled)


def _staves(path: Path) -> list[Any]:
    from music21 import converter, stream

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            score: Any
            if path.suffix.casefold() in (".mid", ".midi"):
                # Handed its bytes, for its reader leaves a damaged file open.
                score = converter.parseData(path.read_bytes(), format="midi")
            else:
                score = converter.parse(str(path), forceSource=True)
    except Exception as error:  # its readers have no error of their own: whatever is in the file
        raise faults.file_damaged(path.name) from error
    return list(score.parts) if isinstance(score, stream.Score) else [score]


def _line(staff: Any, name: str, first: int, last: int, *, spelled: bool) -> MusicLine:
    from music21 import key, note

    bars = {int(bar.number): bar for bar in staff.getElementsByClass("Measure")}
    wanted = [bar for number, bar in bars.items() if first <= number <= last]
    if not wanted:
        has = faults.bars_told(min(bars), max(bars)) if bars else faults.NO_BARS
        raise faults.no_such("bar", first, name, has)
    notes: list[Note] = []
    for bar in wanted:
        sounding = [each for each in bar.recurse().notes if not each.duration.isGrace]
        offsets = [each.getOffsetInHierarchy(bar) for each in sounding]
        if any(not isinstance(each, note.Note) for each in sounding) or len(set(offsets)) < len(
            offsets
        ):
            raise faults.chords_in_bar(bar.number, name)
        for each in sounding:
            if each.tie is None or each.tie.type == "start" or not notes:
                pitch = each.pitch
                if pitch.alter % 1:
                    raise faults.quarter_tone(bar.number, name)
                notes.append(Note(str(pitch.step), int(pitch.alter), int(pitch.octave)))
    if not notes:
        raise faults.no_notes(first, last, name)
    found = [
        sign
        for bar in bars.values()
        if bar.number <= wanted[0].number
        for sign in bar.recurse().getElementsByClass(key.KeySignature)
    ]
    signature = found[-1] if found else None
    fifths = int(signature.sharps) if signature else 0
    minor = getattr(signature, "mode", None) == "minor"
    return MusicLine(tuple(notes), fifths, minor, spelled)
