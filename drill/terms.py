"""The frozen words that every room shares: names, notes, cells, patterns, keys, runs.

Conventions, for the whole project:

* A *name* is a letter and an alteration in semitones (-2 .. 2; a few remote
  chords need 3).  A *note* is a name and an octave; C4 is middle C, and the
  octave changes between B and C *by letter*, so Cb4 sounds as B3.
* Spelling is ASCII: ``Bb``, ``F#``, ``Ebb``, ``F##``.
* MIDI numbers count semitones, 60 is middle C (MIDI 1.0); hertz is computed
  from A4 (ISO 16: 440 Hz).
* A *position* counts the notes of a scale from the run's lower tonic, which is
  position 0; the cell "on 1" begins at position 0, the cell "on 8" of a
  seven-note scale at position 7, the cell "on 7." at position -1.

Nothing here knows how a scale is built, or what is right: see ``theory``.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, StrEnum, auto
from functools import lru_cache

LETTERS = "CDEFGAB"
"""The seven letters in the order in which octaves are counted."""

NATURAL_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
"""Semitones of each letter of ``LETTERS`` above C."""


@dataclass(frozen=True, slots=True)
class Name:
    """A letter with its alteration, and no octave: B flat, F double sharp."""

    letter: str
    """One of ``LETTERS``, a capital."""
    alter: int = 0
    """Semitones: -1 flat, 0 natural, 1 sharp, 2 double sharp."""

    @property
    def pitch_class(self) -> int:
        """Semitones above C, 0 to 11, whatever the spelling."""
        return (NATURAL_SEMITONES[LETTERS.index(self.letter)] + self.alter) % 12

    def __str__(self) -> str:
        return self.letter + ("#" * self.alter if self.alter > 0 else "b" * -self.alter)


@dataclass(frozen=True, slots=True)
class Note:
    """A name in an octave: what stands on the staff."""

    letter: str
    alter: int
    octave: int
    """C4 is middle C; counted by letter, so B#3 sounds as C4."""

    @property
    def name(self) -> Name:
        """The name without its octave."""
        return Name(self.letter, self.alter)

    @property
    def midi(self) -> int:
        """MIDI note number: 60 is C4 (MIDI 1.0)."""
        return 12 * (self.octave + 1) + NATURAL_SEMITONES[LETTERS.index(self.letter)] + self.alter

    @property
    def staff_step(self) -> int:
        """Diatonic steps above C0: the height on a staff, whatever the accidental."""
        return 7 * self.octave + LETTERS.index(self.letter)

    def __str__(self) -> str:
        return f"{self.name}{self.octave}"


def hertz(midi: float, a4: float = 440.0) -> float:
    """Frequency of a MIDI number in equal temperament (69 is A4; ISO 16: 440 Hz)."""
    return float(a4 * 2.0 ** ((midi - 69) / 12))


class Direction(StrEnum):
    """Which way a run walks."""

    UP = "up"
    DOWN = "down"


class Descent(StrEnum):
    """How a pattern comes down."""

    MIRROR = "mirror"
    """Each step turned over about the cell's first note; starts 8, 7 .. 2."""
    SAME_SHAPE = "same-shape"
    """The cell unchanged; starts 8, 7 .. 2."""
    RETROGRADE = "retrograde"
    """The rising run read backwards; starts 7, 6 .. 1."""
    RETROGRADE_INVERSION = "retrograde-inversion"
    """The mirror, each cell backwards; starts 8, 7 .. 2."""
    CHORD_TONES = "chord-tones"
    """The same chord from its top note: 1-3-5-3 comes down 5-3-1-3."""


class Ending(StrEnum):
    """What a run does at the octave."""

    OVERRUN = "overrun"
    """The last cells go past the octave, then the tonic: the default."""
    CLIPPED = "clipped"
    """No note past the octave: a note beyond it turns back (7-9 becomes 7-7)."""
    CLOSED = "closed"
    """The cell on the last tonic is played whole, then the tonic."""


class Span(StrEnum):
    """How far a run goes."""

    ONE = "1"
    """One octave, from the lowest tonic whose whole run fits the horn."""
    TWO = "2"
    """Two octaves; cells that do not fit the horn are left out, and it is said."""
    OCTAVES = "octaves"
    """As many complete octaves as the horn has."""
    FULL = "full"
    """Lowest tonic to the top of the horn, down to the lowest cell, back to the tonic."""


