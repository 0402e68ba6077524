"""What stands on the page, as frozen values: notes, bars, sections, the whole score.

Lengths are counted in eighths.  Pitches are written ones, as players name them; what a
treble clef with an 8 above it makes of them is the affair of ``musicxml``.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from drill.terms import Instrument, Key, Note


class Clef(StrEnum):
    """The clefs in use; the values are those of ``terms.Instrument.clef``."""

    TREBLE = "treble"
    BASS = "bass"
    TREBLE_8VA = "treble 8va"
    TENOR = "tenor"


class Beam(StrEnum):
    """A note's place under a beam."""

    NONE = ""
    BEGIN = "begin"
    CONTINUE = "continue"
    END = "end"


class Sign(StrEnum):
    """What is written under the staff at a note."""

    P = "p"
    F = "f"
    CRESCENDO = "crescendo"
    DIMINUENDO = "diminuendo"
    STOP = "stop"
    """The end of a hairpin."""


class ArticulationMark(StrEnum):
    """Articulations, by their MusicXML names."""

    ACCENT = "accent"
    MARCATO = "strong-accent"
    STACCATO = "staccato"
    STACCATISSIMO = "staccatissimo"
    TENUTO = "tenuto"
    PORTATO = "detached-legato"


class BarLine(StrEnum):
    """The bar line after a bar, by its MusicXML name."""

    PLAIN = ""
    DOUBLE = "light-light"
    FINAL = "light-heavy"


@dataclass(frozen=True, slots=True)
class Written:
    """A note as it stands on the staff, or the room that is left for it."""

    note: Note
    eighths: int
    """Length: 1 an eighth, 4 a half note; 3 and 6 are dotted."""
    open: bool = False
    """True leaves room for the student to fill in, and prints no note."""
    accidental: bool = False
    """True prints the accidental, a natural included."""
    beam: Beam = Beam.NONE
    slur_begins: bool = False
    slur_ends: bool = False
    mark: ArticulationMark | None = None
    signs: tuple[Sign, ...] = ()
    """In the order in which they are written, all before the note."""
    label: str = ""
    """The degree, printed above the first note of a cell; empty prints nothing."""
    chord: str = ""
    """The symbol of the chord that begins here: ``Abm7/Cb``; empty for none."""
    function: bool = False
    """True where the label is what the chord does in the key: ``V7``."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar; as long as its notes, for no time signature is printed."""

    notes: tuple[Written, ...]
    clef: Clef | None = None
    """The clef that changes at this bar; None keeps the one before."""
    new_system: bool = False
    """True begins a new line of music."""
    end: BarLine = BarLine.PLAIN

    @property
    def eighths(self) -> int:
        """Its length."""
        return sum(written.eighths for written in self.notes)


@dataclass(frozen=True, slots=True)
class Section:
    """One pattern in one key, up or down or both, under one heading."""

    group: str
    """The pattern, printed where it changes."""
    heading: str
    """The key."""
    sounding: str
    """The concert key; empty where it is the written one."""
    remarks: tuple[str, ...]
    """What was left out to fit the horn, a sentence each."""
    fifths: int
    """Sharps (flats when negative) of the signature, -7 to 7."""
    clef: Clef
    bars: tuple[Bar, ...]
    concert: Key | None = None
    """The concert key, for files that sound; None where it is not known."""

    @property
    def systems(self) -> int:
        """Lines of music."""
        return 1 + sum(bar.new_system for bar in self.bars[1:])


@dataclass(frozen=True, slots=True)
class Score:
    """A whole sheet for one horn."""

    title: str
    """One line."""
    horn: Instrument | None
    """None is written at concert pitch in the treble clef."""
    sections: tuple[Section, ...]
    subtitle: str = ""
    """The horn, the pattern where there is only one, and swing; one line."""
    student: str = ""
    """The student's name, printed at the head; empty prints none."""
    note: str = ""
    """The teacher's note; may have lines; empty prints none."""
    teacher: str = ""
    """The teacher's name; empty prints none."""
    worksheet: bool = False
    """True prints lines for name and date at the head."""
    answers: tuple[Section, ...] = ()
    """The sections once more with every note, for the answer page; empty prints none."""
    tempo: int | None = None
    """Quarter notes a minute, printed as a mark; None for none."""
