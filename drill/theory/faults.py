"""What is wrong with a name, a cell, a chord or a run, in a player's words.

Theory stands below the room of words and cannot ask it; so its faults are made here, of values,
and nowhere else in the room.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from drill.errors import TheoryError, UsageError
from drill.shown import counted

_EXPECTED = {
    "a note name": "write a letter A to G, then # or b",
    "a note": "write a name and an octave, such as Bb3",
    "an interval": "write M6 down, P8 up, P1 or the like",
    "a degree": "write a digit with b or # before it",
    "a scale": "its degrees begin on 1 and rise, within the octave, such as 1 2 b3 #4 5 b6 7",
    "a chord symbol": "write a root and a kind, such as Bbm7",
    "a chord function": "write a numeral such as V7 or ii7",
}
"""What can be read, and how each is written."""


class CellError(TheoryError):
    """A typed cell that cannot be read; ``reason`` is the kind of fault in a word or two."""

    def __init__(self, reason: str, text: str) -> None:
        super().__init__(f"{reason}: {text}")
        self.reason = reason
        self.text = text


def _told(text: str) -> Callable[..., TheoryError]:
    """What makes the fault of a text out of the values that stand in it, in this order."""
    return lambda *values: TheoryError(text.format(*values))


def _of_a_cell(reason: str, text: str) -> Callable[..., CellError]:
    """The same of a typed cell."""
    return lambda *values: CellError(reason, text.format(*values))


def unread(what: str, text: str) -> TheoryError:
    """A text that is not what was wanted, with how that is written."""
    return TheoryError(f"{text!r} is not {what}: {_EXPECTED[what]}")


def unknown(what: str, text: str, near: Iterable[str] = ()) -> TheoryError:
    """An id or name that does not exist, with those that are near."""
    hint = " or ".join(near)
    return TheoryError(f"there is no {what} {text!r}" + (f"; did you mean {hint}?" if hint else ""))


out_of = _told("{} {} to {} {}, not {}")
"""A number outside of what can be: ``a scale has 2 to 12 notes, not 1``."""


# Scales and spelling.

triple = _told("{} {} needs a triple accidental: choose another tonic")
"""A scale that no double accidental can write."""
unnamed_interval = _told("an interval of {} letters and {} semitones has no name")
"""An interval that musicians have no name for."""
unspelled = _told("{} on {} cannot be spelled")
"""A degree of a root that would need three accidentals."""
NO_KEY = "movable do needs a key: name its tonic"

# Cells and patterns.

LATE_SEPARATOR = "no hyphen or comma before the first note or after the last"
BELOW = "for a note below 1 write a dot after it, e.g. 7."
NO_ZERO = "there is no 0; the note below 1 is 7."
ONE_NOTE = "one note is a scale, not a cell"
TEN = "10 inside a run of digits; put hyphens between notes"
DOTS = "a dot means an octave lower; put hyphens between notes"
NO_CELL = "type a cell, e.g. 1-2-3-1"
SIGNATURE_DECIDES = (
    "the key signature decides accidentals here; use l or u for half-step neighbours, or root mode"
)
KEY_MODE = "key mode"
"""The reason of a cell with accidentals where the key has them."""
ROOTS_ALONE = "roots move in root mode only: say mode root"


too_long = _of_a_cell("too long", "{} {}; a cell has at most {} notes")
"""A cell with too many characters or notes."""
stray = _of_a_cell("character", "{!r} at position {} does not belong in a cell")
"""A character that no cell has."""
late_accidental = _of_a_cell("order", "the accidental goes before the digit, {}")
"""An accidental after its digit."""
not_from_octave = _of_a_cell("unreadable", "{}: 2.' to 7.' count down from the octave of a scale")
"""A mark that counts down from the octave where none can."""
too_far = _of_a_cell("range", "{} is more than two octaves away (largest is 15)")
"""A note that lies further away than a cell may reach."""
two_or_one = _of_a_cell("ambiguous", "{}-{}, or one note? put a hyphen between notes")
"""Two digits that can be one."""
one_cell = _told("{} are made of one cell")
"""Rotations and permutations of a cycle."""


# Chords and progressions.


def no_inversion(notes: int, inversion: int) -> TheoryError:
    """A chord of so many notes, upside down too often."""
    return TheoryError(f"a chord of {notes} notes has no inversion {inversion}: 0 to {notes - 1}")


def unknown_chord(text: str, known: Iterable[str]) -> TheoryError:
    """A kind of chord that is not in the table, with all that are."""
    return TheoryError(f"there is no chord {text!r}; known are {', '.join(known)}")


inversion_unread = _told("{!r} is not an inversion: write {}")
"""What stands after the stroke of a chord's id."""