class Tonguing(StrEnum):
    """How the articulations lie over a run, as players ask for it."""

    SLURRED = "slurred"
    """The whole run in one slur: nowhere to hide."""
    TONGUED = "tongued"
    TENUTO = "tenuto"
    STACCATO = "staccato"
    STACCATISSIMO = "staccatissimo"
    PORTATO = "portato"
    ACCENT = "accent"
    """Every note accented."""
    MARCATO = "marcato"
    FIRST_ACCENTED = "first-accented"
    """The first note of each cell accented, the rest tongued."""
    TWO_AND_TWO = "two-and-two"
    """Two slurred, two tongued."""
    ONE_AND_THREE = "one-and-three"
    """One tongued, three slurred."""
    THREE_AND_ONE = "three-and-one"
    """Three slurred, one tongued."""
    RANDOM = "random"
    """Slurs drawn by seed, anew in each cell."""


class Contour(StrEnum):
    """The shape of a run: how loudness moves over it."""

    LEVEL = "level"
    RISE_AND_FALL = "rise-and-fall"
    """Louder going up, softer coming down: the trade's habit, and the default."""


class Mode(StrEnum):
    """What the digits of a cell count."""

    KEY = "key"
    """Steps of the key from the cell's own first degree."""
    ROOT = "root"
    """Degrees of the major scale on a moving root; ``b3`` and ``#4`` allowed."""


@dataclass(frozen=True, slots=True)
class Digit:
    """One note of a cell as written in digits: ``1``, ``7.``, ``l1``, ``b3``."""

    degree: int
    """1 to 15."""
    octave: int = 0
    """Octave marks: 1 for one ``'``, -1 for one dot; -2 to 2."""
    modifier: str = ""
    """"" or one of ``l ll u uu`` (half steps below or above), ``b bb # ##`` (root mode)."""
    below: bool = False
    """True for ``7.'``: the note below, an octave (or ``octave`` octaves) up.  It writes the
    last notes of a scale of more than seven; in one of seven it is the plain 7."""

    @property
    def degree_text(self) -> str:
        """The degree of the major scale in root mode, ``b3``; neighbour signs are no part of it."""
        return f"{self.modifier if self.modifier[:1] in ('b', '#') else ''}{self.degree}"

    def __str__(self) -> str:
        marks = "'" * self.octave if self.octave > 0 else "." * -self.octave
        return f"{self.modifier}{self.degree}{'.' if self.below else ''}{marks}"


Shape = tuple[Digit, ...]
"""The items of one cell."""


@lru_cache(maxsize=4096)
def shape_text(shape: Shape) -> str:
    """The printed form of a cell: ``1-2-3-1``."""
    return "-".join(str(item) for item in shape)


@dataclass(frozen=True, slots=True)
class Pattern:
    """A cell (or a cycle of cells), how its start moves and how it comes down."""

    id: str
    """The catalogue's id, or the printed form of a free cell."""
    name: str
    """What a player calls it."""
    cells: tuple[Shape, ...]
    """One shape, or more that take turns from degree to degree or root to root."""
    moves_by: int = 1
    """Steps from one start to the next; 1 or more."""
    descent: Descent = Descent.MIRROR
    ending: Ending = Ending.OVERRUN
    mode: Mode = Mode.KEY
    roots: tuple[str, ...] = ()
    """Root mode only: the roots visited, as degrees of the major scale on the tonic
    (``1 4 b7 ..``); empty means the cell on the tonic alone."""
    chords: tuple[str, ...] = ()
    """A progression's chords, one a root, as a symbol has them after the root: ``m7``, ``7b9``,
    empty for a major triad; no chords at all in other patterns."""
    functions: tuple[str, ...] = ()
    """The same as functions of the key (``ii7``, ``V7/ii``), where they are asked for by function;
    empty where by symbol."""
    led: bool = False
    """True leads each chord to the next by the nearest inversion; False begins each anew."""
    guide: bool = False
    """True plays the guide tones of each chord, its third and seventh, alone."""
    begin: int = 1
    """Key mode: the degree on which a run begins, counted in notes of the scale."""
    finish: int = 0
    """The degree of the next octave on which a run up ends, and a run down begins;
    0 is ``begin``."""
    groups_of: int = 0
    """Notes of a group where the notes of a run are grouped otherwise than by cells (a cell of
    four in threes); 0 is by cells."""

    @property
    def text(self) -> str:
        """The cell as printed; cells of a cycle are joined by `` | ``."""
        return " | ".join(shape_text(shape) for shape in self.cells)

    @property
    def called(self) -> str:
        """What is said of it in few words: a progression's name, else its cells."""
        return self.name if self.chords else self.text


