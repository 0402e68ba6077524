"""What is wrong with a name, a cell, a chord or a run, in a player's words.

Theory stands below the room of words and cannot ask it; so its faults are made here, of values,
and nowhere else in the room.
"""

from __future__ import annotations

from collections.abc import Iterable

from drill.errors import TheoryError, UsageError

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


def unread(what: str, text: str) -> TheoryError:
    """A text that is not what was wanted, with how that is written."""
    return TheoryError(f"{text!r} is not {what}: {_EXPECTED[what]}")


def unknown(what: str, text: str, near: Iterable[str] = ()) -> TheoryError:
    """An id or name that does not exist, with those that are near."""
    hint = " or ".join(near)
    return TheoryError(f"there is no {what} {text!r}" + (f"; did you mean {hint}?" if hint else ""))


def out_of(what: str, least: int, most: int, unit: str, got: int) -> TheoryError:
    """A number outside of what can be: ``a scale has 2 to 12 notes, not 1``."""
    return TheoryError(f"{what} {least} to {most} {unit}, not {got}")


# Scales and spelling.


def triple(tonic: object, scale: str) -> TheoryError:
    """A scale that no double accidental can write."""
    return TheoryError(f"{tonic} {scale} needs a triple accidental: choose another tonic")


def unnamed_interval(steps: int, semitones: int) -> TheoryError:
    """An interval that musicians have no name for."""
    return TheoryError(f"an interval of {steps} letters and {semitones} semitones has no name")


def unspelled(degree: object, root: object) -> TheoryError:
    """A degree of a root that would need three accidentals."""
    return TheoryError(f"{degree} on {root} cannot be spelled")


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


def too_long(count: int, what: str, most: int) -> CellError:
    """A cell with too many characters or notes."""
    return CellError("too long", f"{count} {what}; a cell has at most {most} notes")


def stray(character: str, place: int) -> CellError:
    """A character that no cell has."""
    return CellError("character", f"{character!r} at position {place} does not belong in a cell")


def late_accidental(right: str) -> CellError:
    """An accidental after its digit."""
    return CellError("order", f"the accidental goes before the digit, {right}")


def not_from_octave(token: str) -> CellError:
    """A mark that counts down from the octave where none can."""
    return CellError("unreadable", f"{token}: 2.' to 7.' count down from the octave of a scale")


def too_far(token: str) -> CellError:
    """A note that lies further away than a cell may reach."""
    return CellError("range", f"{token} is more than two octaves away (largest is 15)")


def two_or_one(first: str, second: str) -> CellError:
    """Two digits that can be one."""
    return CellError("ambiguous", f"{first}-{second}, or one note? put a hyphen between notes")


def one_cell(kind: object) -> TheoryError:
    """Rotations and permutations of a cycle."""
    return TheoryError(f"{kind} are made of one cell")


# Chords and progressions.


def no_inversion(notes: int, inversion: int) -> TheoryError:
    """A chord of so many notes, upside down too often."""
    return TheoryError(f"a chord of {notes} notes has no inversion {inversion}: 0 to {notes - 1}")


def unknown_chord(text: str, known: Iterable[str]) -> TheoryError:
    """A kind of chord that is not in the table, with all that are."""
    return TheoryError(f"there is no chord {text!r}; known are {', '.join(known)}")


def inversion_unread(text: str, right: str) -> TheoryError:
    """What stands after the stroke of a chord's id."""
    return TheoryError(f"{text!r} is not an inversion: write {right}")


def symbol_unread(text: str) -> TheoryError:
    """A symbol whose kind cannot be read."""
    hint = ": name what is altered, such as C7b9b13" if "alt" in text else ""
    return TheoryError(f"{text!r} is not a chord symbol that can be read{hint}")


def function_unread(text: str) -> TheoryError:
    """A function with figures that cannot be read."""
    return TheoryError(f"{text!r} is not a chord function that can be read")


def progression_long(most: int) -> TheoryError:
    """None, or too many chords."""
    return TheoryError(f"a progression has 1 to {most} chords, such as Dm7 G7 Cmaj7")


def no_guide_tones(chord: str) -> TheoryError:
    """A chord without third or seventh."""
    return TheoryError(f"a chord {chord!r} has no guide tones")


# Runs on a horn.

OFF_THE_TONIC = "a run that begins or ends off the tonic is neither clipped nor over the full range"
FULL_NEEDS_HORN = "full range needs an instrument, or a lowest and a highest note"


def no_degree(key: str, degree: int, size: int) -> TheoryError:
    """A degree on which a run cannot begin."""
    return TheoryError(f"{key} has no degree {degree}: 1 to {size}")


def no_tonic(tonic: object, low: object = None, high: object = None) -> TheoryError:
    """No tonic between two notes; None for those of the horn."""
    own = "on the horn between its lowest and highest note"
    where = f"between {low} and {high}" if low else own
    return TheoryError(f"there is no {tonic} {where}")


def no_cell(pattern: str, key: str, low: object, high: object) -> TheoryError:
    """A run of which no cell is on the horn."""
    return TheoryError(f"no cell of {pattern} in {key} fits between {low} and {high}")


def past_octave(pattern: str, key: str) -> TheoryError:
    """A clipped run of cells that all go past the octave."""
    told = f"no cell of {pattern} in {key} stays within the octave"
    return TheoryError(f"{told}: choose another ending")


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


def no_file(name: str) -> TheoryError:
    """A file that is not there."""
    return TheoryError(f"there is no file {name} beside the deck")


def file_large(name: str, most: int) -> TheoryError:
    """A file of more than so many bytes."""
    return TheoryError(f"{name} has more than {most // 1_000_000} MB")


def file_damaged(name: str) -> TheoryError:
    """A file that music21 cannot read."""
    return TheoryError(f"{name} cannot be read as music")


def no_such(what: str, wanted: int, name: str, has: str) -> TheoryError:
    """A part or bar that a file does not have."""
    return TheoryError(f"{name} has {has}, and no {what} {wanted}")


def chords_in_bar(bar: object, name: str) -> TheoryError:
    """Several notes at once, where one line is wanted."""
    return TheoryError(f"bar {bar} of {name} is not a single line: it has chords")


def quarter_tone(bar: object, name: str) -> TheoryError:
    """A note between two keys of a piano, which no name here can tell."""
    return TheoryError(f"bar {bar} of {name} has a note that is not a whole number of half steps")


def no_notes(first: int, last: int, name: str) -> TheoryError:
    """Bars of rests."""
    return TheoryError(f"bars {first} to {last} of {name} have no notes")


def bars_told(low: int, high: int) -> str:
    """Which bars there are."""
    return f"bars {low} to {high}"


NO_BARS = "no bars"


def line_long(where: str, notes: int, most: int) -> TheoryError:
    """A line that is no cell."""
    return TheoryError(f"{where} has {notes} notes; a pattern has 2 to {most}")


def line_wide(where: str) -> TheoryError:
    """A line over more than two octaves."""
    return TheoryError(f"{where} goes further than two octaves")


def not_in_home(note: str, home: object) -> TheoryError:
    """A note that is far from the key of a line."""
    return TheoryError(f"{note} is not a degree of {home}: name its key with in")


def outside_key(where: str) -> TheoryError:
    """A line that cannot be asked in key mode."""
    return TheoryError(f"{where} has a note from outside its key: leave mode out")
