"""What is to be heard, as frozen values: notes and clicks laid out in time.

A *take* is one stretch of sound, rendered whole into one buffer, so that its
timing is exact to the sample.  Times are seconds from the beginning of the take.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from drill.errors import UsageError
from drill.sound.limits import VOLUME
from drill.sound.spectra import Colour, colour_of
from drill.sound.tone import check_a4

NOTE_S = 0.35
"""Seconds from note to note when a cell is sounded after a verdict."""
MF = 80
"""The velocity of mezzo forte; see ``phrasing.SOFT``."""
SAX = 65
"""The General MIDI program, from 0, that picks the colour where no horn does."""
TAIL_S = 0.25
"""After the last sound: the room dies away."""
LONGEST_S = 1800.0
"""No take is longer than half an hour."""


class Click(StrEnum):
    """How strong a click is."""

    ACCENT = "accent"
    BEAT = "beat"
    DIVISION = "division"


@dataclass(frozen=True, slots=True)
class ClickEvent:
    """One click of the metronome."""

    onset_s: float
    click: Click = Click.BEAT


@dataclass(frozen=True, slots=True)
class Event:
    """One note as it sounds."""

    midi: int
    """Sounding pitch: 60 is middle C."""
    onset_s: float
    sounding_s: float
    """How long it is heard; includes the overlap with a slurred note after it."""
    velocity: int = MF
    """1 to 127."""
    slur_in_s: float = 0.0
    """Seconds of cross-fade from the note before: no new attack.  0: tongued."""
    slur_out_s: float = 0.0
    """Seconds of cross-fade into the note after.  0: it is released."""


@dataclass(frozen=True, slots=True)
class Take:
    """A stretch of sound: notes, clicks, and where its beats lie."""

    events: tuple[Event, ...]
    length_s: float
    clicks: tuple[ClickEvent, ...] = ()
    colour: Colour = Colour.SAX
    bpm: float = 0.0
    """Beats a minute; 0 means free of any beat."""
    first_beat_s: float = 0.0
    """Where beat 0 of the music lies, after the count-in."""
    beats_per_bar: int = 4
    a4: float = 440.0
    volume: float = VOLUME
    """0 to 1."""
    room: bool = True
    """Whether the notes have a little reverberation."""

    def __post_init__(self) -> None:
        check_a4(self.a4)
        if not 0 <= self.volume <= 1:
            raise UsageError(f"volume is {self.volume:g}; expected 0 to 1")
        if not 0 <= self.length_s <= LONGEST_S:
            raise UsageError(f"the take lasts {self.length_s:.0f} s; at most {LONGEST_S:.0f}")

    @property
    def beat_s(self) -> float:
        """Seconds from beat to beat; 0 when free of any beat."""
        return 60.0 / self.bpm if self.bpm else 0.0

    def beat_at(self, seconds: float) -> float | None:
        """The beat, counted from 0, so many seconds into the take.

        Negative in the count-in; None when the take is free of any beat.
        """
        return (seconds - self.first_beat_s) / self.beat_s if self.bpm else None


def joined(takes: tuple[Take, ...]) -> Take:
    """The takes one after the other as one, with the first one's colour, tuning and volume; its
    beat is none where their tempi differ.

    Raises UsageError where it would last longer than ``LONGEST_S``.
    """
    if len(takes) == 1:
        return takes[0]
    events: list[Event] = []
    clicks: list[ClickEvent] = []
    at = 0.0
    for take in takes:
        events += [replace(event, onset_s=event.onset_s + at) for event in take.events]
        clicks += [replace(click, onset_s=click.onset_s + at) for click in take.clicks]
        at += take.length_s - TAIL_S
    same = len({take.bpm for take in takes}) == 1
    return replace(
        takes[0],
        events=tuple(events),
        clicks=tuple(clicks),
        length_s=at + TAIL_S,
        bpm=takes[0].bpm if same else 0.0,
    )


def verdict_take(
    midi: tuple[int, ...],
    program: int = SAX,
    *,
    note_s: float = NOTE_S,
    volume: float = VOLUME,
    a4: float = 440.0,
) -> Take:
    """The notes of a cell at concert pitch, one after the other, for after a verdict.

    ``midi`` are sounding pitches; ``program`` is the horn's General MIDI program, from 0, and
    picks the colour.
    """
    events = _in_a_row(midi, 0.0, note_s)
    length = len(midi) * note_s + TAIL_S if midi else 0.0
    return Take(events, length, colour=colour_of(program), volume=volume, a4=a4)


def ear_take(
    tonic: int,
    midi: tuple[int, ...],
    program: int = SAX,
    *,
    note_s: float = 0.5,
    volume: float = VOLUME,
    a4: float = 440.0,
) -> Take:
    """The tonic, held, a breath, then the notes of a cell: a prompt by ear."""
    start = 2.5 * note_s
    events = (Event(tonic, 0.0, 2 * note_s), *_in_a_row(midi, start, note_s))
    length = start + len(midi) * note_s + TAIL_S
    return Take(events, length, colour=colour_of(program), volume=volume, a4=a4)


def _in_a_row(midi: tuple[int, ...], start: float, note_s: float) -> tuple[Event, ...]:
    return tuple(Event(each, start + at * note_s, note_s * 0.92) for at, each in enumerate(midi))