@dataclass(frozen=True, slots=True)
class Key:
    """A tonic and a scale: the *written* key unless a concert key is meant."""

    tonic: Name
    scale: str
    """A scale id such as ``major`` or ``harmonic_minor``."""

    def __str__(self) -> str:
        return f"{self.tonic} {self.scale}"


@dataclass(frozen=True, slots=True)
class Scale:
    """A spelled scale: one name per position of one octave, rising."""

    key: Key
    up: tuple[Name, ...]
    """Names from the tonic up, without the upper tonic."""
    down: tuple[Name, ...]
    """The form used coming down, *also listed from the tonic up*; equals ``up`` for most."""
    degrees: tuple[int, ...]
    """Degree number (1 to 7) of each name of ``up``: 1 3 4 5 5 7 for the blues scale."""
    degrees_down: tuple[int, ...]
    """The same for ``down``."""

    def names(self, direction: Direction) -> tuple[Name, ...]:
        """The names in use when the run walks that way."""
        return self.up if direction is Direction.UP else self.down


@dataclass(frozen=True, slots=True)
class Cell:
    """The notes begun on one degree, as played."""

    degree: int
    """Position + 1: 1 on the lower tonic, 8 on the upper of a seven-note scale;
    0 and below under the lower tonic (full range)."""
    label: str
    """How players write that degree: ``4``, ``8``, ``7.``."""
    direction: Direction
    """Which form the cell has; a full-range run comes back up after its way down."""
    notes: tuple[Note, ...]
    """Written notes in the order played."""
    shape: str = ""
    """The cell in digits as written upward, for a cycle the one used here."""
    by_sound: tuple[bool, ...] = ()
    """For each note, whether any name of its sound is right (no spelling is agreed)."""
    also: tuple[tuple[Note, ...], ...] = ()
    """Root mode: the same cell on the other names of its root, each right as a whole."""
    symbol: str = ""
    """The chord as charts write it, on this root: ``Abm7``, ``C/E``; empty for no chord."""
    function: str = ""
    """What it is asked by, where a progression is asked by functions of the key: ``V7``."""

    @property
    def called(self) -> str:
        """What it is asked by: a function, a chord symbol, else what it stands on."""
        return self.function or self.symbol or self.label


class Fit(Enum):
    """What was done to a run so that a horn can play it, or a pattern keeps its sense."""

    BELOW = auto()
    """It begins under the horn's lowest tonic: from there on no cell fits."""
    MOVED = auto()
    """It begins octaves from where it usually does."""
    CLIPPED = auto()
    """Cells are left out that would pass the octave."""
    LACKING = auto()
    """Cells are left out of which the horn lacks a note."""


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing that was done to a run."""

    fit: Fit
    labels: tuple[str, ...] = ()
    """The cells left out, by their labels."""
    octaves: int = 0
    """By how many it was moved, up where positive."""


@dataclass(frozen=True, slots=True)
class Run:
    """A pattern walked through one key in one direction, ending on the held tonic."""

    key: Key
    pattern: Pattern
    direction: Direction
    instrument: str | None
    """Instrument id; None when nothing limits the range and written is concert."""
    span: Span
    cells: tuple[Cell, ...]
    """Without the closing tonic."""
    close: Note
    """The held tonic."""
    close_degree: int
    """Its degree: 8 after a run up of one octave, 1 after a run down."""
    remarks: tuple[Remark, ...] = ()
    """What was changed to fit the horn; empty when nothing was."""


@dataclass(frozen=True, slots=True)
class Instrument:
    """A horn: how it transposes and what it can play, in written notes."""

    id: str
    name: str
    family: str
    clef: str
    """One of ``theory.instruments.CLEFS``."""
    steps: int
    """Letters from written to sounding: -5 for a major sixth down."""
    semitones: int
    """Semitones from written to sounding: -9 on alto saxophone."""
    low: Note
    high: Note
    """Standard written range, both ends playable."""
    low_extended: Note
    high_extended: Note
    first: Note
    """The usual first octave: a run of one octave begins on the tonic at or above this written
    note, where it fits."""
    program: int
    """General MIDI program, counted from 0."""
