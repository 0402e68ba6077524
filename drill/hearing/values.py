"""The words of the room: what was asked, and what was heard of it.

Pitches are sounding MIDI numbers (60 is middle C, MIDI 1.0), times are seconds from the first
sample, levels are decibels below full scale, cents are against equal temperament at the given A4.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class HeardAs(StrEnum):
    """What became of an asked note."""

    RIGHT = "right"
    WRONG = "wrong"
    """Another pitch stood in its place, plainly: the only word that may count against a player."""
    UNHEARD = "unheard"
    """Nothing was recognised in its place: played or not, it was not heard."""
    UNSURE = "unsure"
    """Something was heard that cannot be told from the note, such as its octave."""


class DoubtKind(StrEnum):
    """A place to listen to again; never a mistake that was proved."""

    EXTRA = "extra"
    """A sound that no asked note accounts for."""
    OCTAVE = "octave"
    """The note, or its octave."""


@dataclass(frozen=True, slots=True)
class Asked:
    """The line that was asked, and how."""

    pitches: tuple[int, ...]
    """In the order played; at least one."""
    note_s: float | None
    """Seconds from note to note; None where no tempo is asked."""
    swing: float = 1.0
    """First to second note of a beat of two: 1 is straight."""
    beat_notes: int = 2
    """Notes to a beat."""
    group: int = 4
    """Notes to a cell: articulations return with it."""
    beat0_s: float | None = None
    """When the first note is due, in seconds from the first sample, with all that the devices add
    between beat and recording; None where the beat is not known so well."""
    beat_s: float | None = None
    """Seconds from beat to beat of that click."""
    a4: float = 440.0
    """Hertz of A4 (ISO 16: 440)."""
    even: bool = True
    """Whether all notes have one length, so that time can be told."""
    octaves_told: bool = True
    """Whether this horn's sound tells a note from its octave."""


@dataclass(frozen=True, slots=True)
class Known:
    """What a long note told of a player and a horn."""

    pitch: int
    tune_cents: float
    """The player's pitch against A4."""
    level_db: float
    own_db: float
    """How far the odd partials of the note stand out: high where its octave is easily told."""
    upper_db: float
    """How far those of a note an octave lower seem to: near 0."""


@dataclass(frozen=True, slots=True)
class NoteHeard:
    """What became of one asked note."""

    index: int
    """Its place in the line, from 0."""
    outcome: HeardAs
    heard: int | None = None
    """The pitch heard; None where nothing was."""
    on_s: float | None = None
    off_s: float | None = None
    cents: float | None = None
    """Off the pitch heard; None where the note is too short to say."""
    db: float | None = None
    slurred: bool | None = None
    """Joined to the note before without a tongue stroke; None for the first and the unheard."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A place to listen to again."""

    at_s: float
    after: int
    """The asked note before it; -1 before the first."""
    kind: DoubtKind


@dataclass(frozen=True, slots=True)
class Heard:
    """A take as it was heard."""

    notes: tuple[NoteHeard, ...]
    """One for each asked note."""
    doubts: tuple[Doubt, ...] = ()
    restarts: tuple[int, ...] = ()
    """The asked notes at which the player went back and began again."""
    tune_cents: float | None = None
    """The take as a whole against A4; None where nothing was heard."""
    spread_ms: float | None = None
    """Standard deviation of the onsets about an even line; None below six notes."""
    lead_ms: float | None = None
    """Before (positive) or after the beat; None without a known beat and a measured device."""
    drift_percent: float | None = None
    """How much slower (positive) or faster the last note went than the first."""
    note_s: float | None = None
    """Seconds from note to note as played."""
    swing: float | None = None
    """First to second note of a beat as played; None where beats have not two notes."""
    shape_r: float | None = None
    """Correlation of level and pitch: 1 louder going up, -1 softer; None where nobody can say."""
    slurred_share: float | None = None
    """The part of the notes that was slurred to; None where nothing was heard."""
    clipped: float = 0.0
    """The part of the samples at full scale."""
    sounded_s: float = 0.0
    """Seconds of pitched sound."""


@dataclass(frozen=True, slots=True)
class MidiNote:
    """A note of a MIDI instrument."""

    on_s: float
    off_s: float
    pitch: int
    velocity: int
    """1 to 127."""