def symbol_unread(text: str) -> TheoryError:
    """A symbol whose kind cannot be read."""
    hint = ": name what is altered, such as C7b9b13" if "alt" in text else ""
    return TheoryError(f"{text!r} is not a chord symbol that can be read{hint}")


function_unread = _told("{!r} is not a chord function that can be read")
"""A function with figures that cannot be read."""
progression_long = _told("a progression has 1 to {} chords, such as Dm7 G7 Cmaj7")
"""None, or too many chords."""
no_guide_tones = _told("a chord {!r} has no guide tones")
"""A chord without third or seventh."""


# Runs on a horn.

OFF_THE_TONIC = "a run that begins or ends off the tonic is neither clipped nor over the full range"
FULL_NEEDS_HORN = "full range needs an instrument, or a lowest and a highest note"


no_degree = _told("{} has no degree {}: 1 to {}")
"""A degree on which a run cannot begin."""


def no_tonic(tonic: object, low: object = None, high: object = None) -> TheoryError:
    """No tonic between two notes; None for those of the horn."""
    own = "on the horn between its lowest and highest note"
    where = f"between {low} and {high}" if low else own
    return TheoryError(f"there is no {tonic} {where}")


no_cell = _told("no cell of {} in {} fits between {} and {}")
"""A run of which no cell is on the horn."""
past_octave = _told("no cell of {} in {} stays within the octave: choose another ending")
"""A clipped run of cells that all go past the octave."""


def off_horn(pattern: str, roots: Iterable[str], low: object, high: object) -> TheoryError:
    """Roots on which a cell does not fit."""
    on = " ".join(roots)
    return TheoryError(f"{pattern} on {on} does not fit between {low} and {high}")


# Metre and metronome.

GAPS_IN_BARS = "gaps are counted in bars, from 0"
GAP_AFTER_CLICK = "a gap needs bars of click before it"


def metre_unread(text: str) -> UsageError:
    """A metre that is not among those there are."""
    return UsageError(
        f"metre is {text!r}; expected 2/4 to 7/4, 2/2, 3/8, 5/8, 6/8, 7/8, 9/8 or 12/8, "
        "with groups such as 7/8:3+2+2"
    )


def click_unread(text: str) -> UsageError:
    """A way to click that is not among those there are."""
    return UsageError(
        f"clicks are {text!r}; expected all, 2-and-4, gaps:2:1 (bars of click, of silence) or "
        "growing:2"
    )


def clicks_out(division: int) -> UsageError:
    """Too many clicks in a beat, or none."""
    return UsageError(f"clicks in a beat: {division}; expected 1 to 4")


# Lines from files.


def not_music(name: str, endings: Iterable[str]) -> TheoryError:
    """A file whose name says that it is something else."""
    ending = next(iter(endings))
    return TheoryError(f"{name} is not a MusicXML or MIDI file: its name would end in {ending}")


no_file = _told("there is no file {} beside the deck")
"""A file that is not there."""


def file_large(name: str, most: int) -> TheoryError:
    """A file of more than so many bytes."""
    return TheoryError(f"{name} has more than {most // 1_000_000} MB")


file_damaged = _told("{} cannot be read as music")
"""A file that music21 cannot read."""
no_such = _told("{2} has {3}, and no {0} {1}")
"""A part or bar that a file does not have."""
chords_in_bar = _told("bar {} of {} is not a single line: it has chords")
"""Several notes at once, where one line is wanted."""
quarter_tone = _told("bar {} of {} has a note that is not a whole number of half steps")
"""A note between two keys of a piano, which no name here can tell."""


def bars_told(first: int, last: int) -> str:
    """Which bars there are."""
    return f"bar {first}" if first == last else f"bars {first} to {last}"


NO_BARS = "no bars"


def no_notes(first: int, last: int, file: str) -> TheoryError:
    """Bars of rests."""
    have = "has" if first == last else "have"
    return TheoryError(f"{bars_told(first, last)} of {file} {have} no notes")


def line_long(what: str, notes: int, most: int) -> TheoryError:
    """A line that is no cell."""
    return TheoryError(f"{what} has {counted(notes, 'note')}; a pattern has 2 to {most}")


line_wide = _told("{} goes further than two octaves")
"""A line over more than two octaves."""
not_in_home = _told("{} is not a degree of {}: name its key with in")
"""A note that is far from the key of a line."""
outside_key = _told("{} has a note from outside its key: leave mode out")
"""A line that cannot be asked in key mode."""
